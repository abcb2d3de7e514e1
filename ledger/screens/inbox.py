"""Which folder is the photo inbox."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from textual import on
from textual.containers import Vertical
from textual.widgets import Footer, Input

from ledger.errors import LedgerError
from ledger.paths import inbox_folder
from ledger.screens.base import Dialog
from ledger.services import typed
from ledger.widgets.words import Words

if TYPE_CHECKING:
    from textual import events
    from textual.app import ComposeResult

    from ledger.screens.desk import Desk


class InboxScreen(Dialog[Path]):
    """Answers with a folder that is there."""

    def __init__(self, desk: Desk, suggested: Path | None = None) -> None:
        super().__init__(desk)
        self._suggested = suggested

    def compose(self) -> ComposeResult:
        """One line."""
        folder = self._suggested or self.desk.inbox or inbox_folder()
        with Vertical(classes="dialog"):
            yield Words("Photo inbox", classes="title")
            yield Words(
                "A folder into which your phone or camera copies photos. "
                "New ones appear on the first page by themselves."
            )
            yield Input(str(folder), id="folder")
            yield Words("", id="trouble", classes="trouble")
            yield Words("Enter watches it; it is made if it is not there.")
        yield Footer()

    def on_paste(self, event: events.Paste) -> None:
        """A folder dropped here."""
        line = self.query_one("#folder", Input)
        line.value = event.text.strip()

    @on(Input.Submitted)
    def _take(self, event: Input.Submitted) -> None:
        try:
            self.answer(typed.folder(event.value))
        except LedgerError as error:
            self.query_one("#trouble", Words).say(f"✗ {error} {error.hint}")
