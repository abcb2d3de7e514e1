"""What the character network should answer to drawn strips, cell by cell."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from ocr.training.sheet import HEIGHT
from ocr.training.strips import strip

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from ocr.training.glyph_table import GlyphTable
    from ocr.training.sheet import Mark

WIDE = 544
"""Width of one training picture: strips side by side, to waste little padding."""
STEP = 4
"""Pixels per cell of the network's answer."""
_REACH = 4
"""Cells round a centre that are warmed."""


def wide_strip(
    rng: np.random.Generator, table: GlyphTable
) -> tuple[NDArray[np.uint8], NDArray[np.float32]]:
    """Strips side by side, and their truth.

    Returns:
        (HEIGHT, WIDE, 3) uint8 BGR, and (HEIGHT / STEP, WIDE / STEP, 8) float32:
        heat of the centre, log width and height over 16 pixels, offset of the
        centre in cells (x, y), quarter turns, label + 1 (0: no character),
        weight of the ground.
    """
    wide = np.zeros((HEIGHT, WIDE, 3), np.uint8)
    truth = np.zeros((HEIGHT // STEP, WIDE // STEP, 8), np.float32)
    truth[..., 7] = 1
    x0 = 0
    while True:
        picture, marks = strip(rng, table)
        w = picture.shape[1]
        if x0 + w > WIDE:
            return wide, truth
        wide[:, x0 : x0 + w] = picture
        draw(truth, marks, x0)
        x0 += -(-w // 32) * 32 + 32


def draw(truth: NDArray[np.float32], marks: Sequence[Mark], x0: int) -> None:
    """Write the characters of a strip that begins at column `x0` into the truth."""
    rows, columns = truth.shape[:2]
    for mark in sorted(marks, key=lambda m: m.seen):
        cx, cy = (mark.x + x0 + 0.5) / STEP - 0.5, (mark.y + 0.5) / STEP - 0.5
        i, j = round(cx), round(cy)
        if not (0 <= i < columns and 0 <= j < rows):
            continue
        if mark.seen:
            _warm(truth, mark, cx, cy)
            _describe(truth, mark, cx, cy)
            truth[j, i, 0] = 1
            truth[j, i, 7] = 1
        else:
            rx, ry = max(1, int(mark.w / 8)), max(1, int(mark.h / 8))
            truth[max(0, j - ry) : j + ry + 1, max(0, i - rx) : i + rx + 1, 7] = 0


def _warm(truth: NDArray[np.float32], mark: Mark, cx: float, cy: float) -> None:
    """Heat that falls off from a character's centre."""
    rows, columns = truth.shape[:2]
    i, j = round(cx), round(cy)
    sx, sy = (max(0.7, size / STEP * 0.16) for size in (mark.w, mark.h))
    top, bottom = max(0, j - _REACH), min(rows, j + _REACH + 1)
    left, right = max(0, i - _REACH), min(columns, i + _REACH + 1)
    ys, xs = np.mgrid[top:bottom, left:right]
    heat = np.exp(-0.5 * (((xs - cx) / sx) ** 2 + ((ys - cy) / sy) ** 2))
    view = truth[top:bottom, left:right, 0]
    np.maximum(view, heat * 0.98, out=view)


def _describe(truth: NDArray[np.float32], mark: Mark, cx: float, cy: float) -> None:
    """Box, turn and label, in the centre's cell and its four neighbours."""
    rows, columns = truth.shape[:2]
    i, j = round(cx), round(cy)
    for jj, ii in ((j - 1, i), (j, i - 1), (j, i), (j, i + 1), (j + 1, i)):
        if 0 <= jj < rows and 0 <= ii < columns:
            cell = truth[jj, ii]
            cell[1:3] = np.log(max(mark.w, 2) / 16), np.log(max(mark.h, 2) / 16)
            cell[3:5] = cx - ii, cy - jj
            cell[5], cell[6] = mark.turn // 90, mark.label + 1
