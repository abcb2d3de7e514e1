"""Tell I from 1 and O from 0 by their company.

Many faces draw them alike, and then no look at the character alone can tell.
Inscriptions are made of words of letters and words of digits: the neighbours in
its word say which of the two it is.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from ocr.reading import Glyph, Line

TWIN = {"I": "1", "1": "I", "O": "0", "0": "O"}
_MARKS = ".-"


def settled(lines: Iterable[Line]) -> tuple[Line, ...]:
    """Lines whose twins are read as their neighbours suggest.

    The chances of both twins go to the one that is kept; where the neighbours
    disagree, or there are none, both stay.
    """
    return tuple(
        replace(
            line,
            glyphs=tuple(_settle(g, _wants(line.glyphs, i)) for i, g in _each(line)),
        )
        for line in lines
    )


def _each(line: Line) -> Iterable[tuple[int, Glyph]]:
    return enumerate(line.glyphs)


def _settle(glyph: Glyph, digit: bool | None) -> Glyph:
    if digit is None or glyph.text not in TWIN:
        return glyph
    text = glyph.text if glyph.text.isdigit() == digit else TWIN[glyph.text]
    other = TWIN[text]
    chances = dict(glyph.alternatives) or {glyph.text: glyph.probability}
    both = chances.pop(text, 0.0) + chances.pop(other, 0.0)
    ranked = sorted({**chances, text: both}.items(), key=lambda pair: -pair[1])
    return replace(glyph, text=text, probability=both, alternatives=tuple(ranked))


def _wants(glyphs: Sequence[Glyph], at: int) -> bool | None:
    """Whether the word round a place is of digits; None where it does not tell."""
    sides = [_first_plain(glyphs, at, way) for way in (-1, 1)]
    told = {side for side in sides if side is not None}
    return told.pop() if len(told) == 1 else None


def _first_plain(glyphs: Sequence[Glyph], at: int, way: int) -> bool | None:
    """Whether the nearest neighbour on one side, in the same word, is a digit.

    Twins and marks are passed over, and what was hardly read.
    """
    here = at
    while True:
        # The gap stands before the right one of two neighbours.
        if 0 <= here < len(glyphs) and way < 0 and glyphs[here].gap_before:
            return None
        here += way
        if not 0 <= here < len(glyphs) or (way > 0 and glyphs[here].gap_before):
            return None
        glyph = glyphs[here]
        if glyph.text not in TWIN and glyph.text not in _MARKS:
            return glyph.text.isdigit() if glyph.probability > 0.5 else None
