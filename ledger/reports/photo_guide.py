"""The sheet that shows how to photograph a ring: six drawings on one page."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from ledger.reports.lettering import FAMILY, lettered, printable
from ledger.reports.sketch import Sketch

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from fpdf import FPDF

_MARGIN_MM = 14.0
_HEAD_MM = 14.0
_ROW_MM = 75.0
_DRAWN_MM = 40.0
_GAP_MM = 8.0
_ROWS = 3


def write_pdf(
    path: Path, title: str, steps: Sequence[tuple[str, str]], stop: str
) -> None:
    """Write the sheet to a PDF of one A4 page.

    Args:
        path: The file; one that is there is written over.
        title: Stands on top.
        steps: Title and sentences of each of the six steps.
        stop: When not to take a photo at all; stands below, framed.

    Raises:
        OSError: the file cannot be written.
        ValueError: there are not six steps.
    """
    if len(steps) != len(_DRAWINGS):
        raise ValueError(f"the sheet has {len(_DRAWINGS)} fields, not {len(steps)}")
    from fpdf import FPDF

    page = FPDF(format="A4")
    page.set_auto_page_break(auto=False)
    page.set_title(printable(title))
    page.set_margin(_MARGIN_MM)
    page.add_page()
    words = " ".join((title, stop, *(part for step in steps for part in step)))
    with lettered(page, words):
        _draw(page, title, steps)
        _stop(page, stop)
        whole = bytes(page.output())
    path.write_bytes(whole)


def _draw(page: FPDF, title: str, steps: Sequence[tuple[str, str]]) -> None:
    page.set_font(FAMILY, "B", 17)
    page.set_xy(_MARGIN_MM, _MARGIN_MM - 3)
    page.cell(0, 10, printable(title))
    width = (page.epw - _GAP_MM) / 2
    for number, (step, draw) in enumerate(zip(steps, _DRAWINGS, strict=True)):
        column, row = number % 2, number // 2
        x = _MARGIN_MM + column * (width + _GAP_MM)
        y = _MARGIN_MM + _HEAD_MM + row * _ROW_MM
        field = Sketch(page, x, y, width, _DRAWN_MM)
        page.set_draw_color(200)
        page.set_line_width(0.3)
        page.rect(x, y, width, _DRAWN_MM)
        draw(field)
        _words(page, x, y + _DRAWN_MM + 2, width, number + 1, step)


def _words(
    page: FPDF, x: float, y: float, width: float, number: int, step: tuple[str, str]
) -> None:
    title, said = step
    page.set_text_color(0)
    page.set_font(FAMILY, "B", 11)
    page.set_xy(x, y)
    page.cell(width, 5.5, printable(f"{number}. {title}"))
    page.set_font(FAMILY, "", 9.5)
    page.set_xy(x, y + 6)
    page.multi_cell(width, 4.3, printable(said), align="L")


def _stop(page: FPDF, stop: str) -> None:
    y = _MARGIN_MM + _HEAD_MM + _ROWS * _ROW_MM + 2
    page.set_draw_color(0)
    page.set_line_width(0.6)
    page.set_font(FAMILY, "B", 10.5)
    page.set_xy(_MARGIN_MM, y)
    page.multi_cell(
        page.w - 2 * _MARGIN_MM, 6, printable(stop), border=1, align="L", padding=3
    )


def _two_people(field: Sketch) -> None:
    page = field.page
    page.set_draw_color(40)
    page.set_line_width(0.35)
    x, y = field.at(58, 22)
    page.ellipse(x, y, 26, 16)  # the body, lying
    field.circle(88, 30, 5)
    field.line((93, 26), (98, 32), (92, 34))  # the beak
    field.line((62, 22), (62, 62), (82, 62), (82, 20), (62, 22), grey=True)
    field.words(63, 18, "cloth, lightly")
    field.line((66, 62), (66, 86))
    field.line((72, 62), (72, 86))
    field.box(64, 70, 4, 9, filled=True)
    field.camera(22, 74)
    field.dashed((30, 74), (62, 74))
    field.words(12, 94, "one takes the photo")
    field.words(60, 96, "one holds the bird")


def _square(field: Sketch) -> None:
    field.ring_on_leg(72)
    field.camera(20, 53)
    field.dashed((28, 53), (64, 53))
    field.words(14, 70, "so")
    field.camera(34, 14, 28)
    field.dashed((41, 20), (64, 42))
    field.cross(34, 14)
    field.words(14, 12, "not so")


def _near(field: Sketch) -> None:
    field.ring_on_leg(74)
    field.camera(20, 53)
    field.line((28, 78), (66, 78), grey=True)
    field.line((31, 75), (28, 78), (31, 81), grey=True)
    field.line((63, 75), (66, 78), (63, 81), grey=True)
    field.words(36, 74, "10 to 15 cm")
    field.dashed((28, 48), (66, 36))
    field.dashed((28, 58), (66, 70))


def _light(field: Sketch) -> None:
    field.ring_on_leg(62)
    field.sun(90, 24)
    field.dashed((84, 32), (70, 48))
    field.words(80, 50, "daylight")
    field.camera(18, 53)
    field.dashed((26, 53), (55, 53))
    field.flash(19, 12)
    field.cross(18, 24, 6)
    field.words(26, 20, "no flash")


def _round(field: Sketch) -> None:
    field.circle(50, 52, 7)
    field.circle(50, 52, 5)
    field.words(61, 54, "the ring from above", 7)
    for number, turn in enumerate((180, 300, 60), 1):
        angle = math.radians(turn)
        away = 15.0
        x = 50 + away * math.cos(angle) * 100 / field.width
        y = 52 + away * math.sin(angle) * 100 / field.height
        field.camera(x, y, turn + 180)
        field.words(x - 10 if turn == 180 else x + 8, y + 4, str(number), 10)


def _seam(field: Sketch) -> None:
    field.ring_on_leg(50, seam=True)
    field.line((51, 52), (72, 40), grey=True)
    field.words(73, 40, "the seam")
    field.line((53, 30), (72, 20), grey=True)
    field.words(73, 20, "skin above")
    field.line((53, 74), (72, 82), grey=True)
    field.words(73, 84, "and below")
    field.camera(16, 53)
    field.dashed((24, 53), (43, 53))


_DRAWINGS = (_two_people, _square, _near, _light, _round, _seam)
