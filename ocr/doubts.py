"""What is uncertain about characters, in sentences a person can act on."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ocr.vote import NETWORK, TESSERACT

if TYPE_CHECKING:
    from collections.abc import Sequence

    from ocr.reading import Glyph, Line

DOUBTFUL = 0.88
"""A character below this chance is named as doubtful."""
MOST = 6
"""More doubts than this help nobody."""

_ORDINALS = [
    "first",
    "second",
    "third",
    "fourth",
    "fifth",
    "sixth",
    "seventh",
    "eighth",
    "ninth",
    "tenth",
    "eleventh",
    "twelfth",
    "thirteenth",
    "fourteenth",
    "fifteenth",
    "sixteenth",
]


def ordinal(number: int) -> str:
    """`3` as "third"; past sixteen as "17th"."""
    return _ORDINALS[number - 1] if number <= len(_ORDINALS) else f"{number}th"


def doubts_of_lines(lines: Sequence[Line]) -> tuple[str, ...]:
    """The least certain characters, each with what it may be."""
    found: list[tuple[float, str]] = []
    for n, line in enumerate(lines, 1):
        where = f" of line {n}" if len(lines) > 1 else ""
        for k, glyph in enumerate(line.glyphs, 1):
            sentence = _doubt(glyph)
            if sentence:
                found.append(
                    (
                        glyph.probability,
                        f"The {ordinal(k)} character{where}: {sentence}",
                    )
                )
    found.sort(key=lambda d: d[0])
    return tuple(sentence for _, sentence in found[:MOST])


def _doubt(glyph: Glyph) -> str:
    if glyph.probability >= DOUBTFUL:
        return ""
    others = [c for c, p in glyph.alternatives if c != glyph.text and p >= 0.04]
    said = dict(glyph.votes)
    if others:
        return f"{glyph.text} or {' or '.join(others[:2])}."
    disagreed = said.get(TESSERACT, "")
    if disagreed and disagreed != said.get(NETWORK):
        return f"{glyph.text} or {disagreed}."
    return f"{glyph.text}, but hard to see."
