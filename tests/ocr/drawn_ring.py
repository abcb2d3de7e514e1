"""Rings made of numbers: glyphs where a perfect network would find them."""

from __future__ import annotations

import math

import numpy as np

from ocr.characters import ALPHABET, RawGlyph
from ocr.lines import Sheet
from ocr.reading import Glyph, Line, PhotoReading

SHEET = Sheet(width_px=300, height_px=96, span_deg=150.0)


def chances(character: str, sure: float = 0.95) -> np.ndarray:
    """A network that is `sure` of one character and indifferent to the others."""
    spread = np.full(len(ALPHABET), (1 - sure) / (len(ALPHABET) - 1), np.float32)
    spread[ALPHABET.index(character)] = sure
    return spread


def raw(character, x, y, *, w=18.0, h=30.0, turn=0, sure=0.95, score=0.95) -> RawGlyph:
    if turn in (90, 270):
        w, h = h, w
    return RawGlyph(chances(character, sure), x, y, w, h, turn, score)


def row(text, x, y, *, pitch=26.0, h=30.0) -> list[RawGlyph]:
    """Text round the ring; a space is a gap of a pitch."""
    return [
        raw(c, x + i * pitch, y, w=0.6 * h, h=h) for i, c in enumerate(text) if c != " "
    ]


def column(text, x, *, down, pitch=20.0, h=26.0) -> list[RawGlyph]:
    """Text along the leg, in the middle of the ring."""
    step = pitch if down else -pitch
    start = 48 - step * (len(text) - 1) / 2
    turn = 270 if down else 90
    return [
        raw(c, x, start + i * step, w=0.55 * h, h=h, turn=turn)
        for i, c in enumerate(text)
    ]


def half_turned(glyphs: list[RawGlyph], sheet: Sheet = SHEET) -> list[RawGlyph]:
    """What the network finds in the same strip lying upside down."""
    return [
        RawGlyph(
            g.probabilities,
            sheet.width_px - g.x,
            sheet.height_px - g.y,
            g.w,
            g.h,
            (g.turn + 180) % 360,
            g.score,
        )
        for g in glyphs
    ]


def glyph(character, phi=0.0, height=0.5, *, sure=0.95, width=10.0, gap=False) -> Glyph:
    others = [(c, (1 - sure) / 60) for c in "ABC" if c != character]
    return Glyph(
        character, sure, ((character, sure), *others), phi, height, width, 0.35, gap
    )


def photo_of(
    text,
    at_deg,
    view_deg,
    *,
    seen=62.0,
    name="ring.jpg",
    height=0.5,
    sure=0.95,
    width=10.0,
):
    """What one photo shows of `text` round a ring, camera at `view_deg`.

    Args:
        text: Characters; a space is an empty place.
        at_deg: Where round the ring each stands.
    """
    shown = []
    for c, phi in zip(text, at_deg, strict=True):
        relative = (phi - view_deg + 180) % 360 - 180
        if c != " " and abs(relative) <= seen:
            shown.append(glyph(c, relative, height, sure=sure, width=width))
    shown.sort(key=lambda g: g.phi_deg)
    lines = (Line(tuple(shown)),) if shown else ()
    confidence = math.prod(g.probability for g in shown)
    return PhotoReading(name, True, lines=lines, confidence=confidence)
