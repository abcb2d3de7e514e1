"""Greatest ages known.

Source: AnAge, The Animal Ageing and Longevity Database, Human Ageing Genomic
Resources, licensed CC BY 3.0 (https://creativecommons.org/licenses/by/3.0/). One
bird's age is no life expectancy; sample size and quality say how far to trust it.
"""

from __future__ import annotations

from dataclasses import dataclass

from ledger.reference.species import rows_of


@dataclass(frozen=True, slots=True)
class Longevity:
    """The oldest bird of a species on file."""

    scientific_name: str
    english_name: str
    longest_years: float
    origin: str
    """"captivity", "wild" or "unknown"."""
    sample_size: str
    quality: str
    source: str


def longevity(species: str) -> Longevity | None:
    """The greatest age known of a species; None where it is not listed.

    Args:
        species: Scientific, English or trade name.
    """
    for row in rows_of("longevity.csv", species):
        return Longevity(
            row.text("scientific_name"),
            row.text("english_name"),
            row.number("max_longevity_y"),
            row.text("specimen_origin"),
            row.text("sample_size"),
            row.text("data_quality"),
            row.text("source"),
        )
    return None
