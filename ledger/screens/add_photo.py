"""One more photo of a ring: a path, or one from the inbox."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from textual import on
from textual.containers import Vertical
from textual.widgets import Footer

from ledger.screens.base import Dialog
from ledger.services import typed
from ledger.widgets.inbox_list import InboxList
from ledger.widgets.ring_entry import RingEntry
from ledger.widgets.words import Words

if TYPE_CHECKING:
    from textual import events
    from textual.app import ComposeResult


class AddPhotoScreen(Dialog[tuple[Path, ...]]):
    """Answers with the photos chosen."""

    def compose(self) -> ComposeResult:
        """The line, and the inbox."""
        with Vertical(classes="dialog"):
            yield Words("One more photo of this ring", classes="title")
            yield RingEntry("path of a photo", photos_only=True)
            yield Words("From the inbox:", classes="title")
            yield InboxList(id="inbox")
        yield Footer()

    def on_mount(self) -> None:
        """Watch the inbox here too."""
        self.query_one(InboxList).follow(self.desk.inbox)

    def on_paste(self, event: events.Paste) -> None:
        """What is dropped anywhere goes into the line."""
        self.query_one(RingEntry).take(event.text)

    @on(RingEntry.Given)
    def _take(self, event: RingEntry.Given) -> None:
        if isinstance(event.meaning, typed.Photos):
            self.answer(event.meaning.paths)

    @on(InboxList.Chosen)
    def _take_from_inbox(self, event: InboxList.Chosen) -> None:
        self.answer((event.path,))
