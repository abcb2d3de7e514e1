"""Handbook weights of adult birds.

Source: J. B. Dunning, CRC Handbook of Avian Body Masses, 2nd edition (2008), as
carried by EltonTraits 1.0 (Wilman et al. 2014, Ecology 95:2027; CC0, from
memory). Handbook and zoo means differ by 10 to 40 % in many parrots: a bird is
judged by its own history first.
"""

from __future__ import annotations

from dataclasses import dataclass

from ledger.reference.species import rows_of


@dataclass(frozen=True, slots=True)
class HandbookWeight:
    """The mean weight of adults."""

    scientific_name: str
    english_name: str
    order: str
    mean_g: float
    source: str


def handbook_weight(species: str) -> HandbookWeight | None:
    """The handbook's mean for a species; None where it is not listed.

    Args:
        species: Scientific, English or trade name.
    """
    for row in rows_of("weights.csv", species):
        return HandbookWeight(
            row.text("scientific_name"),
            row.text("english_name"),
            row.text("order"),
            row.number("mean_mass_g"),
            row.text("source"),
        )
    return None
