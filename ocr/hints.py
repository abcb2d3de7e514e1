"""What would make the next photo better, in sentences a person can act on."""

from __future__ import annotations

from typing import TYPE_CHECKING

import cv2
import numpy as np

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from ocr.reading import Line

SMALL_PX = 60.0
"""Below this height of the ring in the photo small letters are lost."""
BLURRED_SHARE = 0.16
"""An edge wider than this share of a capital's height is blurred."""
OBLIQUE_DEG = 32.0
GLARE = 250

_Box = tuple[float, float, float, float]


def hints(
    strip: NDArray[np.uint8],
    lines: Sequence[Line],
    *,
    ring_height_px: float = 0.0,
    toward_deg: float = 0.0,
) -> tuple[str, ...]:
    """Sentences on blur, glare, size and angle; none where all is well.

    Args:
        strip: (H, W, 3) uint8 BGR, upright.
        lines: What was read in it.
        ring_height_px: The ring's height in the photo, 0 if unknown.
        toward_deg: How far the ring leans toward or away from the camera.
    """
    found = []
    unsure = not lines or min(g.probability for ln in lines for g in ln.glyphs) < 0.8
    if 0 < ring_height_px < SMALL_PX:
        found.append("The ring is small in the picture: come nearer, or zoom in.")
    elif unsure and lines and edge_share(strip, lines) > BLURRED_SHARE:
        found.append("The picture is blurred: rest your hand, or give more light.")
    glared = glare_over(strip, lines)
    if glared:
        what = "a character" if glared == 1 else f"{glared} characters"
        found.append(f"Glare lies over {what}: tilt the leg a little.")
    if abs(toward_deg) > OBLIQUE_DEG:
        found.append("The ring is seen from too far above or below: hold it level.")
    return tuple(found)


def _boxes(
    lines: Sequence[Line], strip: NDArray[np.uint8], span_deg: float
) -> list[_Box]:
    high, wide = strip.shape[:2]
    return [
        (
            (g.phi_deg / span_deg + 0.5) * wide,
            (1 - g.height) * high,
            g.width_deg / span_deg * wide,
            g.height_span * high,
        )
        for line in lines
        for g in line.glyphs
    ]


def _patches(
    strip: NDArray[np.uint8], lines: Sequence[Line], span_deg: float
) -> list[NDArray[np.uint8]]:
    patches = []
    for x, y, w, h in _boxes(lines, strip, span_deg):
        left, top = max(int(x - w / 2), 0), max(int(y - h / 2), 0)
        patch = strip[top : int(y + h / 2) + 1, left : int(x + w / 2) + 1]
        if patch.shape[0] > 3 and patch.shape[1] > 3:
            patches.append(patch)
    return patches


def glare_over(
    strip: NDArray[np.uint8], lines: Sequence[Line], span_deg: float = 150.0
) -> int:
    """How many uncertain characters lie for a good part under blown highlights."""
    weak = [
        type(line)(
            tuple(g for g in line.glyphs if g.probability < 0.85), line.direction
        )
        for line in lines
    ]
    return sum(
        float(np.mean(patch.min(axis=2) >= GLARE)) > 0.35
        for patch in _patches(strip, weak, span_deg)
    )


def edge_share(
    strip: NDArray[np.uint8], lines: Sequence[Line], span_deg: float = 150.0
) -> float:
    """Median width of the letters' sharpest edges over the letters' height.

    The width of an edge is its whole contrast over its steepest slope.
    """
    shares = []
    for patch in _patches(strip, lines, span_deg):
        grey = cv2.cvtColor(patch, cv2.COLOR_BGR2GRAY).astype(np.float32)
        low, high = np.percentile(grey, (5, 95))
        slope = np.hypot(
            cv2.Sobel(grey, cv2.CV_32F, 1, 0, scale=1 / 8),
            cv2.Sobel(grey, cv2.CV_32F, 0, 1, scale=1 / 8),
        )
        steepest = float(np.percentile(slope, 97))
        if high - low > 8 and steepest > 0:
            shares.append(float(high - low) / steepest / max(patch.shape[:2]))
    return float(np.median(shares)) if shares else 0.0
