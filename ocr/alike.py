"""Whether two photos show one ring, by characters that coincide round it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ocr.circle import Overlaps
from ocr.rows import levelled
from ocr.views import views_of

if TYPE_CHECKING:
    from ocr.reading import PhotoReading

_ANYWHERE = -2.0
"""Before looking, what it costs in nats that the ring was turned by just so much."""


def alike(one: PhotoReading, other: PhotoReading) -> float:
    """Nats in favour of two photos showing one ring; 0 where they share nothing.

    Two rings of one flock share most of their characters too: whoever knows the
    flock's rings weighs them as well.

    Args:
        one: A single photo, read.
        other: Another.
    """
    if not one.lines or not other.lines:
        return 0.0
    pair = levelled([one, other])
    overlaps = Overlaps()
    best = 0.0
    for a in views_of(0, pair[0]):
        for b in views_of(1, pair[1]):
            for turn in overlaps.candidates(a, b):
                best = max(best, overlaps.score(a, b, turn) + _ANYWHERE)
    return best
