"""Identification for callers: the published form, and readings of photos."""

import json
from dataclasses import replace

import pytest
from builders import a_bird, a_ring

from ledger.domain import Flock
from ledger.services import identify, ring_reading
from ocr.reading import Glyph, Line, PhotoReading, Reading

FLOCK = Flock.of(
    [
        a_bird("b0001", "Pip"),
        a_bird("b0002", "Juno"),
        a_ring("r0001", "IE TWK 21 0044", bird="b0001", colour="natural aluminium"),
        a_ring("r0002", "IE TWK 21 0049", bird="b0002", colour="blue"),
    ]
)


def a_reading(text, chance=0.999, colour="", **line):
    glyphs, gap = [], False
    for sign in text:
        if sign == " ":
            gap = True
            continue
        glyphs.append(Glyph(sign, chance, ((sign, chance),), gap_before=gap))
        gap = False
    lines = (Line(tuple(glyphs), **line),)
    photo = PhotoReading("a.jpg", ring_found=True, lines=lines)
    return Reading((photo,), lines, colour=colour)


def test_json_has_the_published_keys_and_no_others():
    found = identify.by_text(FLOCK, "IE TWK 21 004*").as_json()
    assert set(found) == {"verdict", "candidates", "look_next", "reading"}
    for one in found["candidates"]:
        assert set(one) == {"bird", "ring", "probability", "why"}
    assert set(found["reading"]) == {"photos", "inscription", "ring", "doubts"}
    assert json.loads(json.dumps(found)) == found


def test_text_and_photos_agree():
    by_text = identify.by_text(FLOCK, "IE TWK 21 0044")
    by_photo = identify.by_reading(FLOCK, a_reading("IE TWK 21 0044"))
    for found in (by_text, by_photo):
        assert found.verdict == "sure"
        assert [c.bird for c in found.candidates] == ["b0001"]
        assert found.candidates[0].ring_id == "r0001"
    assert by_photo.reading["photos"][0]["file"] == "a.jpg"


def test_colour_in_the_photo_orders_and_the_keepers_word_counts_more():
    partly = a_reading("IE TWK 21 004", colour="blue", cut_end=True)
    assert identify.by_reading(FLOCK, partly).candidates[0].name == "Juno"
    found = identify.by_reading(FLOCK, partly, colour="silver")
    assert found.candidates[0].name == "Pip"
    assert found.verdict == "unsure"


def test_photo_without_a_ring():
    found = identify.by_reading(FLOCK, Reading((PhotoReading("a.jpg", False),)))
    assert (found.verdict, found.candidates) == ("no ring", ())
    assert found.look_next


def test_ring_without_a_legible_character():
    found = identify.by_reading(FLOCK, Reading((PhotoReading("a.jpg", True),)))
    assert (found.verdict, found.candidates) == ("unsure", ())


def test_places_left_open_by_the_keeper_are_unknown_characters():
    glyphs = (*a_reading("IE TWK 21 004").lines[0].glyphs, Glyph("?", 0.0))
    evidence = ring_reading.evidence(Reading((), (Line(glyphs),)))
    assert evidence.lines[0].slots[-1].chances == ()
    found = identify.rerank(FLOCK, evidence)
    assert {c.name for c in found.candidates} == {"Pip", "Juno"}


def test_evidence_says_of_how_many_photos_it_is():
    one = a_reading("IE TWK 21 0044")
    lost = PhotoReading("b.jpg", ring_found=False)
    read = replace(one.lines[0], glyphs=tuple(map(as_read, one.lines[0].glyphs)))
    two = replace(one, photos=one.photos * 2, lines=(read,))
    by_keeper = replace(two, lines=one.lines)
    unsure = replace(two, fits_one_way=False)
    for reading, one_photo, joined in (
        (one, True, False),
        (replace(one, photos=(*one.photos, lost)), True, False),
        (two, False, True),
        (by_keeper, False, False),
        (unsure, False, False),
    ):
        told = ring_reading.evidence(reading)
        assert (told.one_photo, told.joined) == (one_photo, joined)


@pytest.mark.parametrize(
    ("height", "span", "at_rim"),
    [(0.5, 0.3, False), (0.93, 0.13, True), (0.09, 0.15, True), (0.5, 0.0, False)],
)
def test_evidence_says_what_ends_at_a_rim(height, span, at_rim):
    five = Glyph("5", 0.99, height=height, height_span=span)
    (line,) = ring_reading.evidence(Reading((), (Line((five,)),))).lines
    assert line.slots[0].at_rim is at_rim


def as_read(glyph):
    return replace(glyph, votes=(("network", glyph.text),))


def test_empty_fragment_is_answered_with_advice():
    found = identify.by_text(FLOCK, "  ")
    assert (found.verdict, found.candidates) == ("unsure", ())
    assert "?" in found.look_next
