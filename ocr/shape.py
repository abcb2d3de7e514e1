"""Whether what was found has a ring's shape, and the shape its photos agree on."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from ocr.locate import LEAST_SCORE

if TYPE_CHECKING:
    from collections.abc import Sequence

    from ocr.reading import PhotoReading

_CLEAR_SCORE = 0.8
"""Of 94 pictures without a ring 13 showed the shape of one, none scored above 0.76."""
_CERTAIN_SIGN, _CERTAIN_SIGNS = 0.9, 3
"""What of an unlikely ring shows that it is one: one certain character of a doubtful
one, three of what hardly has the shape; no picture without a ring shows so much."""
_AGREE = 1.08
"""Heights over diameters that differ by less are taken for the same."""
_AMISS = 1.12
"""Where a ring seems so much higher or lower than in other photos, a rim or a side
was found wrong."""
_KEPT = 0.65
"""A photo read anew keeps such a share of its characters: what had been read beyond
a true side may go, the inscription may not."""


def borne_out(read: PhotoReading, score: float) -> bool:
    """Whether it is a ring: by its shape, or by certain letters and digits on it.

    Args:
        read: What was read on it.
        score: How well the picture bears out its shape, 0..1.
    """
    if score >= _CLEAR_SCORE:
        return True
    needed = 1 if score >= LEAST_SCORE else _CERTAIN_SIGNS
    signs = [g for line in read.lines for g in line.glyphs if g.text not in ".-"]
    return sum(g.probability > _CERTAIN_SIGN for g in signs) >= needed


def agreed_aspect(photos: Sequence[PhotoReading]) -> float:
    """The height over the diameter that at least two photos agree on; 0: none."""
    aspects = sorted(p.aspect for p in photos if p.aspect)
    groups = [[b for b in aspects if a <= b <= a * _AGREE] for a in aspects]
    most = max(groups, key=len, default=[])
    return float(np.median(most)) if len(most) > 1 else 0.0


def amiss(photos: Sequence[PhotoReading]) -> list[int]:
    """Photos that should be looked at again by the shape that most agree on.

    Their ring has another shape, so a rim or a side is false, or none was found.
    """
    usual = agreed_aspect(photos)
    if not usual:
        return []
    return [i for i, p in enumerate(photos) if not fits(p.aspect / usual)]


def fits(ratio: float) -> bool:
    """Whether a shape over the usual one is what errors of measuring make of it."""
    return 1 / _AMISS < ratio < _AMISS


def better(anew: PhotoReading, before: PhotoReading) -> PhotoReading:
    """The reading by the agreed shape, unless it lost what had been read."""
    kept = anew.ring_found and _certain(anew) >= _KEPT * _certain(before)
    return anew if kept else before


def _certain(photo: PhotoReading) -> float:
    """Characters that may be expected to be right."""
    return sum(g.probability for line in photo.lines for g in line.glyphs)
