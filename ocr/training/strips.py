"""Draw unrolled rings with known characters: lit metal, ink, wear, bad light.

A strip is drawn as base colour x light, with the text as colour, relief or
both, then spoilt the way a camera and a careless pose spoil it. Every
character carries its box and turn; one that cannot be seen is marked so that
training passes over it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import cv2
import numpy as np

from ocr.training import lens, wear
from ocr.training.layout import lay_out
from ocr.training.metal import paint
from ocr.training.sheet import HEIGHT

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from ocr.training.glyph_table import GlyphTable
    from ocr.training.sheet import Mark
    from ocr.training.wear import Pair

_GROUND_BELOW = 0.55
"""Of a character, shown less than this, is ground: else it is read as another."""
_OUT_OF_CLUTTER = 0.6
"""Text fainter than this beside the metal's own pattern cannot be told from it."""
_LEFT_FROM = 0.65
"""With less than this of its strokes left, a character may be another."""
_WHOLE_FROM = 0.78
"""Shown less than this, a character is passed over."""


def strip(
    rng: np.random.Generator, table: GlyphTable
) -> tuple[NDArray[np.uint8], list[Mark]]:
    """One strip: (HEIGHT, W, 3) uint8 BGR and its marks."""
    across = np.exp(rng.uniform(np.log(0.75), np.log(3.1)))
    w = int(np.clip(HEIGHT * 1.309 * across, 110, 520))
    sheet = lay_out(rng, table, w)
    pair = paint(rng, sheet)
    if rng.random() < 0.06:
        sheet.marks = []
        pair = wear.adorned(rng, (pair[0], pair[0]))
    picture = _spoilt(rng, pair, sheet.marks)
    return picture, [mark for mark in sheet.marks if mark.label >= 0]


def _spoilt(
    rng: np.random.Generator, pair: Pair, marks: list[Mark]
) -> NDArray[np.uint8]:
    """The photo of a strip; moves its marks and finds which are seen."""
    h, w = pair[0].shape[:2]
    strokes = np.abs(pair[1] - pair[0]).max(2)
    pair, left = wear.faded(rng, pair)
    pair = wear.fitted(rng, wear.stained(rng, pair))
    pair = wear.scratched(rng, pair)
    pair, cover = wear.covered(rng, pair)
    pair, down = wear.feathered(rng, pair)
    misfit = lens.Misfit.drawn(rng, h, w)
    pair = misfit.shown(rng, pair)
    over = np.stack([np.maximum(cover, down), strokes, strokes * left], 2)
    over = cv2.remap(over, misfit.sx, misfit.sy, cv2.INTER_LINEAR)
    misfit.move(marks, h, w)
    pair, small = lens.blurred(rng, pair)
    photo, away, noise = lens.exposed(rng, pair)
    for mark in marks:
        _judge(mark, away, over, noise, small)
    photo = photo.astype(np.uint8)
    if rng.random() < 0.5:
        quality = [cv2.IMWRITE_JPEG_QUALITY, int(rng.integers(35, 95))]
        _, code = cv2.imencode(".jpg", photo, quality)
        photo = cv2.imdecode(code, cv2.IMREAD_COLOR)
    return photo


def _judge(
    mark: Mark,
    away: NDArray[np.float32],
    over: NDArray[np.float32],
    noise: float,
    small: float,
) -> None:
    """Set what training asks of a character: to be found, ground, or neither.

    `away` is of `lens.exposed`; `over` is, per pixel, how far something covers it,
    its strokes, and what of these is not worn off.
    """
    h, w = away.shape[:2]
    x0, x1 = int(max(0, mark.x - mark.w / 2)), int(min(w, mark.x + mark.w / 2 + 1))
    y0, y1 = int(max(0, mark.y - mark.h / 2)), int(min(h, mark.y + mark.h / 2 + 1))
    whole = max(1.0, (mark.w + 1) * (mark.h + 1))
    shown = max(0, x1 - x0) * max(0, y1 - y0) / whole
    if shown < _GROUND_BELOW:
        mark.label = -1
        return
    if shown < _WHOLE_FROM:
        mark.seen = False
        return
    inside = np.ascontiguousarray(away[y0:y1, x0:x1])
    strong, clutter = np.sqrt(cv2.mean(inside * inside)[:2])
    cover, strokes, left, _ = cv2.mean(np.ascontiguousarray(over[y0:y1, x0:x1]))
    if (
        strong < max(4.0, 0.9 * noise * 0.6)
        or strong < _OUT_OF_CLUTTER * clutter
        or cover > 0.25
        or left < _LEFT_FROM * strokes
        or min(max(mark.w, mark.h) * small, 99) < 5
    ):
        mark.seen = False
