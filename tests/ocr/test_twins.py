"""I or 1, O or 0: told by the company they keep.

That such faces exist, and that fields of an inscription are letters or digits:
Crockford's base 32 and ISO 3779 leave out I and O for the same reason (from memory).
"""

from __future__ import annotations

import pytest

from ocr.reading import Glyph, Line
from ocr.twins import TWIN, settled


def a_line(text: str) -> Line:
    glyphs = []
    gap = False
    for sign in text:
        if sign == " ":
            gap = True
            continue
        chances = ((sign, 0.7), (TWIN[sign], 0.25)) if sign in TWIN else ((sign, 0.9),)
        glyphs.append(Glyph(sign, chances[0][1], chances, gap_before=gap))
        gap = False
    return Line(tuple(glyphs))


@pytest.mark.parametrize(
    ("read", "meant"),
    [
        ("IE TWK 23 007I", "IE TWK 23 0071"),
        ("1E TWK 2O", "IE TWK 20"),
        ("P0G 15", "POG 15"),
        ("II.5", "11.5"),
        ("TWK I", "TWK I"),
        ("A1B 2", "AIB 2"),
        ("AI7", "AI7"),
    ],
)
def test_settled__as_the_neighbours_are(read: str, meant: str) -> None:
    (line,) = settled([a_line(read)])
    assert line.text == meant


def test_settled__both_chances_go_to_the_one_kept() -> None:
    (line,) = settled([a_line("7I")])
    one = line.glyphs[1]
    assert one.text == "1"
    assert one.probability == pytest.approx(0.95)
    assert one.alternatives[0] == ("1", pytest.approx(0.95))
    assert "I" not in dict(one.alternatives)


def test_settled__alone_it_stays_in_doubt() -> None:
    (line,) = settled([a_line("I")])
    assert (line.glyphs[0].text, line.glyphs[0].probability) == ("I", 0.7)
