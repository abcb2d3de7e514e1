"""A question with a few numbered answers: one digit answers it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual import on
from textual.containers import Vertical
from textual.widgets import Footer

from ledger.screens.base import Dialog
from ledger.widgets.row_list import Column, Row, RowList
from ledger.widgets.words import Words

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual import events
    from textual.app import ComposeResult

    from ledger.screens.desk import Desk


class AskScreen(Dialog[str]):
    """Answers with the key of the answer chosen; Escape gives none.

    A digit chooses at once, so do arrows and Enter: one hand is enough.
    """

    def __init__(
        self, desk: Desk, title: str, text: str, answers: Sequence[tuple[str, str]]
    ) -> None:
        """Ask.

        Args:
            desk: What all pages need.
            title: In a few words.
            text: The question, in sentences.
            answers: Key and words of each, at most nine; numbered from 1.
        """
        super().__init__(desk)
        self._title = title
        self._text = text
        self._answers = tuple(answers)

    def compose(self) -> ComposeResult:
        """What it is about, and the answers."""
        with Vertical(classes="dialog"):
            yield Words(self._title, classes="title")
            yield Words(self._text, id="about")
            yield RowList([Column("", 1), Column("", 0)], id="answers")
        yield Footer()

    def on_mount(self) -> None:
        """The first answer is under the cursor."""
        answers = self.query_one(RowList)
        answers.styles.height = len(self._answers)
        answers.show(
            [
                Row(key, (str(number), words))
                for number, (key, words) in enumerate(self._answers, start=1)
            ]
        )
        answers.focus()

    def on_key(self, event: events.Key) -> None:
        """A digit chooses."""
        sign = event.character or ""
        if sign.isdecimal() and 1 <= int(sign) <= len(self._answers):
            event.stop()
            self.answer(self._answers[int(sign) - 1][0])

    @on(RowList.Opened)
    def _choose(self, event: RowList.Opened) -> None:
        self.answer(event.row.key)
