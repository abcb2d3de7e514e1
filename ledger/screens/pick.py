"""One of what is known already: type to narrow, Enter takes it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual import on
from textual.containers import Vertical
from textual.widgets import Footer, Input

from ledger.screens.base import Dialog
from ledger.widgets.row_list import Column, Row, RowList
from ledger.widgets.words import Words

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual import events
    from textual.app import ComposeResult

    from ledger.screens.desk import Desk


class PickScreen(Dialog[str]):
    """Answers with the one chosen."""

    def __init__(self, desk: Desk, title: str, known: Sequence[str]) -> None:
        super().__init__(desk)
        self._title = title
        self._known = tuple(known)

    def compose(self) -> ComposeResult:
        """The words and the list."""
        with Vertical(classes="dialog"):
            yield Words(self._title, classes="title")
            yield Input(placeholder="type to narrow", id="words", compact=True)
            yield RowList([Column("", 0)], empty="None of this.", id="known")
        yield Footer()

    def on_mount(self) -> None:
        """All of them."""
        self._narrow()

    @on(Input.Changed)
    def _narrow(self) -> None:
        parts = self.query_one(Input).value.casefold().split()
        fits = [k for k in self._known if all(part in k.casefold() for part in parts)]
        self.query_one(RowList).show([Row(text, (text,)) for text in fits])

    @on(Input.Submitted)
    def _first(self) -> None:
        self.query_one(RowList).action_open()

    @on(RowList.Opened)
    def _take(self, event: RowList.Opened) -> None:
        self.answer(event.row.key)

    def on_key(self, event: events.Key) -> None:
        """Down leaves the words for the list."""
        if event.key == "down" and self.query_one(Input).has_focus:
            event.stop()
            self.query_one(RowList).focus()
