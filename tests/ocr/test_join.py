"""Photos joined round a ring. Rings are invented; what is seen follows from angles."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest
from drawn_ring import glyph, photo_of
from hypothesis import example, given, settings
from hypothesis import strategies as st

from ocr.circle import covered_deg, difference_deg
from ocr.fuse import multiplied
from ocr.join import join
from ocr.placing import place
from ocr.reading import Line, PhotoReading
from ocr.score import from_anywhere

TEXT = "TWK2407315"
AT = [20 + 30 * i for i in range(len(TEXT))]


def photos(views, text=TEXT, at=AT, **more):
    return [
        photo_of(text, at, view, name=f"{k}.jpg", **more)
        for k, view in enumerate(views)
    ]


def letters(reading):
    return reading.text.replace(" ", "")


def test_three_photos_a_third_apart__whole_inscription_from_its_start():
    reading = join(photos([40, 140, 260]))
    assert letters(reading) == TEXT
    assert not reading.closed_circle


@pytest.mark.parametrize("order", [(0, 1, 2), (2, 0, 1), (1, 2, 0), (2, 1, 0)])
def test_photos_in_any_order__read_the_same(order):
    taken = photos([40, 140, 260])
    assert letters(join([taken[i] for i in order])) == TEXT


def test_one_photo__is_read_as_it_is():
    (photo,) = photos([100])
    reading = join([photo])
    assert reading.lines == photo.lines
    assert reading.confidence == photo.confidence
    assert reading.unseen_deg > 180
    assert any("turn the leg a third" in doubt for doubt in reading.doubts)


def test_six_photos_all_round__the_circle_is_closed():
    reading = join(photos([30, 90, 150, 210, 270, 330]))
    assert reading.closed_circle
    assert reading.unseen_deg == 0
    assert from_anywhere(letters(reading)) == from_anywhere(TEXT)


@settings(max_examples=40, deadline=None)
@example("233232322", 0, [8, 0, 8, 0], [0, 1, 2, 3])  # both were once joined short,
@example("234242432", 0, [8, 0, 8, 0], [0, 1, 2, 3])  # and not doubted
@given(
    st.text("ABDEFGHJKLMNPRTUVWY2345679", min_size=9, max_size=11),
    st.integers(0, 359),
    st.lists(st.integers(-8, 8), min_size=4, max_size=4),
    st.permutations(range(4)),
)
def test_random_rings__come_back_but_for_their_start(text, turn, wobble, order):
    at = [turn + 10 + i * 30 for i in range(len(text))]
    taken = photos([turn + 90 * k + wobble[k] for k in range(4)], text, at)
    got = letters(join([taken[k] for k in order]))
    # Repeated letters may leave several fits; then a doubt must say so.
    reading = join([taken[k] for k in order])
    right = from_anywhere(got) == from_anywhere(text)
    assert right or (reading.doubts and not reading.fits_one_way)


def test_a_character_seen_twice__is_surer_than_once():
    once = photo_of("TWK24", AT[:5], 60)
    reading = join([once, photo_of(TEXT, AT, 100)])
    (line,) = reading.lines
    both = next(g for g in line.glyphs if g.text == "K")
    assert both.probability > 0.98 > 0.95


def test_photos_of_one_typeface__never_make_a_character_certain():
    # What is misread for its typeface is misread in every photo.
    taken = photos([60, 80, 100, 120], sure=0.998)
    for glyph_ in (g for line in join(taken).lines for g in line.glyphs):
        assert glyph_.probability <= (0.999 if glyph_.text.isdigit() else 0.997)


def test_misread_in_one_photo__is_outvoted_by_two():
    taken = photos([60, 100, 140])
    worse = dataclasses.replace(
        taken[0],
        lines=(
            Line(
                tuple(
                    glyph("8", g.phi_deg, sure=0.5) if g.text == "4" else g
                    for g in taken[0].lines[0].glyphs
                )
            ),
        ),
    )
    assert "TWK24" in letters(join([worse, *taken[1:]]))


def test_columns_upside_down_in_one_photo__still_fit():
    def columns(texts_at, view, turned):
        lines = []
        for text, phi in texts_at:
            relative = (phi - view + 180) % 360 - 180
            if abs(relative) > 62:
                continue
            heights = np.linspace(0.8, 0.2, len(text))
            side, direction = (-1, "axial_up") if turned else (1, "axial_down")
            lines.append(
                Line(
                    tuple(
                        glyph(c, side * relative, 1 - h if turned else h, width=22)
                        for c, h in zip(text, heights, strict=True)
                    ),
                    direction,
                )
            )
        return PhotoReading(f"{view}.jpg", True, lines=tuple(lines))

    ring = [("EUR", 200), ("KFLT", 150), ("2019", 100), ("74", 50)]
    reading = join([columns(ring, 80, False), columns(ring, 160, True)])
    assert sorted(line.text for line in reading.lines) == sorted(t for t, _ in ring)


def test_full_stop_in_a_column__stays_in_its_line():
    def seen(view):
        # It stands on the line that its figures stand on: at the column's edge.
        size = [("8", 60, 0.75), (".", 51, 0.5), ("4", 60, 0.35)]
        code = [("K", 100, 0.7), ("F", 100, 0.5), ("L", 100, 0.3)]
        lines = [
            Line(
                tuple(
                    glyph(c, phi - view, height, width=4 if c == "." else 22)
                    for c, phi, height in line
                ),
                "axial_down",
            )
            for line in (size, code)
        ]
        return PhotoReading(f"{view}.jpg", True, lines=tuple(lines))

    reading = join([seen(60), seen(95)])
    assert sorted(line.text for line in reading.lines) == ["8.4", "KFL"]


def test_two_rows__share_their_angles_and_start_together():
    rows = [("TWKABCD", [20 + 30 * i for i in range(7)], 0.72)]
    rows += [("2024073", [25 + 30 * i for i in range(7)], 0.28)]
    taken = []
    for view in (40, 120, 200):
        lines = [
            line
            for text, at, height in rows
            for line in photo_of(text, at, view, height=height).lines
        ]
        taken.append(PhotoReading(f"{view}.jpg", True, lines=tuple(lines)))
    assert [line.text for line in join(taken).lines] == ["TWKABCD", "2024073"]


def test_photos_that_share_nothing__say_so():
    reading = join(
        photos([20, 290], text="TWK2     5A", at=[30 * i for i in range(11)])
    )
    assert any("share no characters" in doubt for doubt in reading.doubts)
    assert reading.confidence < 0.5


def test_photos_of_two_colours__ask_whether_it_is_one_ring():
    red, blue = photos([60, 110])
    red = dataclasses.replace(red, colour="red")
    blue = dataclasses.replace(blue, colour="blue")
    assert any("same ring" in doubt for doubt in join([red, blue]).doubts)


def test_photo_without_a_ring__is_left_out_and_named():
    taken = [*photos([40, 140, 260]), PhotoReading("leg.jpg", ring_found=False)]
    reading = join(taken)
    assert letters(reading) == TEXT
    assert any("leg.jpg" in doubt for doubt in reading.doubts)


def test_no_ring_anywhere__no_text():
    reading = join([PhotoReading("a.jpg", False), PhotoReading("b.jpg", False)])
    assert (reading.text, reading.ring_found, reading.confidence) == ("", False, 0.0)
    assert reading.doubts


def test_part_never_seen__is_told_in_degrees():
    reading = join(photos([40, 110]))
    # Two views 70 degrees apart, 64 to either side of each: 360 - 70 - 128 = 162.
    assert reading.unseen_deg == pytest.approx(162, abs=2)
    assert any("turn the leg" in doubt for doubt in reading.doubts)


def test_seam_in_one_photo__the_ring_is_split():
    taken = [dataclasses.replace(p, closure="closed") for p in photos([40, 140, 260])]
    taken[1] = dataclasses.replace(taken[1], closure="split")
    assert join(taken).closure == "split"


def test_no_seam_in_half_a_ring__leaves_it_unsure():
    taken = [dataclasses.replace(p, closure="closed") for p in photos([40, 110])]
    assert join(taken).closure == "unsure"


def test_no_seam_all_round__the_ring_is_closed():
    views = [30, 90, 150, 210, 270, 330]
    taken = [dataclasses.replace(p, closure="closed") for p in photos(views)]
    assert join(taken).closure == "closed"


def test_rotation_between_photos__is_found():
    placement = place(photos([40, 100, 160]))
    a, b, c = placement.rotation_deg
    assert difference_deg(b, a) == pytest.approx(60, abs=0.5)
    assert difference_deg(c, a) == pytest.approx(120, abs=0.5)


def test_two_looks__multiply_as_evidence():
    look = np.zeros(38)
    look[8], look[11] = 0.7, 0.2  # 8 or B
    both = multiplied([look, look])
    assert both[8] > 0.77
    assert both[11] < 0.2
    assert both.sum() <= 1.0


@pytest.mark.parametrize(("one", "least", "most"), [(0.6, 0.5, 0.61), (0.95, 0.99, 1)])
def test_doubtful_looks_at_one_mark__are_one_look(one, least, most):
    """The same flake of dirt is the same 7 in every photo. Our own measurement."""
    look = np.zeros(38)
    look[7] = one
    assert least <= multiplied([look, look])[7] <= most


def test_point_beside_its_digit__is_not_the_digit_of_another_photo():
    seen_at = [
        [-52.8, -45.6, -38.7, -31.5, -19.1, -13.1, -8.1, -3.0],
        [-36.4, -28.8, -21.4, -14.0, -1.1, 5.2, 10.3, 15.5],
        [5.7, 12.7, 19.9, 27.0, 39.1, 45.3, 50.2, 54.9],
    ]
    views = [photo_of("203813.0", at, 0, height=0.3, width=5.0) for at in seen_at]
    assert letters(join(views)) == "203813.0"


def test_coverage__one_photo_shows_what_lies_before_it():
    seen = covered_deg([0.0], seen_deg=60.0)
    assert sum(seen) == 121
    assert seen[0]
    assert seen[300]
    assert not seen[180]
