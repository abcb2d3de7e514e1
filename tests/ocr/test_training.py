"""The simulators that the networks are trained on: does their truth tell the truth?

The glyph table is drawn here by OpenCV; neither fonts nor PyTorch are needed.
"""

from __future__ import annotations

import math
from dataclasses import replace

import cv2
import numpy as np
import pytest

from ocr import characters
from ocr.characters import ALPHABET
from ocr.training import faces, photos, strips, targets, tuning
from ocr.training import ring_scene as scenes
from ocr.training.engraved import Tool
from ocr.training.glyph_table import BASELINE, CAP, CELL, MIDDLE, GlyphTable, slant
from ocr.training.inscriptions import words
from ocr.training.layout import lay_out
from ocr.training.metal import paint
from ocr.training.sheet import HEIGHT, Mark, Sheet, dotted
from ocr.training.strips import strip


@pytest.fixture(scope="module")
def table(tmp_path_factory) -> GlyphTable:
    """Two typefaces, capitals 64 pixels high on the baseline of their cell."""
    cells = np.zeros((2, len(ALPHABET), *CELL), np.uint8)
    advance = np.zeros((2, len(ALPHABET)), np.float32)
    for i, face in enumerate((cv2.FONT_HERSHEY_DUPLEX, cv2.FONT_HERSHEY_COMPLEX)):
        for k, letter in enumerate(ALPHABET):
            large = np.zeros((200, 300), np.uint8)
            cv2.putText(large, letter, (100, 150), face, 3, 255, 3)
            tall = np.zeros_like(large)
            cv2.putText(tall, "H", (100, 150), face, 3, 255, 3)
            scale = CAP / cv2.boundingRect(tall)[3]
            x, _, w, _ = cv2.boundingRect(large)
            a = np.array([[scale, 0, MIDDLE[0] - scale * (x + w / 2)], [0, scale, 0]])
            a[1, 2] = BASELINE - scale * 150
            cells[i, k] = cv2.warpAffine(large, a, CELL[::-1], flags=cv2.INTER_AREA)
            advance[i, k] = w * scale + 6
    path = tmp_path_factory.mktemp("table") / "table.npz"
    names = np.array(["One-Regular.ttf", "Two-Regular.ttf"])
    np.savez(path, cells=cells, advance=advance, names=names)
    return GlyphTable(path)


def box(mark: Mark, width: int) -> tuple[slice, slice]:
    """Rows and columns of a character."""
    x0, x1 = max(0, mark.x - mark.w / 2), min(width, mark.x + mark.w / 2 + 1)
    y0, y1 = max(0, mark.y - mark.h / 2), min(HEIGHT, mark.y + mark.h / 2 + 1)
    return slice(int(y0), int(y1) + 1), slice(int(x0), int(x1) + 1)


def step_of(mark: Mark) -> int:
    """A third of its height as read, pixels."""
    return round((mark.h if mark.turn in (0, 180) else mark.w) / 3)


def moved(span: slice, by: int) -> slice:
    """Rows or columns a little further on."""
    return slice(max(0, span.start + by), max(0, span.stop + by))


def test_inscription__is_of_the_alphabet() -> None:
    for seed in range(200):
        parts = words(np.random.default_rng(seed))
        assert 2 <= len(parts) <= 5
        assert set("".join(parts)) <= set(ALPHABET)


def test_sheet__ink_lies_in_the_boxes_and_nowhere_else(table) -> None:
    for seed in range(40):
        sheet = lay_out(np.random.default_rng(seed), table, 300)
        outside = sheet.mask.copy()
        for mark in sheet.marks:
            rows, columns = box(mark, sheet.w)
            wider = slice(max(0, columns.start - 3), columns.stop + 3)
            outside[max(0, rows.start - 3) : rows.stop + 3, wider] = 0
        # Characters centred beyond the strip's ends have no box but may reach in.
        assert outside[:, 45:-45].max(initial=0) < 0.3


@pytest.mark.parametrize("turn", [0, 90, 180, 270])
def test_sheet__turns_are_counter_clockwise(table, turn: int) -> None:
    def put(turned: int) -> tuple[np.ndarray, Mark]:
        sheet = Sheet(np.random.default_rng(2), table, HEIGHT)
        sheet.dots, sheet.grow = False, 0
        sheet.put(ALPHABET.index("L"), HEIGHT / 2, HEIGHT / 2, 60, turned)
        return sheet.mask, sheet.marks[0]

    upright, _ = put(0)
    turned, mark = put(turn)
    assert mark.turn == turn
    expected = np.rot90(upright, turn // 90)
    # A pixel's middle lies at a whole number: turning moves the rest by one.
    apart = min(
        np.abs(np.roll(expected, (dy, dx), (0, 1)) - turned).mean()
        for dy in (-1, 0, 1)
        for dx in (-1, 0, 1)
    )
    assert apart < 0.01
    assert turned.mean() > 0.02


def test_paint__text_shows_only_where_it_is_written(table) -> None:
    rng = np.random.default_rng(9)
    for _ in range(25):
        sheet = lay_out(rng, table, 240)
        plain, marked = paint(rng, sheet)
        away = np.abs(marked - plain).max(2)
        far = cv2.dilate((sheet.mask > 0.02).astype(np.uint8), np.ones((25, 25))) == 0
        assert away[far].max(initial=0) < 1.0
        assert away[sheet.mask > 0.5].mean() > 4.0


def test_dotted__round_dots_within_the_strokes_reach(table) -> None:
    cell, _ = table.glyph(0, ALPHABET.index("E"))
    for seed in range(10):
        dots = dotted(cell, np.random.default_rng(seed))
        assert dots.max() == 255
        # A dot's middle may stray by a few pixels from a stroke, its rim by four.
        near = cv2.dilate(cell, cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (19, 19)))
        assert not dots[near == 0].any()
        gaps = cv2.connectedComponents((dots > 100).astype(np.uint8))[0]
        assert gaps > 1


def test_strip__labels_turns_and_boxes_are_in_range(table) -> None:
    rng = np.random.default_rng(5)
    count = 0
    for _ in range(60):
        picture, marks = strip(rng, table)
        assert picture.dtype == np.uint8
        assert picture.shape[0] == HEIGHT
        for mark in marks:
            count += 1
            assert 0 <= mark.label < len(ALPHABET)
            assert mark.turn in (0, 90, 180, 270)
            assert mark.w > 0
            assert mark.h > 0
            if mark.seen:
                assert 0 <= mark.x < picture.shape[1]
                assert 0 <= mark.y < HEIGHT
    assert count > 300


def test_strip__boxes_lie_on_the_text_as_the_camera_shows_it(
    table, monkeypatch
) -> None:
    """What the text changes in the picture is in the boxes, and centred in them."""
    shown: list[np.ndarray] = []
    exposed = strips.lens.exposed

    def watched(rng, pair):
        photo, away, noise = exposed(rng, pair)
        shown.append(away[..., 0])
        return photo, away, noise

    monkeypatch.setattr(strips.lens, "exposed", watched)
    rng = np.random.default_rng(12)
    inside, outside, centred = [], [], []
    for _ in range(80):
        picture, marks = strip(rng, table)
        away = shown[-1]
        ground = np.ones(away.shape, bool)
        for mark in marks:
            rows, columns = box(mark, picture.shape[1])
            ground[rows, columns] = False
            if not mark.seen:
                continue
            here = away[rows, columns].mean()
            inside.append(here)
            # A third of a capital above and below its line there is less of it.
            beside = [
                away[moved(rows, d), columns]
                if mark.turn in (0, 180)
                else away[rows, moved(columns, d)]
                for d in (-step_of(mark), step_of(mark))
            ]
            centred += [here > part.mean() for part in beside if part.size]
        # Half characters at the ends have no box.
        outside.append(away[:, 60:-60][ground[:, 60:-60]].mean())
    assert np.median(inside) > 4 * np.median(outside)
    assert np.mean(centred) > 0.9


@pytest.mark.parametrize("dots", [False, True])
def test_tool__every_character_fills_its_height_and_is_its_own(dots) -> None:
    for seed in range(12):
        rng = np.random.default_rng(seed)
        tool = replace(Tool.drawn(rng, dots=dots), shaken=0.0)
        cells = {}
        for label, letter in enumerate(ALPHABET):
            cell, advance = tool.cell(rng, label), tool.advance(label)
            cells[letter] = cell
            rows, columns = np.nonzero(cell > 100)
            assert advance >= np.ptp(columns), letter
            if letter not in ".-":
                assert abs(rows.min() - (BASELINE - CAP)) < 10, letter
                assert abs(rows.max() - BASELINE) < 10, letter
        # O and 0, I and 1 are alike on many rings; no others are.
        alike = {
            a + b
            for a in cells
            for b in cells
            if a < b and np.abs(cells[a].astype(int) - cells[b]).mean() < 0.3
        }
        assert alike <= {"0O", "1I"}, (seed, alike)


@pytest.mark.parametrize("lean", [-0.2, 0.0, 0.2])
def test_slant__of_a_leaning_letter(table, lean) -> None:
    cell = table.cells[0, ALPHABET.index("H")]
    sheared = np.array([[1, lean, -lean * 40], [0, 1, 0]], np.float32)
    leaning = cv2.warpAffine(cell, sheared, CELL[::-1])
    assert slant(leaning) == pytest.approx(lean, abs=0.02)


def test_strip__a_seed_draws_the_same_again(table) -> None:
    for seed in range(5):
        one, marks = strip(np.random.default_rng(seed), table)
        other, again = strip(np.random.default_rng(seed), table)
        assert np.array_equal(one, other)
        assert marks == again
    assert not np.array_equal(one, strip(np.random.default_rng(99), table)[0])


def answer_of(marks: list[Mark], width: int) -> tuple[np.ndarray, np.ndarray]:
    """Truth of the training, and what a perfect network would say of it."""
    truth = np.zeros((HEIGHT // 4, width // 4, 8), np.float32)
    truth[..., 7] = 1
    targets.draw(truth, marks, 0)
    answer = np.zeros((47, *truth.shape[:2]), np.float32)
    answer[0] = np.where(truth[..., 0] > 0.99, 5, -5)
    answer[1:5] = truth[..., 1:5].transpose(2, 0, 1)
    for j, i in np.argwhere(truth[..., 6] > 0):
        answer[5 + int(truth[j, i, 5]), j, i] = 9
        answer[8 + int(truth[j, i, 6]), j, i] = 9
    return truth, answer


def test_truth__is_what_the_reader_makes_characters_of(monkeypatch) -> None:
    width = 256
    marks = [
        Mark(ALPHABET.index("A"), 40.0, 70.0, 20.0, 40.0, 0, True),
        Mark(ALPHABET.index("7"), 91.3, 33.8, 37.0, 18.0, 90, True),
        Mark(ALPHABET.index("."), 150.9, 100.2, 5.0, 5.0, 180, True),
        Mark(ALPHABET.index("Q"), 200.0, 60.0, 30.0, 30.0, 270, False),
    ]
    # The reader looks at a strip as it lies and turned by 180 degrees.
    half_turned = [
        replace(
            mark,
            x=width - 1 - mark.x,
            y=HEIGHT - 1 - mark.y,
            turn=(mark.turn + 180) % 360,
        )
        for mark in marks
    ]
    truth, answer = answer_of(marks, width)
    looks = np.stack([answer, answer_of(half_turned, width)[1]])
    monkeypatch.setattr(characters, "run", lambda name, shown: looks[: len(shown)])
    (found,) = characters.find_characters([np.zeros((HEIGHT, width, 3), np.uint8)])
    found.sort(key=lambda g: g.x)
    for glyph, mark in zip(found, marks[:3], strict=True):
        assert (glyph.x, glyph.y) == pytest.approx((mark.x, mark.y), abs=0.01)
        assert (glyph.w, glyph.h) == pytest.approx((mark.w, mark.h), rel=0.01)
        assert glyph.turn == mark.turn
        assert int(glyph.probabilities.argmax()) == mark.label
    # The one that cannot be seen is neither asked for nor forbidden.
    assert truth[15, 50, 7] == 0
    assert truth[..., 6].max() == ALPHABET.index(".") + 1


def test_wide_strip__fills_its_width_with_strips(table) -> None:
    rng = np.random.default_rng(3)
    for _ in range(3):
        wide, truth = targets.wide_strip(rng, table)
        assert wide.shape == (HEIGHT, targets.WIDE, 3)
        assert truth.shape == (HEIGHT // 4, targets.WIDE // 4, 8)
        assert wide.any()
        assert ((truth[..., 0] >= 0) & (truth[..., 0] <= 1)).all()
        named = truth[..., 6] > 0
        assert (truth[..., 0][~named] < 0.99).all()
        assert np.isin(truth[..., 5], (0, 1, 2, 3)).all()


def drawn_twice(seed: int, table, monkeypatch):
    """One leg without and with its ring, the ring's face and the axis angle."""
    monkeypatch.setattr(scenes, "_blob", lambda *_: None)
    bare, _, _ = scenes.ring_scene(np.random.default_rng(seed), table, with_ring=False)
    ringed, face, angle = scenes.ring_scene(
        np.random.default_rng(seed), table, with_ring=True
    )
    return bare, ringed, face, angle


def bare_legged(rng, picture, *lie):
    """In place of tufts of feathers: none."""
    return picture


def test_ring_scene__the_face_is_where_the_ring_is_drawn(table, monkeypatch) -> None:
    # Feathers hang beyond the face.
    monkeypatch.setattr(scenes, "tufts", bare_legged)
    covered, beyond = [], []
    for seed in range(30):
        bare, ringed, face, _ = drawn_twice(seed, table, monkeypatch)
        changed = np.abs(ringed - bare).max(2) > 2
        covered.append(changed[face > 0.9].mean())
        beyond.append((changed & (face < 0.01)).sum() / max(1, changed.sum()))
    assert np.median(covered) > 0.95
    # Beyond the face there is only the open end that tilts to the camera.
    assert np.median(beyond) < 0.15


def test_ring_scene__the_angle_is_the_rings_axis(table, monkeypatch) -> None:
    tried = 0
    for seed in range(60):
        _, _, face, angle = drawn_twice(seed, table, monkeypatch)
        solid = face > 0.5
        edge = solid[[0, -1]].any() or solid[:, [0, -1]].any()
        (_, _), (w, h), _ = cv2.minAreaRect(np.argwhere(solid)[:, ::-1])
        if edge or max(w, h) < 1.6 * min(w, h):
            continue
        # A ring wider than high: its long side lies across its axis.
        ys, xs = np.nonzero(solid)
        spread = np.linalg.eigh(np.cov(np.stack([xs, -ys])))[1][:, -1]
        across = math.atan2(spread[1], spread[0])
        apart = (across - angle) % math.pi
        assert apart == pytest.approx(math.pi / 2, abs=0.25)
        tried += 1
    assert tried > 8


def test_sample__pictures_and_truth_fit(table) -> None:
    rng = np.random.default_rng(8)
    for _ in range(12):
        picture, truth = photos.sample(rng, table, [])
        assert picture.shape == (256, 320, 3)
        assert picture.dtype == np.uint8
        assert truth.shape == (128, 160, 3)
        assert 0 <= truth[..., 0].min() <= truth[..., 0].max() <= 1
        assert np.hypot(truth[..., 1], truth[..., 2]) == pytest.approx(1, abs=1e-5)


def test_sample__a_seed_draws_the_same_again(table) -> None:
    for seed in range(4):
        one = photos.sample(np.random.default_rng(seed), table, [])
        other = photos.sample(np.random.default_rng(seed), table, [])
        assert all(np.array_equal(a, b) for a, b in zip(one, other, strict=True))


def test_from_photo__truth_follows_the_picture(monkeypatch) -> None:
    """A box, brighter towards the end its axis points to, on black."""
    monkeypatch.setattr(photos, "tufts", bare_legged)
    pixels = np.zeros((480, 640, 3), np.uint8)
    pixels[200:280, 260:380] = np.linspace(250, 90, 80)[:, None, None]
    corners = np.array([(260, 200), (380, 200), (380, 280), (260, 280)]) - 0.5
    photo = (pixels, corners, np.array([0.0, -1.0]))
    rng = np.random.default_rng(2)
    for _ in range(30):
        picture, face, angle = photos.from_photo(rng, photo)
        shown = picture.max(2) > 40
        shared = (shown & (face > 0.5)).sum() / (shown | (face > 0.5)).sum()
        assert shared > 0.93
        light = picture.max(2) * shown
        ys, xs = np.nonzero(shown)
        weights = light[shown]
        x, y = np.average(xs, weights=weights), np.average(ys, weights=weights)
        points = math.atan2(-(y - ys.mean()), x - xs.mean())
        assert math.cos(points - angle) > 0.97


def test_tuning__rings_kept_for_measuring_stay_out(tmp_path) -> None:
    outline = {
        "top_arc": [[20, 10], [40, 10], [60, 10]],
        "bottom_arc": [[20, 50], [40, 50], [60, 50]],
    }
    truth = {
        "rings": [
            {
                "id": f"r{k:02d}",
                "photos": [{"file": f"r{k:02d}_0.jpg", "outline": outline}],
            }
            for k in range(6)
        ],
        "no_ring": [{"file": f"n{k:02d}_0.jpg"} for k in range(3)],
    }
    for k, name in enumerate(
        [f"r{k:02d}_0.jpg" for k in range(6)] + [f"n{k:02d}_0.jpg" for k in range(3)]
    ):
        cv2.imwrite(str(tmp_path / name), np.full((60, 80, 3), 20 * k, np.uint8))
    pack = list(tuning.packed(tmp_path, truth))
    greys = [round(cv2.imdecode(code, 1).mean()) for code, _, _ in pack]
    # r02, r05 and n02 are missing; pictures without a ring are there three times.
    assert greys == pytest.approx([0, 20, 60, 80] + 3 * [120] + 3 * [140], abs=2)
    _, polygon, axis = pack[0]
    assert polygon[0] == pytest.approx((10, 5))
    assert axis == pytest.approx((0, -1))
    assert cv2.imdecode(pack[0][0], 1).shape == (30, 40, 3)
    assert [len(polygon) for _, polygon, _ in pack[4:]] == [0] * 6


def test_faces__a_family_has_its_fair_share() -> None:
    def face(name, shade):
        return name, np.full((len(ALPHABET), *CELL), shade, np.uint8), []

    large = [face(f"Grand-{k}.ttf", k) for k in range(12)]
    small = [face("Alone-Regular.ttf", 50), face("Copy-Regular.ttf", 50)]
    kept = [
        name for name, _, _ in faces.fair_share(faces.without_doubles(large + small))
    ]
    assert sum(name.startswith("Grand") for name in kept) == 5
    assert kept[-1] == "Alone-Regular.ttf"


def test_faces__slanted_ones_and_what_is_no_font_stay_out(tmp_path) -> None:
    for name in (
        *("Some-Italic.ttf", "Some-Regular.ttf", "Some.txt", "Another-Thin.otf"),
        *("web-latin-400-normal.woff2", "web-latin-400-italic.woff2"),
        *("web-latin-800-normal.woff2", "web-greek-400-normal.woff2"),
    ):
        (tmp_path / name).write_bytes(b"no font at all")
    files = faces.font_files([tmp_path])
    assert [f.name for f in files] == ["Some-Regular.ttf", "web-latin-400-normal.woff2"]
    assert [faces.drawn(file) for file in files] == [None, None]
