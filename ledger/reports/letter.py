"""A letter on plain A4 pages. Nothing stands on them but the letter and its day."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ledger.reports.lettering import FAMILY, lettered, printable

if TYPE_CHECKING:
    import datetime as dt
    from pathlib import Path

    from fpdf import FPDF

_MARGIN_MM = 22.0
_LINE_MM = 5.2
_INDENT_MM = 4.0
_POINTS = 10.0


def write_pdf(path: Path, text: str, *, date: dt.date) -> None:
    """Write a letter to a PDF.

    Args:
        path: The file; one that is there is written over.
        text: Paragraphs parted by an empty line; lines that begin with `- ` are set
            in. Signs that the typeface lacks are written in Latin letters.
        date: Stands on top.

    Raises:
        OSError: the file cannot be written.
    """
    from fpdf import FPDF

    page = FPDF(format="A4")
    page.set_title("Letter about a ring")
    page.set_margin(_MARGIN_MM)
    page.set_auto_page_break(auto=True, margin=_MARGIN_MM)
    page.add_page()
    text = printable(text)
    with lettered(page, text):
        page.set_font(FAMILY, "", _POINTS)
        page.cell(page.epw, _LINE_MM, date.isoformat(), align="R")
        page.ln(2 * _LINE_MM)
        for line in text.rstrip().split("\n"):
            _write(page, line)
        whole = bytes(page.output())
    path.write_bytes(whole)


def _write(page: FPDF, line: str) -> None:
    """One line of the text, folded."""
    if not line.strip():
        page.ln(_LINE_MM / 2)
        return
    indent = _INDENT_MM if line.startswith("- ") else 0.0
    if indent:
        page.cell(indent, _LINE_MM, "-")
    page.set_x(_MARGIN_MM + indent)
    page.multi_cell(
        page.epw - indent,
        _LINE_MM,
        line.removeprefix("- ") if indent else line,
        align="L",
        new_x="LMARGIN",
        new_y="NEXT",
    )
