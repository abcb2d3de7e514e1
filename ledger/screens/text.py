"""A page of plain text."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.containers import VerticalScroll
from textual.widgets import Footer

from ledger.screens.base import Page, heading
from ledger.widgets.words import Words

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from ledger.screens.desk import Desk


class TextScreen(Page):
    """Something to read and scroll."""

    HELP_TEXT = "# A page to read\n\nArrows and Page keys scroll, Escape goes back."

    def __init__(self, desk: Desk, title: str, text: str) -> None:
        super().__init__(desk)
        self._title = title
        self._text = text

    def compose(self) -> ComposeResult:
        """The title and the text."""
        yield Words(heading(self._title, self.desk), id="heading")
        with VerticalScroll(id="text"):
            yield Words(self._text)
        yield Footer()
