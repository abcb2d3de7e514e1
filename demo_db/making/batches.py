"""The TWK rings: one numbered series from 2019 to 2025, bought in small batches.

A batch is what was ordered for one species in one year: a few rings of one size,
colour and layout, numbers running on from the batch before. Small sizes have no
room for the country. Steel is for the birds that chew.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from ledger.domain import RingState

STOCK, SPOILED, LOST = RingState.IN_STOCK, RingState.SPOILED, RingState.LOST


@dataclass(frozen=True)
class Batch:
    """Rings of one order line."""

    year: int
    code: str
    """Code of the line of birds they were ordered for."""
    first: int
    last: int
    layout: str
    """With {n} for the number."""
    colour: str
    size_mm: float
    """Measured on the ring, which may lie a little off the size ordered."""
    metal: str = "anodised aluminium"
    unused: dict[int, tuple[RingState, str]] = field(default_factory=dict)

    def inscription(self, number: int) -> str:
        """What stands on a ring of this batch."""
        return self.layout.format(n=f"{number:04d}")

    @property
    def for_chicks(self) -> list[int]:
        """Numbers that went on birds, in the order in which they hatched."""
        return [n for n in range(self.first, self.last + 1) if n not in self.unused]


def _spare(*numbers: int) -> dict[int, tuple[RingState, str]]:
    return dict.fromkeys(numbers, (STOCK, "Left over from its year."))


def _slipped(number: int) -> dict[int, tuple[RingState, str]]:
    return {number: (LOST, _SLIPPED)}


_SLIPPED = "Slipped off a chick in the night and was never found in the litter."
_BENT = "Bent when it was opened out of its packet; put aside."

BATCHES = (
    Batch(2019, "CT", 1, 4, "TWK 19 / {n}", "orange", 5.5, unused=_spare(4)),
    Batch(2019, "YC", 5, 9, "{n} IE TWK 19", "silver", 10.85, "natural aluminium",
          {5: (SPOILED, _BENT), 6: (LOST, _SLIPPED), **_spare(8, 9)}),
    Batch(2019, "SP", 10, 12, "TWK / 19 / {n}", "yellow", 6.5),
    Batch(2019, "LB", 13, 16, "TWK 19 {n}", "brown", 4.5, unused=_slipped(15)),
    Batch(2019, "SE", 17, 19, "IE 19 TWK {n}", "yellow", 7.5),
    Batch(2019, "PH", 20, 22, "TWK 19 / {n}", "black", 5.5),
    Batch(2020, "CT", 23, 26, "TWK 20 / {n}", "white", 5.5, unused=_spare(26)),
    Batch(2020, "GA", 27, 29, "TWK IE / 2020 {n}", "orange", 9.5),
    Batch(2020, "BP", 30, 32, "IE / TWK / 20 / {n}", "silver", 6.92,
          "natural aluminium", {30: (SPOILED, _BENT), **_spare(32)}),
    Batch(2020, "LB", 33, 36, "TWK 20 {n}", "yellow", 4.5, unused=_slipped(34)),
    Batch(2021, "SP", 37, 39, "TWK / 21 / {n}", "orange", 6.5),
    Batch(2021, "PC", 40, 42, "IE TWK 21 {n}", "silver", 10.78, "stainless steel",
          _spare(40, 41)),
    Batch(2021, "GA", 43, 45, "IE TWK 21 {n}", "silver", 9.18, "stainless steel",
          {44: (SPOILED, _BENT), **_spare(45)}),
    Batch(2021, "RM", 46, 49, "TWK 21 / IE {n}", "yellow", 7.5, unused=_spare(49)),
    Batch(2022, "CT", 50, 53, "TWK 22 / {n}", "yellow", 5.5, unused=_spare(53)),
    Batch(2022, "WF", 54, 56, "TWK 22 IE {n}", "orange", 8.5),
    Batch(2022, "EC", 57, 60, "IE TWK 22 {n}", "red", 10.99, unused=_spare(60)),
    Batch(2022, "PH", 61, 64, "TWK 22 / {n}", "white", 5.5, unused=_slipped(63)),
    Batch(2022, "BH", 65, 67, "IE TWK / 2022 {n} 8.2", "blue", 8.15),
    Batch(2023, "LB", 68, 69, "TWK 23 {n}", "orange", 4.5),
    Batch(2023, "BF", 70, 72, "IE TWK 23 {n}", "green", 10.76),
    Batch(2023, "GP", 73, 75, "2023 {n} 11.5 / IE TWK", "gold", 11.52),
    Batch(2023, "SP", 76, 79, "TWK / 23 / {n}", "brown", 6.5, unused=_spare(79)),
    Batch(2024, "CT", 80, 83, "TWK 24 / {n}", "orange", 5.5, unused=_spare(83)),
    Batch(2024, "RM", 84, 86, "24 IE {n} TWK", "black", 7.53),
    Batch(2024, "LB", 87, 89, "TWK 24 {n}", "white", 4.5),
    Batch(2025, "SE", 90, 91, "IE 25 TWK {n}", "brown", 7.5),
    Batch(2025, "WF", 92, 94, "TWK / IE / 25 / {n}", "violet", 8.06),
    Batch(2025, "CT", 95, 98, "TWK 25 / {n}", "yellow", 5.5, unused=_spare(98)),
    Batch(2025, "BP", 99, 101, "25 TWK / {n}", "orange", 7.0),
    Batch(2025, "PH", 102, 106, "TWK 25 / {n}", "brown", 5.5, unused=_spare(105, 106)),
)  # fmt: skip

PLACES = {("SE", 17): 7.5, ("SE", 18): 8.0, ("SE", 90): 7.5, ("SE", 91): 8.0}
"""Sizes of the rings that were put on trial, two on one chick."""


def batch_of(code: str, year: int) -> Batch:
    """What was ordered for a line's chicks of a year."""
    (found,) = (b for b in BATCHES if (b.code, b.year) == (code, year))
    return found
