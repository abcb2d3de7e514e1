"""The keeper's own ringing days for a species."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual import on
from textual.containers import Vertical
from textual.widgets import Footer

from ledger.care.ringing import ringing_window
from ledger.errors import LedgerError
from ledger.screens.base import Dialog, tell
from ledger.services import ringing_days
from ledger.widgets.form import Form, FormLine
from ledger.widgets.words import Words

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from ledger.screens.desk import Desk


class OwnDaysScreen(Dialog[bool]):
    """Enter stores and answers True; Escape stores nothing."""

    def __init__(self, desk: Desk, species: str) -> None:
        super().__init__(desk)
        self._species = species

    def compose(self) -> ComposeResult:
        """What is said in print, and the keeper's days."""
        own = self.desk.ledger.flock.settings.own_windows
        window = ringing_window(self._species, own)
        usual = ringing_window(self._species)
        with Vertical(classes="dialog"):
            yield Words(f"{self._species}: ringing days", classes="title")
            yield Words(
                f"Usual: day {usual.first_day} to {usual.last_day} ({usual.source}).\n"
                + "\n".join(f"Also {said}." for said in usual.at_odds)
            )
            yield Form(
                [
                    FormLine(
                        "first",
                        "First day of age",
                        str(window.first_day),
                        hint="The day of hatching is day 0. Both empty: the usual.",
                    ),
                    FormLine("last", "Last day of age", str(window.last_day)),
                ]
            )
            yield Words("", id="trouble", classes="trouble")
            yield Words("Enter stores it. Escape leaves without storing.")
        yield Footer()

    @on(Form.Submitted)
    def _store(self) -> None:
        form = self.query_one(Form)
        words = form.entered()
        try:
            ringing_days.set_ringing_days(
                self.desk.ledger,
                self._species,
                words["first"],
                words["last"],
                self.desk.keeper,
            )
        except LedgerError as error:
            self.query_one("#trouble", Words).say(f"✗ {error} {error.hint}".strip())
            form.go_to("first")
            return
        tell(self.app, f"Ringing days of {self._species}.", title="Stored")
        self.answer(True)
