"""Which of our birds an enquiry is about, if any: the keeper says."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual import on
from textual.containers import Vertical
from textual.widgets import Footer, Input

from ledger.errors import LedgerError
from ledger.screens.base import Dialog
from ledger.screens.identify_words import percent
from ledger.services import enquiry_bird
from ledger.services.find import find_bird
from ledger.widgets.row_list import Column, Row, RowList
from ledger.widgets.words import Words

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from ledger.screens.desk import Desk

NONE_OF_OURS = "none"
_MOST = 6


class OurBirdScreen(Dialog[str]):
    """Answers with a bird's id, or `NONE_OF_OURS`; stores nothing."""

    def __init__(self, desk: Desk, enquiry_id: str) -> None:
        super().__init__(desk)
        self._enquiry = desk.ledger.flock.enquiries[enquiry_id]

    def compose(self) -> ComposeResult:
        """The birds its ring fits, and a line for any other."""
        with Vertical(classes="dialog"):
            yield Words("Is it one of ours?", classes="title")
            yield Words(
                "You alone see this. Whoever asks is told nothing by it; whether to "
                "make contact is a decision of its own."
            )
            yield RowList(
                [Column("chance", 7), Column("", 14), Column("", 0)], id="birds"
            )
            yield Words("Another one: its name, ring or id, then Enter")
            yield Input(id="other", compact=True)
            yield Words("", id="trouble", classes="trouble")
        yield Footer()

    def on_mount(self) -> None:
        """The likeliest is under the cursor."""
        flock = self.desk.ledger.flock
        found = enquiry_bird.birds_it_may_be(flock, self._enquiry)
        rows = [
            Row(
                one.bird,
                (percent(one.probability), one.name, f"{one.ring}: {one.why}"),
            )
            for one in found.candidates[:_MOST]
            if one.bird is not None
        ]
        rows.append(Row(NONE_OF_OURS, ("", "None of ours", "as far as we know"), ""))
        birds = self.query_one("#birds", RowList)
        birds.styles.height = len(rows) + 1
        birds.show(rows)
        birds.focus()

    @on(RowList.Opened)
    def _choose(self, event: RowList.Opened) -> None:
        self.answer(event.row.key)

    @on(Input.Submitted)
    def _find(self, event: Input.Submitted) -> None:
        try:
            bird = find_bird(self.desk.ledger.flock, event.value)
        except LedgerError as error:
            self.query_one("#trouble", Words).say(f"✗ {error} {error.hint}".strip())
            return
        self.answer(bird.id)
