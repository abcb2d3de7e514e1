"""Published inner diameters of closed rings, by species.

Source: Bundesartenschutzverordnung (BArtSchV, the German federal ordinance on
the protection of species) of 16 February 2005, Anlage 6, column 3; a statute's
text is free of copyright (UrhG section 5, from memory). Budgerigars, which the
ordinance does not list: the Budgerigar Society's ring specification and two
clubs' pages, as each row says. English names: EltonTraits 1.0 (Wilman et al.
2014, Ecology 95:2027), else from memory, as each row says.

Two values stand as printed but look wrong; their `doubt` says why.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

from ledger.reference.species import rows_of
from ledger.reference.table import rows

if TYPE_CHECKING:
    from ledger.reference.table import Row

TABLE = "ring_sizes.csv"


@dataclass(frozen=True, slots=True)
class RingSize:
    """One published size."""

    scientific_name: str
    english_name: str
    german_name: str
    order: str
    smallest_mm: float
    """Inner diameter; equal to `largest_mm` where one size is given."""
    largest_mm: float
    cock_mm: float | None
    """Where the table gives the sexes their own."""
    hen_mm: float | None
    source: str
    evidence: str
    """How the value was checked: the text was read, or it is from memory."""
    doubt: str
    """Why the printed value may be wrong; "" where nothing speaks against it."""

    def off_by_mm(self, size_mm: float) -> float:
        """How far a ring lies outside what is published: + too large, - too small."""
        if size_mm > self.largest_mm:
            return size_mm - self.largest_mm
        return min(size_mm - self.smallest_mm, 0.0)


def ring_size(species: str) -> tuple[RingSize, ...]:
    """Published sizes for a species, most authoritative first; often just one.

    Args:
        species: Scientific, English or trade name.

    Returns:
        Nothing where no table lists it: the cockatiel and the peach-faced lovebird
        are among those that the ordinance leaves out.
    """
    return tuple(_size(row) for row in rows_of(TABLE, species))


@cache
def all_ring_sizes() -> tuple[RingSize, ...]:
    """Every row of the table."""
    return tuple(_size(row) for row in rows(TABLE))


def _size(row: Row) -> RingSize:
    return RingSize(
        row.text("scientific_name"),
        row.text("english_name"),
        row.text("german_name"),
        row.text("order"),
        row.number("smallest_mm"),
        row.number("largest_mm"),
        row.number_or_none("cock_mm"),
        row.number_or_none("hen_mm"),
        row.text("source"),
        row.text("evidence"),
        row.text("doubt"),
    )
