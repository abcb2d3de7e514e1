"""A question before something is done that changes much: yes, or leave it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual import on
from textual.containers import Vertical, VerticalScroll
from textual.widgets import Footer

from ledger.screens.base import Dialog
from ledger.widgets.row_list import Column, Row, RowList
from ledger.widgets.words import Words

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from ledger.screens.desk import Desk

_YES, _NO = "yes", "no"


class ConfirmScreen(Dialog[bool]):
    """True is yes; no answer, or anything else, is no."""

    def __init__(self, desk: Desk, title: str, text: str, yes: str) -> None:
        """Ask.

        Args:
            desk: What all pages need.
            title: What it is about, in a few words.
            text: What would happen, in sentences.
            yes: The answer that does it, as a phrase.
        """
        super().__init__(desk)
        self._title = title
        self._text = text
        self._yes = yes

    def compose(self) -> ComposeResult:
        """What would happen, then the two answers."""
        with Vertical(classes="dialog"):
            yield Words(self._title, classes="title")
            with VerticalScroll(id="what", can_focus=False):
                yield Words(self._text)
            yield RowList([Column("", 0)], id="answers")
        yield Footer()

    def on_mount(self) -> None:
        """Yes is under the cursor; Enter alone does it, Escape leaves."""
        answers = self.query_one("#answers", RowList)
        answers.show([Row(_YES, (self._yes,)), Row(_NO, ("Leave all as it is",))])
        answers.focus()

    @on(RowList.Opened)
    def _choose(self, event: RowList.Opened) -> None:
        self.answer(event.row.key == _YES or None)
