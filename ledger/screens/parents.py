"""Who a bird's parents are, or may be; and which founders are kin."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual import on
from textual.containers import Vertical
from textual.widgets import Footer, Input

from ledger.errors import LedgerError
from ledger.screens.base import Dialog, tell
from ledger.services.parents import enter_parents, kin_words, parent_words
from ledger.widgets.words import Words

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from ledger.screens.desk import Desk


class ParentsScreen(Dialog[bool]):
    """Enter stores and answers True; Escape stores nothing."""

    def __init__(self, desk: Desk, bird_id: str) -> None:
        super().__init__(desk)
        self._bird_id = bird_id

    def compose(self) -> ComposeResult:
        """A line each for sire, dam and kin of founders."""
        flock = self.desk.ledger.flock
        bird = flock.birds[self._bird_id]
        with Vertical(classes="dialog"):
            yield Words(f"Parents of {bird.title}", classes="title")
            yield Words(
                "In doubt: “Rook or Ash”, or “Rook 60%, Ash 30%, ? 10%”, where ? is "
                "a bird that is not entered. Empty: not known, an unrelated founder."
            )
            for role in ("sire", "dam"):
                yield Words(role.capitalize())
                yield Input(parent_words(flock, bird, role), id=role)
            yield Words("Without known parents, kin to: “Wren full sibling, Ash 0.125”")
            yield Input(kin_words(flock, bird), id="kin")
            yield Words("", id="trouble", classes="trouble")
            yield Words("Enter stores it. Escape leaves without storing.")
        yield Footer()

    @on(Input.Submitted)
    def _store(self) -> None:
        desk = self.desk
        told = [self.query_one(f"#{name}", Input).value for name in _FIELDS]
        before = desk.ledger.flock
        try:
            sire, dam, kin = told
            enter_parents(desk.ledger, self._bird_id, sire, dam, kin, desk.keeper)
        except LedgerError as error:
            self.query_one("#trouble", Words).say(f"✗ {error} {error.hint}".strip())
            return
        if desk.ledger.flock is not before:
            said = "Inbreeding and kinship follow from it at once."
            tell(self.app, said, title="Parents stored")
        self.answer(True)


_FIELDS = ("sire", "dam", "kin")
