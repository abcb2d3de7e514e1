"""Lays text on a strip in the manners that rings are written."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ocr.training.inscriptions import line, words
from ocr.training.sheet import HEIGHT, Sheet

if TYPE_CHECKING:
    import numpy as np

    from ocr.training.glyph_table import GlyphTable

_MANNERS = {"one": 0.4, "two": 0.24, "three": 0.04, "axial": 0.2, "mixed": 0.12}


def lay_out(rng: np.random.Generator, table: GlyphTable, w: int) -> Sheet:
    """A sheet `w` pixels wide: one to three lines, axial text, or both mixed."""
    sheet = Sheet(rng, table, w)
    sheet.gap = float(rng.uniform(0.35, 0.9))
    up = 0 if rng.random() < 0.5 else 180
    manner = rng.choice(list(_MANNERS), p=list(_MANNERS.values()))
    parts = words(rng)
    if manner == "one":
        _one_line(rng, sheet, up)
    elif manner in ("two", "three"):
        _lines(rng, sheet, up, 2 if manner == "two" else 3)
    else:
        _axial(rng, sheet, up, parts, mixed=manner == "mixed")
    return sheet


def _one_line(rng: np.random.Generator, sheet: Sheet, up: int) -> None:
    cap = HEIGHT * rng.uniform(0.18, 0.8)
    y = HEIGHT / 2 + rng.normal(0, 0.06) * HEIGHT
    start = rng.uniform(-60, sheet.w * 0.6)
    sheet.row(line(rng), y, cap, up, start if up == 0 else sheet.w - start)


def _lines(rng: np.random.Generator, sheet: Sheet, up: int, count: int) -> None:
    cap = HEIGHT / count * rng.uniform(0.5, 0.82)
    for i in range(count):
        y = HEIGHT * (i + 0.5) / count * 0.94 + HEIGHT * 0.03 + rng.normal(0, 1.5)
        start = rng.uniform(-60, sheet.w * 0.6)
        text = line(rng) if rng.random() < 0.7 else " ".join(words(rng))
        sheet.row(text, y, cap, up, start if up == 0 else sheet.w - start)


def _axial(
    rng: np.random.Generator, sheet: Sheet, up: int, parts: list[str], *, mixed: bool
) -> None:
    """Columns along the axis; `mixed`, some parts round the ring among them."""
    turn = int(rng.choice([90, 270]))
    x = rng.uniform(0, 40)
    cap = HEIGHT * rng.uniform(0.17, 0.42)
    k = 0
    while x < sheet.w + 20 and k < 9:
        text = parts[k % len(parts)]
        if mixed and rng.random() < 0.45:
            c = HEIGHT * rng.uniform(0.3, 0.6)
            width = sum(sheet.advance(letter, c) for letter in text)
            sheet.row(text, HEIGHT / 2, c, up, x if up == 0 else x + width)
            x += width + cap * 0.5
        else:
            middle = HEIGHT / 2 + rng.normal(0, 3)
            sheet.column(text, x + cap / 2, cap, turn, middle)
            x += cap * rng.uniform(1.15, 2.0)
        k += 1
