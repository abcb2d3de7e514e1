"""Characters of a strip, found and named by the network."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

import cv2
import numpy as np

from ocr.nets import run

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

ALPHABET = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ.-"
"""The characters that rings carry, in the order of the probabilities."""

Turn = Literal[0, 90, 180, 270]


@dataclass(frozen=True)
class RawGlyph:
    """One character as the network found it, before lines are known."""

    probabilities: NDArray[np.float32] = field(compare=False)
    """(len(ALPHABET),) chances of each character."""
    x: float
    """Centre, pixels of the strip from its left edge."""
    y: float
    """Centre, pixels of the strip from its top edge."""
    w: float
    """Extent along the strip, pixels."""
    h: float
    """Extent across the strip, pixels."""
    turn: Turn
    """How far it is turned counter-clockwise from upright in the strip, degrees."""
    score: float
    """Chance that a character stands here at all, 0..1."""


_HEIGHT = 128
"""Rows of a strip as the network sees it; as it was trained."""
_STEP = 4
_LEAST_SCORE = 0.22
_TURNS: tuple[Turn, ...] = (0, 90, 180, 270)


def find_characters(strips: Sequence[NDArray[np.uint8]]) -> list[list[RawGlyph]]:
    """The characters on each strip, whichever way up they stand.

    Args:
        strips: (H, W, 3) uint8 BGR each, unrolled rings.

    Returns:
        For each strip its characters in no order, places in the strip's pixels.

    Raises:
        ModelMissingError: the network's file is not where it belongs.
    """
    return [_on_strip(strip) for strip in strips]


def _on_strip(strip: NDArray[np.uint8]) -> list[RawGlyph]:
    height, width = strip.shape[:2]
    w = max(32, round(width * _HEIGHT / height))
    shown = cv2.resize(strip, (w, _HEIGHT), interpolation=cv2.INTER_AREA)
    padded = cv2.copyMakeBorder(shown, 0, 0, 0, -w % 32, cv2.BORDER_CONSTANT)
    out = run("characters", np.asarray(padded, np.uint8)[None])[0]
    out = out[:, :, : -(-w // _STEP)]
    heat = 1 / (1 + np.exp(-np.clip(out[0], -30, 30)))
    peaks = (heat >= cv2.dilate(heat, np.ones((3, 3)))) & (heat > _LEAST_SCORE)
    back = width / w
    found = []
    for row, column in zip(*np.nonzero(peaks), strict=True):
        cell = out[:, row, column]
        turn = _softmax(cell[5:9])
        found.append(
            RawGlyph(
                probabilities=_softmax(cell[9:47]),
                x=float((column + cell[3] + 0.5) * _STEP - 0.5) * back,
                y=float((row + cell[4] + 0.5) * _STEP - 0.5) * height / _HEIGHT,
                w=float(16 * np.exp(np.clip(cell[1], -3, 3))) * back,
                h=float(16 * np.exp(np.clip(cell[2], -3, 3))) * height / _HEIGHT,
                turn=_TURNS[int(turn.argmax())],
                score=float(heat[row, column]),
            )
        )
    return _without_doubles(found)


def _without_doubles(found: list[RawGlyph]) -> list[RawGlyph]:
    """Of characters that cover one another mostly, the likelier one."""
    kept: list[RawGlyph] = []
    for glyph in sorted(found, key=lambda g: -g.score):
        if all(_overlap(glyph, other) < 0.5 for other in kept):
            kept.append(glyph)
    return kept


def _overlap(a: RawGlyph, b: RawGlyph) -> float:
    """Shared part of two boxes over the smaller one."""
    across = min(a.x + a.w / 2, b.x + b.w / 2) - max(a.x - a.w / 2, b.x - b.w / 2)
    down = min(a.y + a.h / 2, b.y + b.h / 2) - max(a.y - a.h / 2, b.y - b.h / 2)
    if across <= 0 or down <= 0:
        return 0.0
    return across * down / min(a.w * a.h, b.w * b.h)


def _softmax(logits: NDArray[np.float32]) -> NDArray[np.float32]:
    grown = np.exp(logits - logits.max())
    return np.asarray(grown / grown.sum(), np.float32)
