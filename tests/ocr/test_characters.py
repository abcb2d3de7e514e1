"""Finding and naming characters on strips that OpenCV lettered."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
from drawn_strip import axial, blank, lettered

from ocr.characters import ALPHABET, find_characters
from ocr.lines import WEAKEST


def named(glyph) -> str:
    return ALPHABET[int(glyph.probabilities.argmax())]


def found(strip):
    """What the reader takes for characters; fainter marks it passes over."""
    return [g for g in find_characters([strip])[0] if g.score >= WEAKEST]


UPRIGHT = ["TWK4817", "2023", "HEX56"]


@pytest.mark.parametrize("text", UPRIGHT)
def test_upright__every_character_in_its_place(text: str) -> None:
    strip, boxes = lettered(text)
    glyphs = sorted(found(strip), key=lambda g: g.x)
    assert "".join(named(g) for g in glyphs) == text
    assert {g.turn for g in glyphs} == {0}
    places = np.array([(g.x, g.y) for g in glyphs])
    assert np.abs(places - boxes[:, :2]).max() < 2.5


@pytest.mark.parametrize("text", UPRIGHT)
def test_upside_down__read_from_the_right(text: str) -> None:
    strip, _ = lettered(text)
    glyphs = sorted(found(cv2.rotate(strip, cv2.ROTATE_180)), key=lambda g: -g.x)
    assert "".join(named(g) for g in glyphs) == text
    assert {g.turn for g in glyphs} == {180}


@pytest.mark.parametrize(("down", "turn"), [(True, 270), (False, 90)])
def test_axial__turned_the_way_it_is_read(down: bool, turn: int) -> None:
    glyphs = sorted(found(axial("T48", down=down)), key=lambda g: g.y if down else -g.y)
    assert "".join(named(g) for g in glyphs) == "T48"
    assert {g.turn for g in glyphs} == {turn}


def test_box__holds_the_stroke_and_little_else() -> None:
    strip, boxes = lettered("K47W", cap=40)
    glyphs = sorted(found(strip), key=lambda g: g.x)
    for glyph, (_, _, w, h) in zip(glyphs, boxes, strict=True):
        assert glyph.w == pytest.approx(w, rel=0.2)
        assert glyph.h == pytest.approx(h, rel=0.2)


def test_chances__add_up_to_one() -> None:
    for glyph in found(lettered("AB12")[0]):
        assert glyph.probabilities.shape == (len(ALPHABET),)
        assert glyph.probabilities.sum() == pytest.approx(1, abs=1e-5)
        assert 0 < glyph.score <= 1


@pytest.mark.parametrize("colour", [(178, 182, 186), (40, 35, 190), (30, 28, 28)])
def test_blank__nothing(colour) -> None:
    assert found(blank(colour=colour)) == []


@pytest.mark.parametrize("height", [48, 96, 192])
def test_size__places_are_pixels_of_the_strip_as_given(height: int) -> None:
    strip, boxes = lettered("HEX5")
    scale = height / strip.shape[0]
    size = (round(strip.shape[1] * scale), height)
    glyphs = sorted(
        found(cv2.resize(strip, size, interpolation=cv2.INTER_AREA)),
        key=lambda g: g.x,
    )
    assert "".join(named(g) for g in glyphs) == "HEX5"
    assert [g.x / scale for g in glyphs] == pytest.approx(boxes[:, 0], abs=2.5)


def test_several_strips__answered_in_their_order() -> None:
    one, other = found(lettered("HEX5")[0]), found(blank())
    both = find_characters([lettered("HEX5")[0], blank()])
    assert both == [one, other]
