"""The ring series: one for each batch there ever was, and the rings of 2026.

What was ordered for 2026 came in January but for two sizes, which are on their way.
"""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

from ledger.domain import PartialDate, Ring, RingKind
from ledger.domain.series import RingSeries
from making.batches import BATCHES, PLACES, Batch

if TYPE_CHECKING:
    from making.lives import Book

OURS = "Tidewrack Aviaries"
LARGE, SMALL = "IE TWK / 26 {n}", "TWK 26 / {n}"
CAME = (
    Batch(2026, "GP", 107, 112, LARGE, "green", 11.5),
    Batch(2026, "SE", 113, 118, LARGE, "green", 7.5),
    Batch(2026, "SE neighbour", 119, 120, LARGE, "green", 8.0),
    Batch(2026, "CT", 121, 128, SMALL, "green", 5.5),
)
"""In stock since January 2026."""
ON_THE_WAY = (
    Batch(2026, "BF", 129, 134, LARGE, "green", 11.0),
    Batch(2026, "LB", 135, 140, SMALL, "green", 4.5),
)
_ARRIVED, _ORDERED = dt.date(2026, 1, 20), dt.date(2026, 1, 9)


def series_key(batch: Batch) -> str:
    """By what rings name their series until ids are given."""
    return f"series {batch.year} {batch.code}"


def enter(book: Book) -> None:
    """Enter all series, and the rings of 2026."""
    for batch in BATCHES:
        came = dt.date(batch.year, 2, 15)
        book.put(
            came,
            _series(
                batch, PartialDate(batch.year - 1, 11), PartialDate.of(came)
            ),
        )  # fmt: skip
    for batch in CAME:
        book.put(
            _ARRIVED,
            _series(batch, PartialDate.of(_ORDERED), PartialDate.of(_ARRIVED)),
        )
        for number in range(batch.first, batch.last + 1):
            inscription = batch.inscription(number)
            ring = Ring(
                inscription, inscription, RingKind.CLOSED, batch.colour,
                batch.size_mm, issuer=OURS, series=series_key(batch),
            )  # fmt: skip
            book.put(_ARRIVED, ring)
    for batch in ON_THE_WAY:
        book.put(_ORDERED, _series(batch, PartialDate.of(_ORDERED), None))


def _series(
    batch: Batch, ordered: PartialDate, arrived: PartialDate | None
) -> RingSeries:
    tried = [
        f"{number:04d} is {PLACES[batch.code, number]:g} mm, for a trial."
        for number in range(batch.first, batch.last + 1)
        if PLACES.get((batch.code, number), batch.size_mm) != batch.size_mm
    ]
    notes = " ".join([f"{batch.metal.capitalize()}.", *tried])
    return RingSeries(
        series_key(batch), batch.layout.format(n="{serial}"), batch.year,
        batch.first, batch.last, 4, batch.size_mm, RingKind.CLOSED, batch.colour, OURS,
        f"L {batch.year % 100:02d}-{batch.first:03d}", ordered, arrived, notes,
    )  # fmt: skip
