"""Rows of several photos at the same heights: invented readings, a rule of ours."""

from __future__ import annotations

import pytest

from ocr.reading import Glyph, Line, PhotoReading
from ocr.rows import levelled


def a_photo(*rows: tuple[str, float]) -> PhotoReading:
    lines = tuple(
        Line(tuple(Glyph(sign, 0.9, height=height) for sign in text))
        for text, height in rows
    )
    return PhotoReading("a.jpg", True, lines=lines)


def heights(photo: PhotoReading) -> list[float]:
    return [line.glyphs[0].height for line in photo.lines]


def test_levelled__a_photo_that_shows_the_ring_too_high() -> None:
    right = a_photo(("TWK", 0.72), ("2022", 0.28))
    low = a_photo(("WK", 0.5), ("22", 0.2))
    also = a_photo(("IE", 0.7), ("20", 0.3))
    for photo in levelled([right, low, also]):
        assert heights(photo) == pytest.approx([0.7, 0.28])


def test_levelled__two_parts_of_one_row_stay_one() -> None:
    photos = [a_photo(("TW", 0.7), ("K", 0.72), ("22", 0.3)), a_photo(("IE", 0.6))]
    assert levelled(photos)[1] == photos[1]
    assert heights(levelled(photos)[0]) == pytest.approx([0.7, 0.72, 0.3])


def test_levelled__one_row_tells_nothing() -> None:
    photos = [a_photo(("TWK", 0.7)), a_photo(("WK", 0.5))]
    assert levelled(photos) == photos
