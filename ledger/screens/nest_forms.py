"""What happened in a nest, in a short form: laid, candled, hatched, spent, parted."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from ledger.domain.breeding import EggFate
from ledger.screens.form_dialog import FormDialog
from ledger.screens.happened import DATES
from ledger.services import nest, typed
from ledger.services.clutches import called_pair
from ledger.widgets.form import FormLine

if TYPE_CHECKING:
    from collections.abc import Callable

    from ledger.domain.partial_date import PartialDate
    from ledger.screens.desk import Desk

_NOT_SURE = "nothing sure: look again in a few days"
_NOTES = FormLine("notes", "In words", hint="May stay empty.")


@dataclass(frozen=True)
class NestEntry:
    """What stands in the form, understood."""

    on: PartialDate
    notes: str
    name: str
    weight_g: float | None
    fate: EggFate


class NestForm(FormDialog):
    """Enter stores and answers True; Escape stores nothing."""

    def __init__(
        self,
        desk: Desk,
        title: str,
        lines: tuple[FormLine, ...],
        store: Callable[[NestEntry], str],
        *,
        about: str = "",
    ) -> None:
        """A form over a page.

        Args:
            desk: The keeper's.
            title: Stands on top.
            lines: Of the form; those called fate, name, weight and notes count, and
                the day, which is added.
            store: Does it; answers with what is told then.
            about: What must be known first, above the form.
        """
        super().__init__(desk)
        self._title = title
        self._lines = (*lines, FormLine("on", "When", str(desk.today), DATES), _NOTES)
        self._do = store
        self._about = about
        self._told = ""

    def title_words(self) -> str:
        """What happened."""
        return self._title

    def about_words(self) -> str:
        """What must be known first."""
        return self._about

    def lines(self) -> tuple[FormLine, ...]:
        """What is asked, the day and the words last."""
        return self._lines

    def store(self, words: dict[str, str]) -> None:
        """Understand what stands in the form, and do it.

        Raises:
            LedgerError: a weight or a day is none, or it cannot be stored.
        """
        self.at = "weight"
        weight_g = typed.grams(words.get("weight", ""))
        self.at = "on"
        entry = NestEntry(
            typed.date(words["on"], self.desk.today),
            words["notes"].strip(),
            words.get("name", "").strip(),
            weight_g,
            EggFate(words.get("fate", EggFate.IN_NEST)),
        )
        self._told = self._do(entry)

    def stored_words(self) -> str:
        """What the act answered."""
        return self._told


def lay(desk: Desk, pair_id: str, clutch_id: str = "") -> NestForm:
    """An egg more; "" begins a clutch."""
    flock = desk.ledger.flock
    pair = called_pair(flock, flock.pairs.get(pair_id))

    def store(entry: NestEntry) -> str:
        clutch = nest.lay_egg(
            desk.ledger,
            pair_id,
            entry.on,
            desk.keeper,
            clutch_id=clutch_id,
            notes=entry.notes,
        )
        return f"Egg {clutch.eggs[-1].number} of {pair}."

    begins = "" if clutch_id else "It begins a clutch. "
    return NestForm(
        desk,
        f"{pair}: an egg was laid",
        (),
        store,
        about=f"{begins}Do not disturb a hen that lays; note what you see.",
    )


def candled(desk: Desk, clutch_id: str, number: int) -> NestForm:
    """What light showed."""

    def store(entry: NestEntry) -> str:
        egg = nest.candle(
            desk.ledger,
            clutch_id,
            number,
            entry.fate,
            entry.on,
            desk.keeper,
            notes=entry.notes,
        )
        seen = "nothing sure" if egg.fate is EggFate.IN_NEST else str(egg.fate)
        return f"Egg {number}: {seen}."

    choices = tuple(
        (str(fate), _NOT_SURE if fate is EggFate.IN_NEST else str(fate))
        for fate in nest.CANDLED_FATES
    )
    line = FormLine("fate", "It is", choices=choices, hint="Left and Right choose.")
    return NestForm(desk, f"Egg {number} candled", (line,), store)


def spent(desk: Desk, clutch_id: str, number: int) -> NestForm:
    """An egg came to nothing."""

    def store(entry: NestEntry) -> str:
        egg = nest.end_egg(
            desk.ledger,
            clutch_id,
            number,
            entry.fate,
            entry.on,
            desk.keeper,
            notes=entry.notes,
        )
        return f"Egg {number}: {egg.fate}."

    choices = tuple((str(fate), str(fate)) for fate in nest.SPENT_FATES)
    line = FormLine("fate", "It is", choices=choices, hint="Left and Right choose.")
    return NestForm(desk, f"Egg {number} came to nothing", (line,), store)


def hatched(desk: Desk, clutch_id: str, number: int) -> NestForm:
    """A chick."""

    def store(entry: NestEntry) -> str:
        chick = nest.hatch(
            desk.ledger,
            clutch_id,
            number,
            entry.on,
            desk.keeper,
            name=entry.name,
            weight_g=entry.weight_g,
            notes=entry.notes,
        )
        return f"{chick.title} is a bird of the flock, with its sire and dam."

    lines = (
        FormLine("name", "Name of the chick", hint="May stay empty until it has one."),
        FormLine("weight", "Weight in grams", hint="If it was weighed."),
    )
    return NestForm(desk, f"Egg {number} hatched", lines, store)


def parted(desk: Desk, pair_id: str) -> NestForm:
    """A pair no longer."""
    flock = desk.ledger.flock
    pair = called_pair(flock, flock.pairs.get(pair_id))

    def store(entry: NestEntry) -> str:
        nest.part_pair(desk.ledger, pair_id, entry.on, desk.keeper, notes=entry.notes)
        return f"{pair} are no pair any more."

    return NestForm(desk, f"{pair}: parted", (), store)
