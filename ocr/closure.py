"""Closed or split: a seam is a narrow dark line from rim to rim."""

from __future__ import annotations

from typing import TYPE_CHECKING

import cv2
import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from ocr.reading import Closure

_STEP_PX = 4
_WIDEST_SHARE = 0.19
"""A seam is narrower than this share of the ring's height."""
_ROWS_PERCENT = 12
"""So few rows may fail to show the edge: letters never reach both rims."""
_CLEAR = 0.35
"""How much darker the seam is, as a natural logarithm. On 169 strips of rings of
known kind no closed ring came above 0.24."""


def closure_of(strip: NDArray[np.uint8]) -> Closure:
    """Whether one photo shows the seam of a split ring.

    Args:
        strip: (H, W, 3) uint8 BGR, the ring unrolled.

    Returns:
        "split" where the seam is clearly seen, "closed" where no trace of one is:
        in this part of the ring, and only all parts together tell; "unsure" else.
    """
    strength = seam_strength(strip)
    if strength >= _CLEAR:
        return "split"
    return "closed" if strength < 0.6 * _CLEAR else "unsure"


def seam_strength(strip: NDArray[np.uint8]) -> float:
    """Depth of the clearest dark line from rim to rim, natural logarithm."""
    grey = cv2.GaussianBlur(cv2.cvtColor(strip, cv2.COLOR_BGR2GRAY), (3, 3), 0)
    level = np.log(grey.astype(np.float32) + 12)[4:-4]
    if level.shape[0] < 8 or level.shape[1] <= 3 * _STEP_PX:
        return 0.0
    step = level[:, _STEP_PX:] - level[:, :-_STEP_PX]
    falls = np.percentile(-step, _ROWS_PERCENT, axis=0)
    rises = np.percentile(step, _ROWS_PERCENT, axis=0)
    widest = max(round(_WIDEST_SHARE * strip.shape[0]), 4)
    best = 0.0
    for x in np.flatnonzero(falls > 0.05):
        ahead = rises[x + 2 : x + widest]
        if len(ahead):
            best = max(best, min(float(falls[x]), float(ahead.max())))
    return best
