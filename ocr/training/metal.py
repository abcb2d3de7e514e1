"""Paints a lettered strip: anodised or bare metal, ink, laser, relief, and light."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import cv2
import numpy as np

from ocr.training.grain import noise
from ocr.training.light import lighting, room, seen_from, shown
from ocr.training.sheet import HEIGHT

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from ocr.training.sheet import Sheet

COLOURS = {
    "silver": (175, 178, 180),
    "steel": (140, 145, 150),
    "red": (40, 35, 190),
    "orange": (30, 110, 230),
    "gold": (60, 165, 205),
    "yellow": (50, 215, 235),
    "green": (70, 130, 40),
    "lime": (60, 220, 150),
    "blue": (160, 70, 30),
    "light": (215, 180, 110),
    "violet": (150, 45, 110),
    "pink": (170, 120, 235),
    "black": (30, 28, 28),
    "white": (225, 228, 230),
    "brown": (50, 80, 120),
}
"""Colours that rings come in, BGR as a camera sees them in plain light."""


def paint(
    rng: np.random.Generator, sheet: Sheet
) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    """Colour a strip without and with its text: (HEIGHT, W, 3) float32 both."""
    # Most rings are of bare metal.
    bare = rng.random() < 0.35
    name = str(rng.choice(["silver", "steel"] if bare else list(COLOURS)))
    base = np.array(COLOURS[name], np.float32) * rng.uniform(0.6, 1.2)
    base = base + (base.mean() - base) * rng.uniform(0, 0.5)
    base = base + rng.normal(0, 10, 3)
    metal = rng.random() < 0.75
    plain = _bare(rng, sheet.w, base, metal=metal)
    kind = rng.choice(["ink", "laser", "relief", "cut"], p=[0.3, 0.25, 0.32, 0.13])
    text = _worn(rng, sheet.mask.copy())
    if metal and kind != "cut" and rng.random() < 0.55:
        return _mirrored(rng, plain, text, inked=kind != "relief")
    if kind in ("ink", "laser"):
        marked = _inked(rng, plain.copy(), text, base, name, laser=kind == "laser")
    elif kind == "cut":
        marked = _cut(rng, plain.copy(), text)
    else:
        depth = relief(rng, text, rng.uniform(0.35, 1.6))
        marked = plain * np.clip(1 + depth, 0.15, 2.5)[..., None]
        marked = marked + _glint(rng, text)[..., None]
    light = lighting(rng, sheet.w, metal=metal)[..., None].astype(np.float32)
    plain, marked = plain.astype(np.float32), marked.astype(np.float32)
    return plain * light, marked * light


def _mirrored(
    rng: np.random.Generator,
    plain: NDArray[np.float64],
    text: NDArray[np.float32],
    *,
    inked: bool,
) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    """A ring that mirrors its room, under text that does not do so alike.

    Ink and laser marks scatter light, so one mark is dark where the metal mirrors a
    lamp and bright where it mirrors the dark. The slopes of a sunk character mirror
    another part of the room than the metal beside them.

    Returns:
        As `paint`.
    """
    w = text.shape[1]
    round_about = room(rng, w)
    columns = seen_from(rng, w)
    bare = plain * shown(round_about, columns)
    if inked:
        tone = rng.uniform(15, 235) + rng.normal(0, 12, 3)
        even = lighting(rng, w, metal=False)[..., None]
        strength = rng.uniform(0.45, 1.0)
        soft = cv2.GaussianBlur(text, (0, 0), rng.uniform(0.3, 0.9))
        alpha = soft[..., None] * strength
        marked = bare * (1 - alpha) + tone * even * rng.uniform(0.5, 1.1) * alpha
        return bare.astype(np.float32), marked.astype(np.float32)
    soft = cv2.GaussianBlur(text.astype(np.float32), (0, 0), rng.uniform(0.6, 2.0))
    around = cv2.Sobel(soft, cv2.CV_32F, 1, 0) * rng.choice([-1, 1])
    across = cv2.Sobel(soft, cv2.CV_32F, 0, 1)
    turned = columns + around * np.float32(w * rng.uniform(0.04, 0.4))
    seen = shown(round_about, turned)
    # Along the axis a room is above bright and below dark, or the other way round.
    seen = seen * np.exp(across * rng.normal(0, 0.5))[..., None]
    dirt = 1 - soft[..., None] * rng.uniform(-0.1, 0.4)
    marked = plain * np.clip(seen * dirt, 0.02, 3.5)
    return bare.astype(np.float32), marked.astype(np.float32)


def _bare(
    rng: np.random.Generator, w: int, base: NDArray[np.float64], *, metal: bool
) -> NDArray[np.float64]:
    """The strip without its text: colour, tint round the ring, brushed grain."""
    plain = np.ones((HEIGHT, w, 3), np.float32) * np.clip(base, 8, 245)
    tint = noise(rng, 2, w, 2, w / rng.uniform(1.5, 5))[0]
    tint = 1 + tint[None, :, None] * rng.normal(0, 0.06, 3)
    if rng.random() < 0.6:
        grain = noise(rng, HEIGHT, w, rng.uniform(0.8, 2), rng.uniform(8, 90))
    else:
        grain = noise(rng, HEIGHT, w, rng.uniform(1, 3), rng.uniform(1, 3))
    if rng.random() < 0.1:
        grain = noise(rng, HEIGHT, w, rng.uniform(8, 60), 1.2)
    depth = rng.uniform(0, 0.16 if metal else 0.04)
    plain *= tint.astype(np.float32) * (1 + grain * depth)[..., None]
    return plain


def _worn(rng: np.random.Generator, text: NDArray[np.float32]) -> NDArray[np.float32]:
    """Strokes with holes where the ring rubbed, on some strips."""
    if rng.random() < 0.4:
        h, w = text.shape
        holes = noise(rng, h, w, rng.uniform(1, 6), rng.uniform(1, 6))
        holes = holes > rng.uniform(0.8, 2.5)
        text = text * (1 - holes * rng.uniform(0.3, 1.0))
    return text


def _inked(
    rng: np.random.Generator,
    marked: NDArray[np.float64],
    text: NDArray[np.float32],
    base: NDArray[np.float64],
    name: str,
    *,
    laser: bool,
) -> NDArray[np.float64]:
    """Text in another tone: darker or lighter, now and then with some relief."""
    grey = float(base.mean())
    lighter = grey < 60 or (grey < 190 and rng.random() < 0.5)
    if name in ("silver", "steel") and rng.random() < 0.8:
        lighter = False
    strength = rng.uniform(0.35, 1.0) if laser else rng.uniform(0.6, 1.0)
    if lighter:
        target = rng.uniform(170, 250)
    else:
        target = rng.uniform(5, min(70, grey * 0.6 + 10))
    ink = np.full(3, target, np.float32) + rng.normal(0, 8, 3)
    if rng.random() < 0.12:
        ink = rng.uniform(0, 255, 3)
    alpha = cv2.GaussianBlur(text, (0, 0), rng.uniform(0.3, 0.9))[..., None] * strength
    marked = marked * (1 - alpha) + ink.astype(np.float32) * alpha
    if rng.random() < 0.35:
        marked *= 1 + relief(rng, text, rng.uniform(0.1, 0.6))[..., None]
    return marked


def _cut(
    rng: np.random.Generator, marked: NDArray[np.float64], text: NDArray[np.float32]
) -> NDArray[np.float64]:
    """Text cut through the colour down to bright metal."""
    bright = np.array([200, 203, 206], np.float32) * rng.uniform(0.7, 1.15)
    alpha = cv2.GaussianBlur(text, (0, 0), 0.5)[..., None] * rng.uniform(0.6, 1)
    marked = marked * (1 - alpha) + bright * alpha
    marked *= 1 + relief(rng, text, rng.uniform(0.2, 0.9))[..., None]
    return marked


def _glint(rng: np.random.Generator, text: NDArray[np.float32]) -> NDArray[np.float32]:
    """Lamps mirrored in the slopes of sunk characters, on some strips: grey levels.

    A steep slope finds a lamp on either side, so both of its edges may shine.
    """
    if rng.random() >= 0.4:
        return np.zeros_like(text)
    soft = cv2.GaussianBlur(text.astype(np.float32), (0, 0), rng.uniform(0.5, 1.4))
    slopes = [cv2.Sobel(soft, cv2.CV_32F, 1, 0), cv2.Sobel(soft, cv2.CV_32F, 0, 1)]
    light = np.zeros_like(text)
    for slope in slopes:
        for side in (-1, 1):
            if rng.random() < 0.5:
                light += np.maximum(side * slope, 0) ** 2 * rng.uniform(5, 60)
    patches = noise(rng, *text.shape, 40, rng.uniform(15, 80))
    return light * np.clip(0.6 + 0.6 * patches, 0, 2)


def relief(
    rng: np.random.Generator, mask: NDArray[np.float32], depth: float
) -> NDArray[np.float32]:
    """Shading of strokes sunk into (or raised from) the metal, lit from one side."""
    soft = cv2.GaussianBlur(mask.astype(np.float32), (0, 0), rng.uniform(0.6, 2.2))
    gx = cv2.Sobel(soft, cv2.CV_32F, 1, 0)
    gy = cv2.Sobel(soft, cv2.CV_32F, 0, 1)
    a = rng.uniform(0, 2 * math.pi)
    shade = (gx * math.cos(a) + gy * math.sin(a)) * rng.choice([-1, 1])
    bright = np.maximum(shade, 0) * rng.uniform(0.4, 1.6)
    shine = bright + np.minimum(shade, 0) * rng.uniform(0.4, 1.6)
    return depth * (shine - rng.uniform(-0.15, 0.5) * soft)
