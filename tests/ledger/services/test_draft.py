import dataclasses

import pytest

from ledger.services.draft import Certainty, as_reading, of_reading, of_text
from ocr.reading import Glyph, Line, PhotoReading, Reading


def glyph(text, probability=0.99, other=None, **more):
    alternatives = ((text, probability), *([other] if other else []))
    return Glyph(text, probability, alternatives, **more)


def reading(*lines: Line) -> Reading:
    return Reading((PhotoReading("a.jpg", ring_found=True, lines=lines),), lines)


TWK = Line((glyph("T"), glyph("W"), glyph("K"), glyph("2", gap_before=True)))
SERIAL = Line((glyph("0"), glyph("8", 0.6, ("B", 0.3))), cut_end=True)


def test_of_reading__shows_gaps_and_cut_ends():
    draft = of_reading(reading(TWK, SERIAL))
    assert draft.text == "TWK 2 / 08*"
    assert draft.lines[1].signs[1].alternatives == (("B", 0.3),)


@pytest.mark.parametrize(
    ("probability", "word"),
    [(1.0, "sure"), (0.95, "sure"), (0.8, "likely"), (0.5, "doubtful")],
)
def test_certainty__in_a_word(probability, word):
    draft = of_reading(reading(Line((glyph("T", probability),))))
    assert draft.lines[0].signs[0].certainty.value == word


def test_first_to_check__is_the_least_certain():
    assert of_reading(reading(TWK, SERIAL)).first_to_check() == (1, 1)
    assert of_reading(reading(TWK)).first_to_check() == (0, 0)
    assert of_text("TW?4").first_to_check() == (0, 2)


@pytest.mark.parametrize(
    "text", ["TWK 24 / 0173", "TWK 2? / 004*", "*4 01", "T*3", "?", "A.B-C", ""]
)
def test_of_text__says_it_back(text):
    assert of_text(text.lower()).text == text


def test_of_text__other_signs_part_words():
    assert of_text("[/x] [b]").text == " / X B"


def test_typed__replaces_and_is_the_keepers():
    draft = of_reading(reading(SERIAL)).typed(0, 1, "b")
    assert draft.text == "0B*"
    assert draft.lines[0].signs[1].certainty is Certainty.BY_KEEPER


def test_typed__keeps_the_gap_and_adds_at_the_end():
    assert of_text("TW K").typed(0, 2, "X").text == "TW X"
    assert of_text("TW").typed(0, 2, "K").text == "TWK"


def test_typed__refuses_what_stands_on_no_ring():
    with pytest.raises(ValueError, match="stand"):
        of_text("TW").typed(0, 0, "Ä")


def test_inserted__takes_the_gap_over():
    assert of_text("TW K").inserted(0, 2).text == "TW ?K"
    assert of_text("TWK").inserted(0, 1).text == "T?WK"


def test_without__leaves_the_gap():
    assert of_text("TW KX").without(0, 2).text == "TW X"
    assert of_text("TW").without(0, 1).text == "T"


def test_gap_turned__opens_and_closes():
    draft = of_text("TWK")
    assert draft.gap_turned(0, 2).text == "TW K"
    assert draft.gap_turned(0, 2).gap_turned(0, 2) == draft
    assert draft.gap_turned(0, 0) == draft
    assert draft.gap_turned(0, 3) == draft


def test_broken_and_joined__are_each_others_way_back():
    draft = of_text("TWK24")
    assert draft.broken(0, 3).text == "TWK / 24"
    assert draft.broken(0, 3).joined(1) == draft
    assert draft.joined(0) == draft


def test_is_empty__when_not_one_character_is_known():
    assert of_text("? *").is_empty
    assert of_reading(reading()).is_empty
    assert not of_text("?4").is_empty


def test_as_reading__untouched_comes_back_whole():
    seen = reading(TWK, SERIAL)
    assert as_reading(of_reading(seen), seen) == seen


def test_as_reading__how_the_photos_lie_is_settled_by_a_correction_only():
    seen = dataclasses.replace(reading(TWK, SERIAL), fits_one_way=False)
    assert not as_reading(of_reading(seen), seen).fits_one_way
    assert as_reading(of_reading(seen).typed(0, 1, "B"), seen).fits_one_way


def test_as_reading__typed_character_is_certain():
    seen = reading(SERIAL)
    line = as_reading(of_reading(seen).typed(0, 1, "B"), seen).lines[0]
    assert (line.glyphs[1].text, line.glyphs[1].probability) == ("B", 1.0)
    assert line.glyphs[0] == SERIAL.glyphs[0]
    assert line.cut_end


def test_as_reading__what_is_out_of_view_cuts_the_line():
    lines = as_reading(of_text("TW*3?"), reading()).lines
    assert [(x.text, x.cut_start, x.cut_end) for x in lines] == [
        ("TW", False, True),
        ("3?", True, False),
    ]
    assert lines[1].glyphs[1].alternatives == ()
