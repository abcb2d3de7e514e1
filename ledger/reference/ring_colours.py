"""Year colours of ring schemes. A colour alone never fixes the year.

Sources, as each row says: the COM colour list on code-knacker.de, the Budgerigar
Society's ring specification, and three keepers' pages, which are weak sources.
Colours come round again after five or six years.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from ledger.reference.table import rows


@dataclass(frozen=True, slots=True)
class YearColour:
    """The colour of one year in one scheme."""

    scheme: str
    year: int
    colour: str
    """As printed, like "Dark blue"."""
    ral: str
    """RAL number; "" where none is given."""
    source: str
    evidence: str


def years_of(colour: str) -> tuple[YearColour, ...]:
    """Every year in which a scheme used this colour, by scheme.

    Args:
        colour: Like "red"; "blue" also finds "Dark blue".
    """
    wanted = set(colour.casefold().split())
    return tuple(c for c in _all() if wanted and wanted <= _words(c.colour))


def colours_of(year: int) -> tuple[YearColour, ...]:
    """What each scheme used in a year."""
    return tuple(colour for colour in _all() if colour.year == year)


def _words(colour: str) -> set[str]:
    return set(colour.partition("(")[0].casefold().split())


@cache
def _all() -> tuple[YearColour, ...]:
    return tuple(
        YearColour(
            row.text("scheme"),
            int(row.text("year")),
            row.text("colour"),
            row.text("ral"),
            row.text("source"),
            row.text("evidence"),
        )
        for row in rows("ring_colours.csv")
    )
