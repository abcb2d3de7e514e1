"""Photos are being read: named stages, and Escape stops it at once."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from textual import on, work
from textual.binding import Binding
from textual.containers import Vertical
from textual.message import Message
from textual.widgets import Footer, ProgressBar
from textual.worker import Worker, WorkerState, get_current_worker

from ledger.errors import LedgerError
from ledger.screens.base import Dialog, tell_trouble
from ledger.widgets.words import Words

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from ledger.screens.desk import Desk, Job
    from ocr.reading import Reading, Stage


class ReadingScreen(Dialog["Reading"]):
    """Runs a job in a thread; dismisses with its reading, or None."""

    BINDINGS = [
        Binding("escape", "leave", "Stop", id="reading.stop", tooltip="Stop reading")
    ]

    @dataclass
    class StageReached(Message):
        """The reader begins another step."""

        name: str
        number: int
        of: int
        detail: str

        def can_replace(self, message: Message) -> bool:
            """Only the newest step is worth drawing."""
            return isinstance(message, ReadingScreen.StageReached)

    @dataclass
    class Finished(Message):
        """The reader is done."""

        reading: Reading

    def __init__(self, desk: Desk, job: Job, what: str) -> None:
        super().__init__(desk)
        self._job = job
        self._what = what

    def compose(self) -> ComposeResult:
        """What is being read, the stage, and how far."""
        with Vertical(id="reading"):
            yield Words(self._what, id="what")
            yield Words("", id="stage")
            yield ProgressBar(total=1, show_eta=False, show_percentage=False)
        yield Footer()

    def on_mount(self) -> None:
        """Start once the page is drawn: a camera mutes the terminal for a moment."""
        self.call_after_refresh(self._read)

    @work(thread=True, exclusive=True, group="reading", exit_on_error=False)
    def _read(self) -> None:
        def report(stage: Stage, detail: str) -> None:
            stages = list(type(stage))
            self.post_message(
                self.StageReached(stage.value, stages.index(stage), len(stages), detail)
            )

        cancelled = get_current_worker().cancelled_event.is_set
        self.post_message(self.Finished(self._job(report, cancelled)))

    @on(StageReached)
    def _show_stage(self, message: StageReached) -> None:
        detail = f": {message.detail}" if message.detail else ""
        self.query_one("#stage", Words).update(f"{message.name}{detail}")
        self.query_one(ProgressBar).update(total=message.of, progress=message.number)
        self.refresh(layout=True)

    @on(Finished)
    def _return_reading(self, message: Finished) -> None:
        self.answer(message.reading)

    @on(Worker.StateChanged)
    def _explain_failure(self, event: Worker.StateChanged) -> None:
        if event.state is not WorkerState.ERROR:
            return
        error = event.worker.error
        if isinstance(error, LedgerError):
            tell_trouble(self.app, "Photo not read", error)
            self.answer(None)
        elif error is not None and self.is_current:
            raise error  # a fault of the program: never hidden

    def action_leave(self) -> None:
        """Stop; the thread ends by itself at its next step."""
        self.workers.cancel_group(self, "reading")
        self.answer(None)
