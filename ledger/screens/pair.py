"""Are two birds a pair? Asked before it is stored; over the limit: why?"""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual import on
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Footer, Input

from ledger.errors import LedgerError
from ledger.screens.base import Dialog, tell, tell_trouble
from ledger.services.lineage_pairing import enter_pair, reasons_against
from ledger.widgets.words import Words, shown

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from textual.app import ComposeResult

    from ledger.screens.base import Page
    from ledger.screens.desk import Desk


def ask_for_pair(page: Page, cock: str, hen: str, then: Callable[[], None]) -> None:
    """Ask whether two birds are a pair, and store it.

    Args:
        page: Where the question comes up.
        cock: Bird id.
        hen: Bird id.
        then: Called once it is stored.
    """
    desk = page.desk
    birds = desk.ledger.flock.birds
    against = reasons_against(desk.ledger.flock, cock, hen)
    names = birds[cock].title, birds[hen].title

    def enter(reason: str | None) -> None:
        if reason is None:
            return
        try:
            enter_pair(desk.ledger, cock, hen, desk.today, desk.keeper, reason=reason)
        except LedgerError as error:
            tell_trouble(page.app, "Pair not entered", error)
            return
        tell(page.app, f"{names[0]} and {names[1]} are a pair.", title="Stored")
        then()

    page.app.push_screen(PairDialog(desk, *names, against), enter)


class PairDialog(Dialog[str]):
    """The question, what speaks against it, and a line for the reason."""

    def __init__(self, desk: Desk, cock: str, hen: str, against: Sequence[str]) -> None:
        super().__init__(desk)
        self._names = cock, hen
        self._against = against

    def compose(self) -> ComposeResult:
        """The question and the line."""
        against = self._against
        with Vertical(classes="dialog"):
            yield Words(f"Enter {self._names[0]} and {self._names[1]} as a pair?")
            yield Words(
                Content.styled(shown(" ".join(against)), "$text-warning bold")
                if against
                else "It is within your limits.",
            )
            yield Input(
                placeholder="the reason, then Enter"
                if against
                else "Enter stores it; a note may be added",
                id="reason",
            )
        yield Footer()

    @on(Input.Submitted)
    def _submit(self, event: Input.Submitted) -> None:
        self.answer(event.value)
