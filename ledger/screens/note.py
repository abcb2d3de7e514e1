"""A note about a bird, with its weight if it was weighed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual import on
from textual.containers import Vertical
from textual.widgets import Footer, Input

from ledger.errors import LedgerError
from ledger.screens.base import Dialog, tell
from ledger.services import book, typed
from ledger.widgets.words import Words

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from ledger.screens.desk import Desk


class NoteScreen(Dialog[bool]):
    """Enter stores and answers True; Escape stores nothing."""

    def __init__(self, desk: Desk, bird_id: str) -> None:
        super().__init__(desk)
        self._bird_id = bird_id

    def compose(self) -> ComposeResult:
        """Three lines; only one of the first two must be filled."""
        bird = self.desk.ledger.flock.birds[self._bird_id]
        with Vertical(classes="dialog"):
            yield Words(f"Note about {bird.title}", classes="title")
            yield Words("What did you see or do?")
            yield Input(id="text")
            yield Words("Weight in grams, if weighed")
            yield Input(id="weight", placeholder="for example 412.5")
            yield Words("When: 2019, 2019-04, 2019-04-12 or spring 2019")
            yield Input(str(self.desk.today), id="on")
            yield Words("", id="trouble", classes="trouble")
            yield Words("Enter stores it. Escape leaves without storing.")
        yield Footer()

    @on(Input.Submitted)
    def _store(self) -> None:
        text, weight, on_day = (
            self.query_one(f"#{name}", Input) for name in ("text", "weight", "on")
        )
        field = weight
        try:
            weight_g = typed.grams(weight.value)
            field = on_day
            on_date = typed.date(on_day.value, self.desk.today)
            field = text
            book.add_note(
                self.desk.ledger,
                self._bird_id,
                text.value,
                on_date,
                self.desk.keeper,
                weight_g=weight_g,
            )
        except LedgerError as error:
            self.query_one("#trouble", Words).say(f"✗ {error} {error.hint}".strip())
            field.focus()
            return
        tell(self.app, "It stands on the bird's page.", title="Note stored")
        self.answer(True)
