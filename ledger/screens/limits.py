"""The keeper's limits for pairs, and how many pairs a season may have."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from textual import on
from textual.containers import Horizontal, Vertical
from textual.widgets import Footer, Input

from ledger.errors import LedgerError
from ledger.screens.base import Dialog
from ledger.services import typed_numbers as typed
from ledger.services.lineage_limits import Limits
from ledger.services.lineage_pairing import set_limits
from ledger.widgets.words import Words

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from ledger.screens.desk import Desk


@dataclass(frozen=True)
class Wishes:
    """What a plan is made for; not stored."""

    pairs: int | None = None
    """Of a species at most; None: as many as can be."""
    young: int = 2
    """Expected of each pair."""


class LimitsDialog(Dialog[Wishes]):
    """Enter stores the limits and answers with the wishes; Escape stores nothing."""

    def __init__(self, desk: Desk, wishes: Wishes | None = None) -> None:
        """Ask.

        Args:
            desk: The desk.
            wishes: For a season; None: only the limits are asked for.
        """
        super().__init__(desk)
        self._wishes = wishes

    def compose(self) -> ComposeResult:
        """Two lines that are stored, two for this plan."""
        limits, wishes = Limits.of(self.desk.ledger.flock), self._wishes
        with Vertical(classes="dialog"):
            yield Words("Your limits for pairs", classes="title")
            yield Words(
                "Young of first cousins have F 0.0625, of half siblings 0.125, of "
                "full siblings 0.25. A pair over the limit needs a reason."
            )
            with Horizontal(classes="two"):
                with Vertical():
                    yield Words("F of the young at most")
                    yield Input(f"{limits.highest_inbreeding:g}", id="inbreeding")
                with Vertical():
                    yield Words("Grown from, in years")
                    yield Input(f"{limits.youngest_years:g}", id="youngest")
            if wishes is not None:
                yield Words("For this plan only")
                with Horizontal(classes="two"):
                    with Vertical():
                        yield Words("Pairs of a species at most")
                        yield Input(
                            "" if wishes.pairs is None else str(wishes.pairs),
                            placeholder="as many as can be",
                            id="pairs",
                        )
                    with Vertical():
                        yield Words("Young of a pair")
                        yield Input(str(wishes.young), id="brood")
            yield Words("", id="trouble", classes="trouble")
            yield Words("Enter stores the limits. Escape leaves without storing.")
        yield Footer()

    @on(Input.Submitted)
    def _store(self) -> None:
        fields = {field.id: field for field in self.query(Input)}
        field = fields["inbreeding"]
        try:
            inbreeding = typed.fraction(field.value)
            field = fields["youngest"]
            limits = Limits(inbreeding, typed.years(field.value))
            wishes = self._wishes or Wishes()
            if self._wishes is not None:
                field = fields["pairs"]
                most = typed.count(field.value) if field.value.strip() else None
                field = fields["brood"]
                wishes = Wishes(most, typed.count(field.value))
            if limits != Limits.of(self.desk.ledger.flock):
                field = fields["inbreeding"]
                set_limits(self.desk.ledger, limits, self.desk.keeper)
        except LedgerError as error:
            self.query_one("#trouble", Words).say(f"✗ {error} {error.hint}".strip())
            field.focus()
            return
        self.answer(wishes)
