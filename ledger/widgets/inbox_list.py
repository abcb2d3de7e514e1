"""The photos of the inbox, newest first; new ones appear by themselves."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from pathlib import Path

from textual import on, work
from textual.message import Message
from textual.worker import Worker, WorkerState, get_current_worker

from ledger.errors import LedgerError
from ledger.services import inbox
from ledger.widgets.row_list import Column, Row, RowList


class InboxList(RowList):
    """Enter reads the photo one stands on."""

    @dataclass
    class Arrived(Message):
        """A new photo lies whole in the inbox."""

        path: Path

    @dataclass
    class Chosen(Message):
        """The keeper wants this photo read."""

        path: Path

    def __init__(self, *, id: str | None = None) -> None:  # noqa: A002
        super().__init__(
            [Column("", 12), Column("", 0)],
            empty="No inbox folder yet: F4 chooses one.",
            id=id,
        )
        self._folder: Path | None = None
        self._new: set[str] = set()

    def follow(self, folder: Path | None) -> None:
        """Show and watch this folder from now on; None watches nothing."""
        if folder == self._folder:
            return
        self._folder = folder
        self._new.clear()
        self.workers.cancel_node(self)
        self.refresh_photos()
        if folder is not None:
            self._watch(folder)

    def refresh_photos(self) -> None:
        """Look into the folder again."""
        if self._folder is None:
            self.show([])
            return
        try:
            photos = inbox.photos(self._folder)
            rows = [self._row(path) for path in photos]
        except (LedgerError, OSError) as error:
            hint = getattr(error, "hint", "")
            self.show([], empty=f"{error} {hint}")
            return
        self.show(rows, empty="No photo there yet; new ones appear by themselves.")

    def _row(self, path: Path) -> Row:
        taken = dt.datetime.fromtimestamp(path.stat().st_mtime).astimezone()
        when = taken.strftime("%d %b %H:%M")
        new = str(path) in self._new
        return Row(str(path), ("new" if new else when, path.name))

    @work(thread=True, exclusive=True, group="inbox", exit_on_error=False)
    def _watch(self, folder: Path) -> None:
        stop = get_current_worker().cancelled_event.is_set
        for path in inbox.watch(folder, stop):
            self.post_message(self.Arrived(path))

    @on(Arrived)
    def _show_new(self, message: Arrived) -> None:
        if message.path.parent != self._folder:
            return  # the inbox was changed meanwhile
        self._new.add(str(message.path))
        was_first = self.cursor == 0
        self.refresh_photos()
        if was_first:
            self.cursor = 0

    @on(Worker.StateChanged)
    def _explain_failure(self, event: Worker.StateChanged) -> None:
        event.stop()
        if event.state is not WorkerState.ERROR:
            return
        if isinstance(event.worker.error, LedgerError):
            self.refresh_photos()
            self._folder = None  # choosing it again starts the watch again
        elif event.worker.error is not None:
            raise event.worker.error

    @on(RowList.Opened)
    def _choose(self, event: RowList.Opened) -> None:
        event.stop()
        self._new.discard(event.row.key)
        self.post_message(self.Chosen(Path(event.row.key)))
