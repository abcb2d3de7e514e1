"""The keeper's own ringing days for a species."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ledger.care.ringing import ringing_window
from ledger.screens.form_dialog import FormDialog
from ledger.services import ringing_days
from ledger.widgets.form import FormLine

if TYPE_CHECKING:
    from ledger.screens.desk import Desk


class OwnDaysScreen(FormDialog):
    """What is said in print, and the keeper's days."""

    at = "first"

    def __init__(self, desk: Desk, species: str) -> None:
        super().__init__(desk)
        self._species = species

    def title_words(self) -> str:
        """What it is about."""
        return f"{self._species}: ringing days"

    def about_words(self) -> str:
        """The usual days, with their source."""
        usual = ringing_window(self._species)
        return (
            f"Usual: day {usual.first_day} to {usual.last_day} ({usual.source}).\n"
            + "\n".join(f"Also {said}." for said in usual.at_odds)
        )

    def lines(self) -> tuple[FormLine, ...]:
        """The first day and the last."""
        own = self.desk.ledger.flock.settings.own_windows
        window = ringing_window(self._species, own)
        return (
            FormLine(
                "first",
                "First day of age",
                str(window.first_day),
                hint="The day of hatching is day 0. Both empty: the usual.",
            ),
            FormLine("last", "Last day of age", str(window.last_day)),
        )

    def store(self, words: dict[str, str]) -> None:
        """Keep the days.

        Raises:
            LedgerError: they are no days, or it cannot be stored.
        """
        ringing_days.set_ringing_days(
            self.desk.ledger,
            self._species,
            words["first"],
            words["last"],
            self.desk.keeper,
        )

    def stored_words(self) -> str:
        """Whose days they are."""
        return f"Ringing days of {self._species}."
