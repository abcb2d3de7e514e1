"""Pages whose figures take a while: computed beside the page, so that keys answer."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING, TypeVar

from textual import on, work
from textual.message import Message
from textual.worker import Worker, WorkerState, get_current_worker

from ledger.errors import LedgerError
from ledger.screens.base import Page, tell_trouble
from ledger.widgets.words import Words

if TYPE_CHECKING:
    from collections.abc import Callable

    from ledger.screens.desk import Desk

    Step = Callable[[], None]

T = TypeVar("T")

_GROUP = "computing"


class _Stopped(Exception):  # noqa: N818 - nothing is wrong
    """Ends a job that nobody waits for any more."""


class ComputingPage(Page):
    """A page with a line `#computing` that says what is being computed.

    One thing is computed at a time: what is asked for last counts, whatever was
    asked for before is dropped when it comes.
    """

    @dataclass
    class Computed(Message):
        """A thread is done."""

        number: int
        """Of the question it answers."""
        show: Callable[[], None]

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self._asked = 0
        self._worker: Worker[None] | None = None

    @property
    def is_computing(self) -> bool:
        """An answer is still to come."""
        return self._worker is not None

    def compute(
        self, job: Callable[[Step], T], show: Callable[[T], None], said: str
    ) -> None:
        """Run a job in a thread, then show what it gave, if it is still wanted.

        Args:
            job: Given what it calls between its steps, where it ends if it was
                stopped; reads the flock as it was when asked for, stores nothing.
            show: Called on the page's own thread.
            said: What stands on the line meanwhile.
        """
        self._asked += 1
        self.query_one("#computing", Words).say(f"{said} Escape stops it.")
        self._worker = self._run(self._asked, job, show)

    @work(thread=True, exclusive=True, group=_GROUP, exit_on_error=False)
    def _run(
        self, number: int, job: Callable[[Step], T], show: Callable[[T], None]
    ) -> None:
        cancelled = get_current_worker().cancelled_event

        def step() -> None:
            if cancelled.is_set():
                raise _Stopped

        try:
            found = job(step)
        except _Stopped:
            return
        self.post_message(self.Computed(number, partial(show, found)))

    @on(Computed)
    def _show_if_wanted(self, message: Computed) -> None:
        if message.number == self._asked and self.is_computing:
            self._end("")
            message.show()

    @on(Worker.StateChanged)
    def _explain_failure(self, event: Worker.StateChanged) -> None:
        if event.worker is not self._worker or event.state is not WorkerState.ERROR:
            return
        error = event.worker.error
        if isinstance(error, LedgerError):
            self._end(f"{error} {error.hint}".strip())
            tell_trouble(self.app, "Not computed", error)
        elif error is not None:
            raise error  # a fault of the program: never hidden

    def stop(self, said: str = "Stopped.") -> None:
        """Compute no further; the thread ends by itself at its next step."""
        self.workers.cancel_group(self, _GROUP)
        self._end(said)

    def _end(self, said: str) -> None:
        self._worker = None
        self.query_one("#computing", Words).say(said)

    def action_back(self) -> None:
        """Stop computing, or go back to where the keeper came from."""
        if self.is_computing:
            self.stop()
        else:
            super().action_back()

    def on_unmount(self) -> None:
        """Nobody waits for the answer any more."""
        self._worker = None
