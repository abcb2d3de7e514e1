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
LETTERS_AND_DIGITS = ALPHABET[:36]

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
    half_turn: float = 0.0
    """Chance that it stands the other way up, of all that it stands in its line."""


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
    seen = _both_ways_up(np.asarray(shown, np.uint8))
    heat = np.ascontiguousarray(seen[0])
    peaks = (heat >= cv2.dilate(heat, np.ones((3, 3)))) & (heat > _LEAST_SCORE)
    back, down = width / w, height / _HEIGHT
    found = []
    for row, column in zip(*np.nonzero(peaks), strict=True):
        cell = seen[:, row, column]
        at = int(cell[5:9].argmax())
        upright, turned = float(cell[5 + at]), float(cell[5 + (at + 2) % 4])
        found.append(
            RawGlyph(
                probabilities=np.ascontiguousarray(cell[9:]),
                x=float((column + cell[3] + 0.5) * _STEP - 0.5) * back,
                y=float((row + cell[4] + 0.5) * _STEP - 0.5) * down,
                w=float(16 * np.exp(np.clip(cell[1], -3, 3))) * back,
                h=float(16 * np.exp(np.clip(cell[2], -3, 3))) * down,
                turn=_TURNS[at],
                score=float(heat[row, column]),
                half_turn=turned / (upright + turned),
            )
        )
    return _without_doubles(found)


def _both_ways_up(shown: NDArray[np.uint8]) -> NDArray[np.float32]:
    """The network's mean answer to a strip as it lies and turned by 180 degrees.

    Two looks err less than one, and neither way up is favoured.

    Args:
        shown: (128, W, 3) uint8.

    Returns:
        (47, 32, W / 4): chance of a centre, log width, log height, offset right,
        offset down, 4 chances of turns, 38 chances of characters.
    """
    w = shown.shape[1]
    pad = -w % 32
    both = np.zeros((2, _HEIGHT, w + pad, 3), np.uint8)
    both[0, :, :w] = shown
    both[1, :, pad:] = shown[::-1, ::-1]
    out = run("characters", both)
    other = out[1, :, ::-1, ::-1]
    mean = np.empty_like(out[0])
    mean[0] = (_chance(out[0, 0]) + _chance(other[0])) / 2
    mean[1:3] = (out[0, 1:3] + other[1:3]) / 2
    mean[3:5] = (out[0, 3:5] - other[3:5]) / 2
    turned = other[[7, 8, 5, 6]]
    mean[5:9] = (_softmax(out[0, 5:9]) + _softmax(turned)) / 2
    mean[9:47] = (_softmax(out[0, 9:47]) + _softmax(other[9:47])) / 2
    return np.asarray(mean[..., : -(-w // _STEP)], np.float32)


def _chance(logits: NDArray[np.float32]) -> NDArray[np.float32]:
    return np.asarray(1 / (1 + np.exp(-np.clip(logits, -30, 30))), np.float32)


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
    """Chances along the first axis."""
    grown = np.exp(logits - logits.max(axis=0))
    return np.asarray(grown / grown.sum(axis=0), np.float32)
