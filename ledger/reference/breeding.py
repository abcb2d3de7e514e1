"""Incubation, fledging and clutch size, as far as they are published.

Sources, one row each and in places at odds: the Amniote database (Myhrvold et
al. 2015, Ecology 96:3109, CC BY); AnAge (CC BY 3.0,
https://creativecommons.org/licenses/by/3.0/); Handbook of the Birds of the World
and Australian Parrots as tabulated by Smeele et al. 2022, Proc. R. Soc. B
289:20212397. All are given; none is averaged away.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from ledger.reference.species import rows_of

if TYPE_CHECKING:
    from ledger.reference.table import Row


@dataclass(frozen=True, slots=True)
class BreedingFigures:
    """What one source says of a species."""

    scientific_name: str
    english_name: str
    order: str
    incubation_days: float | None
    fledging_days: float | None
    """Days from hatching to leaving the nest."""
    fewest_eggs: float | None
    """A mean where the source gives one number; then equal to `most_eggs`."""
    most_eggs: float | None
    fed_after_fledging_months: float | None
    source: str
    evidence: str


def breeding_figures(species: str) -> tuple[BreedingFigures, ...]:
    """What each source says of a species; nothing where none lists it.

    Args:
        species: Scientific, English or trade name.
    """
    return tuple(_figures(row) for row in rows_of("breeding.csv", species))


def _figures(row: Row) -> BreedingFigures:
    fewest, _, most = row.text("clutch_size").partition("-")
    return BreedingFigures(
        row.text("scientific_name"),
        row.text("english_name"),
        row.text("order"),
        row.number_or_none("incubation_days"),
        row.number_or_none("fledging_days"),
        float(fewest) if fewest else None,
        float(most or fewest) if fewest else None,
        row.number_or_none("fed_after_fledging_months"),
        row.text("source"),
        row.text("evidence"),
    )
