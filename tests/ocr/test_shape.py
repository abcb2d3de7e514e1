"""One ring has one shape: photos that show it otherwise are looked at again.

Rings are drawn through OpenCV's own projection (`drawn_cylinder.py`).
"""

from __future__ import annotations

import dataclasses
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
from drawn_cylinder import Scene, drawn_map, filled, overlap
from drawn_ring import glyph, row
from test_pipeline import OUTLINE, parts, strip_of

from ocr.locate import fit_pose
from ocr.pipeline import read_ring
from ocr.reading import Glyph, Line, PhotoReading
from ocr.shape import agreed_aspect, amiss, better, borne_out

SCENE = Scene(lean_deg=10, toward_deg=-8)
TRUE_ASPECT = SCENE.height_mm / (2 * SCENE.radius_mm)


def photos(*aspects):
    return [
        PhotoReading(f"{i}.jpg", ring_found=bool(a), aspect=a)
        for i, a in enumerate(aspects)
    ]


@pytest.mark.parametrize(
    ("aspects", "agreed", "wrong"),
    [
        ((0.5, 0.51, 0.8), 0.505, [2]),
        ((0.8, 0.5, 0.51), 0.505, [0]),
        ((0.5, 0.51, 0.0), 0.505, [2]),
        ((0.5, 0.51, 0.53), 0.51, []),
        ((0.4, 0.6, 0.9), 0.0, []),
        ((0.5,), 0.0, []),
        ((), 0.0, []),
    ],
)
def test_shape__two_must_agree(aspects, agreed, wrong):
    assert agreed_aspect(photos(*aspects)) == pytest.approx(agreed)
    assert amiss(photos(*aspects)) == wrong


def misled(above: float, below: float) -> np.ndarray:
    """The ring's face, with what the network took for it: mm beyond either rim."""
    mask = SCENE.face()
    half = SCENE.height_mm / 2
    phi = np.linspace(-60, 60, 25)
    for start, by in ((half, above), (-half, -below)):
        band = np.concatenate(
            [SCENE.pixels(phi, start), SCENE.pixels(phi, start + by)[::-1]]
        )
        mask = np.maximum(mask, filled(band, SCENE.size))
    return mask


@pytest.mark.parametrize(("above", "below"), [(3.0, 0), (0, 4.0)])
def test_fit__a_false_rim_is_told_by_the_shape(above, below):
    seen = drawn_map(misled(above, below), SCENE.pose.axis_deg)
    alone, told = fit_pose(seen), fit_pose(seen, aspect=TRUE_ASPECT)
    assert told is not None
    assert told.aspect == pytest.approx(TRUE_ASPECT, rel=0.05)
    true = SCENE.face()
    assert overlap(filled(told.outline(), SCENE.size), true) > 0.93
    if alone is not None:
        assert overlap(filled(alone.outline(), SCENE.size), true) < 0.85


@pytest.mark.parametrize("aspect", [0.97, 1.03])
def test_fit__a_shape_nearly_right_does_no_harm(aspect):
    seen = drawn_map(SCENE.face(), SCENE.pose.axis_deg)
    told = fit_pose(seen, aspect=TRUE_ASPECT * aspect)
    assert overlap(filled(told.outline(), SCENE.size), SCENE.face()) > 0.95


def test_third_photo__is_read_by_the_shape_of_the_others():
    asked = []

    def find_ring(bgr, steps, aspect=None):
        asked.append((int(bgr[0, 0, 0]), aspect))
        wrong = bgr[0, 0, 0] == 2 and aspect is None
        pose = {"outline": lambda n: OUTLINE, "tilt_deg": 5.0, "others": 0}
        pose["score"] = 1.0
        return SimpleNamespace(**pose, aspect=0.9 if wrong else 0.5)

    def open_photo(path):
        bgr = np.full((96, 96, 3), int(path.stem), np.uint8)
        return SimpleNamespace(bgr=bgr, to_stored=lambda points: points)

    def unwrap(bgr, pose, *, px_height):
        return SimpleNamespace(
            bgr=strip_of(px_height), span_deg=150.0, aspect=pose.aspect
        )

    used = dataclasses.replace(
        parts(row("TWK 24", 60, 48)),
        find_ring=find_ring,
        open_photo=open_photo,
        unwrap=unwrap,
    )
    reading = read_ring([Path(f"{i}.jpg") for i in range(3)], parts=used)
    assert sorted(asked, key=str) == [(0, None), (1, None), (2, 0.5), (2, None)]
    assert [p.aspect for p in reading.photos] == [0.5, 0.5, 0.5]
    assert [p.file for p in reading.photos] == ["0.jpg", "1.jpg", "2.jpg"]


def test_read_anew__an_inscription_is_not_given_up_for_a_shape():
    def of(text, *, found=True):
        glyphs = tuple(glyph(c) for c in text)
        return PhotoReading("a.jpg", found, lines=(Line(glyphs),) if text else ())

    assert better(of("TWK"), of("TWKX")) == of("TWK")
    assert better(of("T"), of("TWKX")) == of("TWKX")
    assert better(of("", found=False), of("")) == of("")
    assert better(of("TWK"), of("", found=False)) == of("TWK")


@pytest.mark.parametrize(
    ("score", "chances", "is_ring"),
    [
        (0.9, [], True),
        (0.7, [], False),
        (0.7, [0.85, 0.6], False),
        (0.7, [0.95], True),
        (0.4, [0.95, 0.95, 0.5], False),
        (0.4, [0.95, 0.95, 0.95], True),
    ],
)
def test_borne_out__the_less_like_a_ring_the_more_must_be_read(score, chances, is_ring):
    read = PhotoReading("a.jpg", ring_found=True, lines=(row_of(chances),))
    assert borne_out(read, score) == is_ring


def test_borne_out__marks_bear_out_nothing():
    dots = Line(tuple(dataclasses.replace(g, text=".") for g in row_of([0.99]).glyphs))
    read = PhotoReading("a.jpg", ring_found=True, lines=(dots,))
    assert not borne_out(read, 0.7)


def row_of(chances):
    return Line(tuple(Glyph("7", chance) for chance in chances))
