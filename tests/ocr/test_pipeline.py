"""The order of the steps, with steps that do as told."""

from __future__ import annotations

import dataclasses
import subprocess
import sys
from pathlib import Path
from types import SimpleNamespace

import cv2
import numpy as np
import pytest
from drawn_ring import SHEET, half_turned, row

import ocr
from ocr.cylinder import RingPose
from ocr.errors import Cancelled, NotAPictureError, TesseractMissingError
from ocr.pipeline import Parts, read_ring
from ocr.reading import Stage
from ocr.steps import StepWriter
from ocr.tesseract import Answers

ARC = [(10.0 + i * 4, 20.0) for i in range(24)]
OUTLINE = np.array(ARC + [(x, 90.0) for x, _ in reversed(ARC)])


def strip_of(px_height):
    scale = px_height / SHEET.height_px
    size = (round(SHEET.width_px * scale), px_height)
    return cv2.resize(np.full((96, 300, 3), 120, np.uint8), size)


def parts(found, *, ring=True, score=1.0, read_pages=None):
    def unwrap(bgr, pose, *, px_height):
        return SimpleNamespace(bgr=strip_of(px_height), span_deg=150.0, aspect=0.6)

    return Parts(
        open_photo=lambda path: SimpleNamespace(
            bgr=np.zeros((96, 96, 3), np.uint8), to_stored=lambda points: points + 1
        ),
        find_ring=lambda bgr, steps: (
            SimpleNamespace(
                outline=lambda n: OUTLINE, tilt_deg=5.0, others=0, score=score
            )
            if ring
            else None
        ),
        unwrap=unwrap,
        find_characters=lambda strips: [list(found) for _ in strips],
        read_pages=read_pages or (lambda pages: Answers(((),) * len(pages))),
    )


def test_one_photo__text_outline_and_stages_in_order():
    stages = []
    reading = read_ring(
        [Path("a.jpg")],
        report=lambda stage, detail: stages.append(stage),
        parts=parts(row("TWK 24", 60, 48)),
    )
    assert reading.text == "TWK 24"
    assert reading.photos[0].outline[0] == (11.0, 21.0)
    assert reading.photos[0].aspect == 0.6
    assert list(dict.fromkeys(stages)) == list(Stage)


def test_strip_upside_down__is_turned_for_the_reader():
    found = half_turned(row("TWK 24", 60, 48))
    assert read_ring([Path("a.jpg")], parts=parts(found)).text == "TWK 24"


def test_steps__every_stage_of_every_photo_is_a_picture(tmp_path):
    pose = RingPose((48, 48), 30.0, 90.0, 5.0, 0.6, 0.1, (0.0, 0.0))
    steps = StepWriter(tmp_path)
    shown = parts(row("TWK", 60, 48) + row("24", 60, 85, h=14))
    shown = dataclasses.replace(shown, find_ring=lambda bgr, steps: pose)
    read_ring([Path("a.jpg"), Path("b.jpg")], steps=steps, parts=shown)
    names = {str(p.relative_to(tmp_path)) for p in tmp_path.rglob("*.png")}
    for photo in ("a", "b"):
        assert {f"{photo}/01-ring-found.png", f"{photo}/02-strip.png"} <= names
        assert f"{photo}/05-line-2-for-Tesseract.png" in names


def test_no_ring__is_a_result_without_text():
    reading = read_ring([Path("a.jpg")], parts=parts([], ring=False))
    assert not reading.ring_found
    assert reading.text == ""
    assert reading.doubts


@pytest.mark.parametrize(("text", "found"), [("TWK", True), ("TW", False)])
def test_hardly_a_ring__is_one_if_characters_bear_it_out(text, found):
    reading = read_ring([Path("a.jpg")], parts=parts(row(text, 60, 48), score=0.4))
    assert reading.ring_found == found
    assert reading.text == (text if found else "")


def test_ring_without_characters__says_so():
    reading = read_ring([Path("a.jpg")], parts=parts([]))
    assert reading.ring_found
    assert any("no characters" in d for d in reading.photos[0].doubts)


def test_no_tesseract__the_network_reads_alone_and_says_so():
    def missing(pages):
        raise TesseractMissingError("Tesseract is not installed.")

    reading = read_ring(
        [Path("a.jpg")], parts=parts(row("TWK 24", 60, 48), read_pages=missing)
    )
    assert reading.text == "TWK 24"
    assert any("one reader only" in d for d in reading.photos[0].doubts)


def test_tesseract_too_slow__the_same():
    slow = parts(
        row("TWK", 60, 48),
        read_pages=lambda pages: Answers(((),) * len(pages), timed_out=True),
    )
    reading = read_ring([Path("a.jpg")], parts=slow)
    assert any("took too long" in d for d in reading.photos[0].doubts)


@pytest.mark.parametrize("asked", range(5))
def test_cancelled_before_any_stage__stops_there(asked):
    answers = iter([False] * asked + [True] * 9)
    with pytest.raises(Cancelled):
        read_ring(
            [Path("a.jpg")],
            cancelled=lambda: next(answers),
            parts=parts(row("TWK", 60, 48)),
        )


def test_cancelled_before_tesseract__it_is_never_started():
    started = []
    answers = iter([False] * 4 + [True] * 9)

    def read_pages(pages):
        started.append(pages)
        return Answers(((),) * len(pages))

    with pytest.raises(Cancelled):
        read_ring(
            [Path("a.jpg")],
            cancelled=lambda: next(answers),
            parts=parts(row("TWK", 60, 48), read_pages=read_pages),
        )
    assert started == []


def test_photo_that_is_no_picture__its_own_error_comes_through():
    def no_picture(path):
        raise NotAPictureError(f"{path} is no picture.")

    broken = parts([])
    broken = dataclasses.replace(broken, open_photo=no_picture)
    with pytest.raises(NotAPictureError, match=r"b\.txt"):
        read_ring([Path("b.txt")], parts=broken)


def test_six_photos__keep_their_order():
    names = [f"{k}.jpg" for k in range(6)]
    reading = read_ring([Path(n) for n in names], parts=parts(row("TWK", 60, 48)))
    assert [p.file for p in reading.photos] == names


def test_reading_as_json__has_the_published_form():
    data = read_ring([Path("a.jpg")], parts=parts(row("TWK 24", 60, 48))).as_json()
    assert set(data) == {"photos", "inscription", "ring", "doubts"}
    assert data["inscription"]["text"] == "TWK 24"


def test_import_of_the_package__loads_no_picture_library():
    code = "import sys, ocr; sys.exit('cv2' in sys.modules or 'numpy' in sys.modules)"
    folder = Path(ocr.__file__).parent.parent
    assert subprocess.run([sys.executable, "-c", code], cwd=folder).returncode == 0
