"""Photos whose poses are a little wrong still join; angles say what is seen."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from drawn_ring import glyph, photo_of

from ocr.aligned import aligned
from ocr.circle import agreement
from ocr.join import join
from ocr.placing import place
from ocr.reading import Line, PhotoReading
from ocr.views import views_of

COLUMNS = {0: "YK", 30: "2025", 60: "0019"}
ASPECT = 0.5


def columns_from(view_deg: float, name: str, pitch: float = 0.18) -> PhotoReading:
    """What one photo shows of columns read downward, in the middle of the ring."""
    lines = []
    for at, text in COLUMNS.items():
        phi = (at - view_deg + 180) % 360 - 180
        if abs(phi) <= 62:
            top = 0.5 + pitch * (len(text) - 1) / 2
            glyphs = tuple(
                replace(glyph(c, phi, top - k * pitch, width=14), height_span=0.15)
                for k, c in enumerate(text)
            )
            lines.append(Line(glyphs, "axial_down"))
    return PhotoReading(name, True, lines=tuple(lines), confidence=0.9, aspect=ASPECT)


def warped(photo: PhotoReading, *, aspect=1.0, of=None, around=1.0) -> PhotoReading:
    """The photo as a wrong pose gives it: one rim too far out, or the radius amiss.

    Args:
        aspect: By how much the ring seems too high.
        of: The rim that is right, "lower" or "upper".
        around: By how much angles seem too wide.
    """

    def moved(g):
        up = g.height / aspect if of == "lower" else 1 - (1 - g.height) / aspect
        return replace(
            g,
            height=up,
            height_span=g.height_span / aspect,
            phi_deg=g.phi_deg * around,
            width_deg=g.width_deg * around,
        )

    lines = tuple(replace(n, glyphs=tuple(map(moved, n.glyphs))) for n in photo.lines)
    return replace(photo, lines=lines, aspect=photo.aspect * aspect)


def read(photos) -> list[str]:
    return [line.text for line in join(photos).lines]


WHOLE = ["0019", "2025", "YK"]


@pytest.mark.parametrize("of", ["lower", "upper"])
@pytest.mark.parametrize("aspect", [0.8, 1.2, 1.5])
def test_rim_taken_for_another__columns_are_not_read_twice(aspect, of):
    photos = [columns_from(0, "a.jpg"), columns_from(25, "b.jpg")]
    wrong = warped(columns_from(60, "c.jpg"), aspect=aspect, of=of)
    assert read([*photos, wrong]) == WHOLE
    assert read([wrong, *photos]) == WHOLE


def test_what_lies_beyond_the_true_rim__is_not_of_the_ring():
    wrong = warped(columns_from(60, "c.jpg"), aspect=1.5, of="lower")
    feather = Line((replace(glyph("X", 5, 0.93), height_span=0.1),))
    wrong = replace(wrong, lines=(*wrong.lines, feather))
    photos = [columns_from(0, "a.jpg"), columns_from(25, "b.jpg"), wrong]
    assert read(photos) == WHOLE


@pytest.mark.parametrize("around", [0.78, 0.9, 1.1, 1.25])
def test_radius_taken_too_small__rows_are_not_read_twice(around):
    text, at = "KXZU141", [20 + 17 * k for k in range(7)]
    photos = [
        photo_of(text, at, 50, name="a.jpg"),
        photo_of(text, at, 95, name="b.jpg"),
        warped(photo_of(text, at, 70, name="c.jpg"), around=around),
    ]
    for order in ((0, 1, 2), (2, 0, 1)):
        (line,) = read([photos[k] for k in order])
        assert line.replace(" ", "") == text


def test_one_in_a_column__stands_for_a_whole_place():
    # The 1 of "17" takes up half of its place; a little off, it is the same 1.
    def column(shift, name):
        of_line = [
            replace(glyph(c, 0, up - shift), height_span=span)
            for c, up, span in (("1", 0.58, 0.08), ("7", 0.42, 0.15), ("5", 0.26, 0.15))
        ]
        return PhotoReading(
            name, True, lines=(Line(tuple(of_line), "axial_down"),), confidence=0.9
        )

    assert read([column(0, "a.jpg"), column(0.055, "b.jpg")]) == ["175"]


def test_photos_that_fit__stay_as_they_are():
    placement = place([columns_from(0, "a.jpg"), columns_from(30, "b.jpg")])
    for before, after in zip(placement.views, aligned(placement).views, strict=True):
        assert after.sightings == before.sightings


def test_views__both_rims_are_tried_where_the_shape_is_another():
    photo = columns_from(0, "a.jpg")
    assert [v.rim for v in views_of(0, photo, ASPECT) if not v.turned] == [0]
    assert {v.rim for v in views_of(0, photo, ASPECT / 1.3)} == {0, 1, -1}


def test_agreement__what_is_left_open_speaks_against_nothing():
    sure = np.zeros(38)
    sure[5] = 0.99
    doubtful = np.zeros(38)
    doubtful[7] = 0.4
    certain = np.zeros(38)
    certain[7] = 0.99
    assert -1.0 < agreement(sure, doubtful) < 0.0
    assert agreement(sure, certain) < -1.5
    assert agreement(sure, doubtful) == pytest.approx(agreement(doubtful, sure))
