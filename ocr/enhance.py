"""Several renderings of one line of text, dark on light, none assumed right.

Every rendering is (TEXT_PX + 2 * MARGIN_PX, W) uint8 with the text upright. They
differ in what they take for ink: brightness, colour, or the relief of letters
struck into the metal.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import cv2
import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from ocr.reading import Direction

TEXT_PX = 36
"""Height of a capital in a rendering; the second reader was trained near it."""
MARGIN_PX = 14
"""Plain surface on all sides of the text."""

PAPER = 235
"""Brightness of the plain page."""

_Grey = Any  # float32 or uint8 planes; OpenCV's own stubs are looser still


def line_crop(
    strip: NDArray[np.uint8],
    box: tuple[float, float, float, float],
    text_px: float,
    direction: Direction = "around",
) -> NDArray[np.uint8]:
    """Cut one line out of a strip, upright, with its capitals `TEXT_PX` high.

    Args:
        strip: (H, W, 3) uint8 BGR, upright.
        box: Left, top, right, bottom of the line's characters, pixels of the strip.
        text_px: Height of its capitals, pixels of the strip.
        direction: How the line runs; lines along the leg are turned upright.

    Returns:
        (h, w, 3) uint8 BGR with `MARGIN_PX` of surface on every side.
    """
    zoom = TEXT_PX / max(text_px, 1.0)
    margin = MARGIN_PX / zoom
    left, top, right, bottom = box
    wide = max(round((right - left + 2 * margin) * zoom), 2 * MARGIN_PX)
    high = max(round((bottom - top + 2 * margin) * zoom), 2 * MARGIN_PX)
    matrix = np.array(
        [[zoom, 0, -(left - margin) * zoom], [0, zoom, -(top - margin) * zoom]],
        np.float32,
    )
    cut = cv2.warpAffine(
        strip,
        matrix,
        (wide, high),
        flags=cv2.INTER_AREA if zoom < 1 else cv2.INTER_CUBIC,
        borderMode=cv2.BORDER_REPLICATE,
    )
    if direction == "axial_up":
        cut = cv2.rotate(cut, cv2.ROTATE_90_CLOCKWISE)
    elif direction == "axial_down":
        cut = cv2.rotate(cut, cv2.ROTATE_90_COUNTERCLOCKWISE)
    return cut.astype(np.uint8)


def renderings(crop: NDArray[np.uint8]) -> list[NDArray[np.uint8]]:
    """Every way this line is shown to the second reader.

    Args:
        crop: (h, w, 3) uint8 BGR from `line_crop`.

    Returns:
        (h, w) uint8 pictures, dark letters on light.
    """
    grey = cv2.cvtColor(crop, cv2.COLOR_BGR2GRAY).astype(np.uint8)
    contrast = _strongest_contrast(crop)
    inks = [
        _relief(grey),
        contrast,
        _dots_closed(contrast),
        _both_signs(grey),
        _hat(grey, cv2.MORPH_TOPHAT),
        _hat(grey, cv2.MORPH_BLACKHAT),
    ]
    return [_framed(_dark_on_light(ink)) for ink in inks]


def _framed(page: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Neighbouring lines and characters at the edge fade into paper."""
    keep = np.ones(page.shape, np.float32)
    ramp = np.clip((np.arange(MARGIN_PX) - 7) / 4.0, 0, 1).astype(np.float32)
    keep[:MARGIN_PX] *= ramp[:, None]
    keep[-MARGIN_PX:] *= ramp[::-1, None]
    keep[:, :MARGIN_PX] *= ramp[None]
    keep[:, -MARGIN_PX:] *= ramp[None, ::-1]
    return np.asarray(PAPER - (PAPER - page.astype(np.float32)) * keep, np.uint8)


def _disc(diameter_px: int) -> NDArray[np.uint8]:
    disc = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (diameter_px, diameter_px))
    return disc.astype(np.uint8)


def _evened(ink: _Grey, reach: float) -> _Grey:
    """Faint strokes raised to the level of strong ones nearby."""
    side = int(TEXT_PX * reach) | 1
    return ink / (cv2.blur(ink, (side, side)) + 2.0)


def _hat(grey: NDArray[np.uint8], kind: int) -> _Grey:
    """Strokes brighter (TOPHAT) or darker (BLACKHAT) than what lies round them."""
    smooth = cv2.GaussianBlur(grey, (0, 0), 1.0)
    return _evened(cv2.morphologyEx(smooth, kind, _disc(17)).astype(np.float32), 1.5)


def _both_signs(grey: NDArray[np.uint8]) -> _Grey:
    """Whatever differs from its surroundings, brighter or darker.

    Glare makes one half of a line bright on dark and the other dark on bright.
    """
    smooth = cv2.GaussianBlur(grey, (0, 0), 1.5)
    bright = cv2.morphologyEx(smooth, cv2.MORPH_TOPHAT, _disc(9)).astype(np.float32)
    dark = cv2.morphologyEx(smooth, cv2.MORPH_BLACKHAT, _disc(9)).astype(np.float32)
    return cv2.GaussianBlur(_evened(np.maximum(bright, dark), 2.0), (0, 0), 0.8)


def _dots_closed(contrast: _Grey) -> _Grey:
    """Dots of a dot-peened character grown until they touch."""
    return cv2.GaussianBlur(cv2.dilate(contrast, _disc(5)), (0, 0), 1.0)


def _without_background(plane: _Grey) -> _Grey:
    """Glare bands and shading removed: each pixel against its surroundings."""
    plane = plane.astype(np.float32)
    near = cv2.blur(plane, (int(TEXT_PX * 1.6) | 1, int(TEXT_PX * 1.2) | 1))
    rest = plane - near
    spread = cv2.blur(rest * rest, (int(TEXT_PX * 1.2) | 1, int(TEXT_PX * 2) | 1))
    return rest / (np.sqrt(spread) + 0.25 * float(rest.std()) + 1e-3)


def _strongest_contrast(crop: NDArray[np.uint8]) -> _Grey:
    """The mixture of the three colours that tells letters from metal best.

    Bright minority positive: where few pixels are much brighter than the rest,
    those are the letters, and the sign is turned so that they are positive.
    """
    lab = cv2.cvtColor(crop, cv2.COLOR_BGR2LAB).astype(np.float32)
    rest = np.stack([_without_background(lab[..., i]) for i in range(3)], -1)
    weight = np.array([lab[..., i].std() for i in range(3)], np.float32) + 1e-3
    rest *= weight
    flat = rest.reshape(-1, 3)
    _, vectors = np.linalg.eigh(flat.T @ flat)
    mixed = cv2.GaussianBlur(rest @ vectors[:, -1].astype(np.float32), (0, 0), 1.0)
    skew = float(np.mean((mixed - mixed.mean()) ** 3))
    return mixed if skew >= 0 else -mixed


def _dark_on_light(ink: _Grey) -> NDArray[np.uint8]:
    """Positive values become dark, zero and less light."""
    low, high = np.percentile(ink, (30, 98.5))
    level = np.clip((ink - low) / max(float(high - low), 1e-6), 0, 1)
    return np.asarray(PAPER - 0.95 * PAPER * level, np.uint8)


def _relief(grey: NDArray[np.uint8]) -> _Grey:
    """Edges of either sign drawn solid: struck letters lit from one side."""
    smooth = cv2.GaussianBlur(grey, (0, 0), 1.2)
    steep = cv2.morphologyEx(smooth, cv2.MORPH_GRADIENT, _disc(5))
    return _without_background(cv2.morphologyEx(steep, cv2.MORPH_CLOSE, _disc(5)))
