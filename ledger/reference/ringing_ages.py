"""At what age chicks get their closed rings, as far as anybody says so in print.

Little is published, and it differs: see `source` of each row. What breeders do where
nothing is printed is marked "common practice, no source".
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from ledger.reference.species import keys_of, rows_of
from ledger.reference.table import rows
from ledger.reference.weights import handbook_weight

if TYPE_CHECKING:
    from ledger.reference.table import Row

_WITH_ORDER = ("weights.csv", "breeding.csv", "ring_sizes.csv")


@dataclass(frozen=True, slots=True)
class RingingAge:
    """What one source says."""

    of: str
    """"species", "genus", "order" or "all": how particular it is."""
    first_day: int | None
    """Age in days; the day of hatching is day 0."""
    last_day: int | None
    never_after_day: int | None
    source: str
    evidence: str
    """"read", or "common practice"."""


def ringing_ages(species: str) -> tuple[RingingAge, ...]:
    """What is said about a species, its own figures first, then those of its kin.

    Args:
        species: Scientific, English or trade name.

    Returns:
        The rows of the species, of its genus, of its order and weight, and of birds
        in general; the last also for a name that no table knows.
    """
    kin = _kin_of(species)
    weight = handbook_weight(species)
    grams = weight.mean_g if weight else None
    found = [
        row
        for row in rows("ringing_ages.csv")
        if row.text("of") == "all"
        or (row.text("name") in kin.get(row.text("of"), ()) and _weighs(row, grams))
    ]
    return tuple(_age(row) for row in found)


def _kin_of(species: str) -> dict[str, tuple[str, ...]]:
    """The names of the species, its genus and its order in the tables."""
    listed = [row for table in _WITH_ORDER for row in rows_of(table, species)]
    names = dict.fromkeys(row.text("scientific_name") for row in listed)
    keys = {key for name in (*names, species) for key in keys_of(name)}
    own = [
        row.text("name")
        for row in rows("ringing_ages.csv")
        if row.text("of") == "species" and keys & set(keys_of(row.text("name")))
    ]
    return {
        "species": tuple(own),
        "genus": tuple(dict.fromkeys(name.split()[0] for name in names)),
        "order": tuple(dict.fromkeys(row.text("order") for row in listed)),
    }


def _weighs(row: Row, grams: float | None) -> bool:
    """Whether a bird of this weight is meant; where none is known, by no weight."""
    least, most = row.number_or_none("least_g"), row.number_or_none("most_g")
    if grams is None:
        # Of middle size as most parrots are: a wrong guess is seen on the foot.
        return (least is None) == (most is None)
    return (least is None or grams >= least) and (most is None or grams < most)


def _age(row: Row) -> RingingAge:
    first, last, never = (
        None if (number := row.number_or_none(name)) is None else int(number)
        for name in ("first_day", "last_day", "never_after_day")
    )
    return RingingAge(
        row.text("of"), first, last, never, row.text("source"), row.text("evidence")
    )
