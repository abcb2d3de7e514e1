"""Sentences and tables on A4, as text or as PDF: a round's sheet and its result.

The page needs no font file: it is set in one of the fonts every PDF reader has. Those
know the letters of western Europe; other scripts are written in Latin letters.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from ledger.reports.text_width import width_of
from ledger.reports.western import printable

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from fpdf import FPDF

_MARGIN_MM = 12.0
_LINE_MM = 5.0
_ROW_MM = 6.5
"""Room to write by hand beside a name."""


@dataclass(frozen=True)
class Column:
    """A column of a table."""

    title: str
    share: float = 1.0
    """Of the width, against the other columns."""


@dataclass(frozen=True)
class Table:
    """Rows under a title."""

    title: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]
    empty: str = ""
    """Stands there when there are no rows."""


@dataclass(frozen=True)
class Paper:
    """What is printed."""

    title: str
    lines: tuple[str, ...]
    """Sentences below the title."""
    tables: tuple[Table, ...]
    below: str = ""
    """At the foot of each page, small."""


def as_text(paper: Paper) -> str:
    """The paper as lines of text, columns under each other."""
    lines = [paper.title, "=" * width_of(paper.title), *paper.lines]
    for table in paper.tables:
        lines += ["", table.title, *_text_of(table)]
    if paper.below:
        lines += ["", paper.below]
    return "\n".join(lines)


def _text_of(table: Table) -> Iterator[str]:
    if not table.rows:
        yield f"  {table.empty}"
        return
    titles = tuple(column.title for column in table.columns)
    everything = (titles, *table.rows) if any(titles) else table.rows
    widths = [max(map(width_of, cells)) for cells in zip(*everything, strict=True)]
    for cells in everything:
        padded = (
            cell + " " * (width - width_of(cell))
            for cell, width in zip(cells, widths, strict=True)
        )
        yield f"  {'  '.join(padded)}".rstrip()


def write_pdf(path: Path, paper: Paper) -> None:
    """Write the paper to a PDF of A4 pages; a file that is there is written over.

    Raises:
        OSError: the file cannot be written.
    """
    from fpdf import FPDF

    class Pages(FPDF):  # the foot is drawn by the library, page by page
        def footer(self) -> None:
            self.set_y(-_MARGIN_MM)
            self.set_font("helvetica", "", 7)
            foot = f"{_printable(paper.below)}   page {self.page_no()} of {{nb}}"
            self.cell(0, 4, foot.strip())

    page = Pages(format="A4")
    page.set_margin(_MARGIN_MM)
    page.set_auto_page_break(auto=True, margin=_MARGIN_MM + 5)
    page.set_title(_printable(paper.title))
    page.add_page()
    page.set_font("helvetica", "B", 14)
    page.multi_cell(0, 8, _printable(paper.title), new_x="LMARGIN", new_y="NEXT")
    page.set_font("helvetica", "", 10)
    for line in paper.lines:
        page.multi_cell(
            0, _LINE_MM, _printable(line), align="L", new_x="LMARGIN", new_y="NEXT"
        )
    for table in paper.tables:
        _draw(page, table)
    path.write_bytes(bytes(page.output()))


def _draw(page: FPDF, table: Table) -> None:
    # A title never stands alone at the foot of a page.
    if page.get_y() + 4 * _ROW_MM > page.h - 2 * _MARGIN_MM:
        page.add_page()
    page.ln(3)
    page.set_font("helvetica", "B", 11)
    page.multi_cell(0, 6, _printable(table.title), new_x="LMARGIN", new_y="NEXT")
    if not table.rows:
        page.set_font("helvetica", "I", 9)
        page.cell(0, _ROW_MM, _printable(table.empty), new_x="LMARGIN", new_y="NEXT")
        return
    shares = sum(column.share for column in table.columns)
    room = page.w - 2 * _MARGIN_MM
    widths = [room * column.share / shares for column in table.columns]
    titles = tuple(column.title for column in table.columns)
    if any(titles):
        page.set_font("helvetica", "B", 8)
        page.set_text_color(90)
        _row(page, titles, widths)
        page.set_text_color(0)
    page.set_font("helvetica", "", 9)
    for cells in table.rows:
        _row(page, cells, widths)


def _row(page: FPDF, cells: tuple[str, ...], widths: list[float]) -> None:
    """One row with a rule below; long cells take several lines."""
    texts = [_printable(cell) for cell in cells]
    folded = [
        _folded(page, text, width - 1)
        for text, width in zip(texts, widths, strict=True)
    ]
    height = max(_ROW_MM, max(map(len, folded)) * (_LINE_MM - 1) + 2)
    if page.will_page_break(height):
        page.add_page()
    x, y = page.l_margin, page.get_y()
    for lines, width in zip(folded, widths, strict=True):
        for number, line in enumerate(lines):
            page.set_xy(x, y + 1 + number * (_LINE_MM - 1))
            page.cell(width - 1, _LINE_MM - 1, line)
        x += width
    page.set_draw_color(200)
    page.line(page.l_margin, y + height, page.w - page.r_margin, y + height)
    page.set_xy(page.l_margin, y + height)


def _folded(page: FPDF, text: str, width_mm: float) -> list[str]:
    """The text in lines that fit."""
    if not text:
        return [""]
    lines = page.multi_cell(
        width_mm, _LINE_MM - 1, text, dry_run=True, output="LINES", align="L"
    )
    return [str(line) for line in lines] if isinstance(lines, list) else [text]


def _printable(text: str) -> str:
    """The text on one line, in the letters of the page's font."""
    return " ".join(printable(text).split())
