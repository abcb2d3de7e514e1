"""The ring's colour by name, as a keeper would say it; nothing where unsure."""

from __future__ import annotations

from typing import TYPE_CHECKING

import cv2
import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

# Bounds in CIE Lab, read off rings of known colour under lamps, flash, sun and
# overcast sky. A tinted light moves grey metal by up to 15 of chroma.
_GREY_BELOW, _COLOUR_ABOVE = 11.0, 20.0
_HUES: tuple[tuple[float, str], ...] = (
    (42.0, "red"),
    (62.0, "orange"),
    (108.0, "gold"),
    (137.0, "lightgreen"),
    (190.0, "green"),
    (268.0, "lightblue"),
    (305.0, "blue"),
    (340.0, "violet"),
    (361.0, "red"),
)


def colour_of(strip: NDArray[np.uint8]) -> str:
    """Name the colour of an unrolled ring.

    Args:
        strip: (H, W, 3) uint8 BGR.

    Returns:
        "silver" (any bare metal), "white", "black", "red", "orange", "gold",
        "yellow", "brown", "green", "lightgreen", "blue", "lightblue", "violet",
        "pink", or "" where the picture does not tell.
    """
    high, wide = strip.shape[:2]
    middle = strip[high // 12 : -(high // 12) or None, wide // 6 : -(wide // 6) or None]
    if middle.size == 0:
        return ""
    lab = cv2.cvtColor(middle.astype(np.float32) / 255, cv2.COLOR_BGR2LAB)
    pixels = lab.reshape(-1, 3)
    dull = pixels[pixels[:, 0] < 96]  # a blown highlight has no colour
    light, a, b = np.median(dull if len(dull) > 50 else pixels, axis=0)
    chroma = float(np.hypot(a, b))
    if chroma < _GREY_BELOW:
        return _grey_name(middle, float(light))
    if chroma < _COLOUR_ABOVE:
        return ""
    return _hue_name(float(light), chroma, float(np.degrees(np.arctan2(b, a))) % 360)


def _hue_name(light: float, chroma: float, hue: float) -> str:
    name = next(n for bound, n in _HUES if hue < bound)
    if name == "gold":
        if hue < 76 and chroma >= 36:
            name = "orange"
        elif hue > 84 and chroma > 45:
            name = "yellow"
    if name in ("orange", "gold") and light < 25:
        return "brown" if chroma < 24 else name
    if name == "red" and light > 62 and chroma < 45:
        return "pink"
    if name == "lightgreen" and light < 40:
        return "green"
    if name == "lightblue" and light < 48:
        return "blue"
    return name


def _grey_name(middle: NDArray[np.uint8], light: float) -> str:
    """Bare metal mirrors its surroundings in bands; white and black do not."""
    if light < 27:
        return "black"
    if light < 33:
        return ""
    grey = cv2.cvtColor(middle, cv2.COLOR_BGR2GRAY).astype(np.float32)
    grain = grey - cv2.blur(grey, (1, 5))
    roughness = float(np.median(np.abs(grain)) / max(float(np.median(grey)), 1.0))
    profile = np.percentile(grey, 60, axis=0)
    x = np.linspace(-1, 1, len(profile))
    bands = profile - np.polyval(np.polyfit(x, profile, 2), x)
    banding = float(np.std(bands) / max(float(profile.mean()), 1.0))
    if roughness < 0.0125 and banding < 0.06:
        return "white" if light > 45 else ""
    if roughness < 0.0125 and banding < 0.16:
        return ""
    return "silver"
