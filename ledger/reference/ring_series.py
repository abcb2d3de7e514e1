"""Letters and ordinals that stand for a ring size, by scheme.

Sources, as each row says: British Trust for Ornithology, "Biometric Data / Ring
Sizes"; Burgenland ordinance LBG10000307 section 1(3); BArtSchV Anlage 7; one row
each from the Parrot Society UK and the British Bird Council. A letter means
nothing without its scheme: D is 5.25 mm in one and 6 mm in another.
"""

from __future__ import annotations

from dataclasses import dataclass

from ledger.reference.table import rows


@dataclass(frozen=True, slots=True)
class SeriesSize:
    """What one letter or ordinal stands for in one scheme."""

    scheme: str
    code: str
    inner_diameter_mm: float | None
    """None where the source names the letter and not its size."""
    ring_weight_g: float | None
    note: str
    source: str
    evidence: str


def series_size(code: str) -> tuple[SeriesSize, ...]:
    """What a letter or ordinal stands for: one answer per scheme that has it.

    Args:
        code: Like "D", "AA", "1 G" or "0"; case and spaces aside.
    """
    wanted = _plain(code)
    return tuple(
        SeriesSize(
            row.text("scheme"),
            row.text("code"),
            row.number_or_none("inner_diameter_mm"),
            row.number_or_none("ring_weight_g"),
            row.text("note"),
            row.text("source"),
            row.text("evidence"),
        )
        for row in rows("ring_series.csv")
        if _plain(row.text("code")) == wanted
    )


def _plain(code: str) -> str:
    return "".join(code.split()).upper()
