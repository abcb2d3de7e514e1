"""A question with a few answers, before there is an open ledger."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.binding import Binding
from textual.containers import Vertical
from textual.screen import Screen
from textual.widgets import Footer

from ledger.widgets.row_list import Column, Row, RowList
from ledger.widgets.words import Words

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual.app import ComposeResult


class ChoiceScreen(Screen[str]):
    """Dismisses with the key of the answer chosen."""

    BINDINGS: ClassVar = [
        Binding("escape", "app.quit", "Leave", id="choice.leave"),
    ]

    def __init__(
        self,
        title: str,
        text: str,
        answers: Sequence[tuple[str, str]],
        *,
        is_trouble: bool = False,
    ) -> None:
        super().__init__()
        self._said = (title, text)
        self._answers = answers
        self._is_trouble = is_trouble

    def compose(self) -> ComposeResult:
        """What it is about, and the answers."""
        title, text = self._said
        with Vertical(id="choice"):
            yield Words(title, classes="trouble" if self._is_trouble else "title")
            yield Words(text, id="about")
            yield RowList([Column("", 0)], id="answers")
        yield Footer()

    def on_mount(self) -> None:
        """The first answer is under the cursor."""
        answers = self.query_one(RowList)
        answers.show([Row(key, (text,)) for key, text in self._answers])
        answers.focus()

    @on(RowList.Opened)
    def _choose(self, event: RowList.Opened) -> None:
        self.dismiss(event.row.key)
