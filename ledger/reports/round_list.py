"""A day's round on paper: a box to tick before each thing, aviary by aviary.

As text for any printer, or as PDF; the PDF needs no font file and knows the letters
of western Europe.
"""

from __future__ import annotations

import textwrap
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ledger.reports.western import printable

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from pathlib import Path

    from fpdf import FPDF

_MARGIN_MM = 12.0
_BOX_MM = 3.4
_WHO_MM = 56.0
_LINE_MM = 4.4


@dataclass(frozen=True)
class RoundLine:
    """One thing to be done."""

    who: str
    """The bird and what it wears; "" where it is about none."""
    what: str
    why: str
    is_urgent: bool = False


@dataclass(frozen=True)
class RoundPart:
    """What is to be done in one place."""

    title: str
    lines: tuple[RoundLine, ...]


def as_text(title: str, parts: Sequence[RoundPart], below: str, width: int = 80) -> str:
    """The round for a printer of text.

    Args:
        title: Stands on top.
        parts: Place by place.
        below: Stands at the end.
        width: Characters in a line at most.
    """
    return "\n".join(_lines(title, parts, below, width))


def _lines(
    title: str, parts: Sequence[RoundPart], below: str, width: int
) -> Iterator[str]:
    yield title
    yield "=" * min(len(title), width)
    for part in parts:
        yield ""
        yield part.title
        for line in part.lines:
            mark = "!" if line.is_urgent else " "
            said = ": ".join(filter(None, [line.who, line.what, line.why]))
            yield from textwrap.wrap(
                said,
                width,
                initial_indent=f"{mark}[ ] ",
                subsequent_indent=" " * 5,
                break_on_hyphens=False,
            )
    yield ""
    yield from textwrap.wrap(below, width)


def write_pdf(path: Path, title: str, parts: Sequence[RoundPart], below: str) -> None:
    """Write the round to a PDF of A4 pages.

    Args:
        path: The file; one that is there is written over.
        title: Stands on every page.
        parts: Place by place.
        below: Stands at the foot of every page, small.

    Raises:
        OSError: the file cannot be written.
    """
    from fpdf import FPDF

    page = FPDF(format="A4")
    page.set_auto_page_break(auto=False)
    page.set_margin(_MARGIN_MM)
    page.set_title(printable(title))
    _new_page(page, title, below)
    for part in parts:
        _heading(page, part.title, title, below)
        for line in part.lines:
            _line(page, line, title, below)
    path.write_bytes(bytes(page.output()))


def _new_page(page: FPDF, title: str, below: str) -> None:
    page.add_page()
    page.set_font("helvetica", "", 7)
    page.set_text_color(110)
    page.set_xy(_MARGIN_MM, page.h - _MARGIN_MM + 2)
    foot = f"{below} Page {page.page_no()}."
    page.multi_cell(page.w - 2 * _MARGIN_MM, 3, printable(foot), align="L")
    page.set_text_color(0)
    page.set_font("helvetica", "B", 14)
    page.set_xy(_MARGIN_MM, _MARGIN_MM)
    page.cell(0, 7, printable(title))
    page.set_y(_MARGIN_MM + 10)


def _room(page: FPDF, height: float, title: str, below: str) -> None:
    if page.get_y() + height > page.h - _MARGIN_MM - 2:
        _new_page(page, title, below)


def _heading(page: FPDF, text: str, title: str, below: str) -> None:
    _room(page, 18, title, below)  # never a heading alone at the foot
    page.set_y(page.get_y() + 2)
    page.set_font("helvetica", "B", 11)
    page.cell(0, 6, printable(text))
    page.set_y(page.get_y() + 6.5)
    page.set_draw_color(160)
    page.line(_MARGIN_MM, page.get_y(), page.w - _MARGIN_MM, page.get_y())
    page.set_y(page.get_y() + 1)


def _line(page: FPDF, line: RoundLine, title: str, below: str) -> None:
    left = _MARGIN_MM + _BOX_MM + 2
    wide = page.w - _MARGIN_MM - left - _WHO_MM
    said = ": ".join(filter(None, [line.what, line.why]))
    page.set_font("helvetica", "", 9)
    height = _height(page, wide, said)
    page.set_font("helvetica", "B", 9)
    height = max(height, _height(page, _WHO_MM - 2, line.who), _LINE_MM) + 1.4
    _room(page, height, title, below)
    top = page.get_y()
    page.set_draw_color(0)
    page.rect(_MARGIN_MM, top + 0.5, _BOX_MM, _BOX_MM)
    if line.is_urgent:
        page.set_xy(_MARGIN_MM - 4, top)
        page.cell(4, _LINE_MM, "!")
    page.set_xy(left, top)
    page.multi_cell(_WHO_MM - 2, _LINE_MM, printable(line.who), align="L")
    page.set_font("helvetica", "", 9)
    page.set_xy(left + _WHO_MM, top)
    page.multi_cell(wide, _LINE_MM, printable(said), align="L")
    page.set_y(top + height)


def _height(page: FPDF, wide: float, text: str) -> float:
    """What a text takes, in the font that is set."""
    lines = page.multi_cell(
        wide, _LINE_MM, printable(text), dry_run=True, output="LINES", align="L"
    )
    return len(lines) * _LINE_MM if isinstance(lines, list) else _LINE_MM
