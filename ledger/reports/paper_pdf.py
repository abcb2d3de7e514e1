"""A paper about one bird as a PDF: text at the left, picture and code at the right.

It fits on one A4 page where it can, in smaller letters if need be. Where it cannot
be read any more that small, it goes on to another page; nothing is cut off.
"""

from __future__ import annotations

import io
from typing import TYPE_CHECKING, Any

from ledger.reports.lettering import FAMILY, is_rewritten, lettered, printable

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from pathlib import Path

    from fpdf import FPDF

    from ledger.reports.paper import Paper, Part

_MARGIN_MM = 14.0
_RIGHT_MM = 46.0
"""Width of the column with picture and code."""
_GAP_MM = 6.0
_LABEL_MM = 30.0
_HEAD_MM = 20.0
_SIGN_MM = 17.0
"""Room for a line that is signed."""
_POINTS = (10.0, 9.0, 8.0, 7.0, 6.5, 6.0)
"""Sizes of the letters, tried in turn; those of a newspaper's small print are last."""
_LINE = 0.46
"""Height of a line in mm for each point."""
_PICTURE_PX = 900
REWRITTEN = "Signs that this page's letters lack are written in Latin letters."


def write_pdf(path: Path, paper: Paper) -> None:
    """Write a paper to a PDF of one A4 page, or as few as hold it.

    Args:
        path: The file; one that is there is written over.
        paper: What it says.

    Raises:
        OSError: the file cannot be written.
    """
    from fpdf import FPDF

    pdf = FPDF(format="A4")
    pdf.set_margin(_MARGIN_MM)
    pdf.set_auto_page_break(auto=False)
    with lettered(pdf, "".join(_words(paper))):
        _Sheet(pdf, paper).draw()
        written = bytes(pdf.output())
    # A paper is whole or not there, and the one of before stays until then.
    part = path.with_name(f"{path.name}.part")
    try:
        part.write_bytes(written)
        part.replace(path)
    finally:
        part.unlink(missing_ok=True)


class _Sheet:
    def __init__(self, pdf: FPDF, paper: Paper) -> None:
        self._pdf = pdf
        self._paper = paper
        self._width = pdf.w - 2 * _MARGIN_MM
        self._narrow = self._width - _RIGHT_MM - _GAP_MM
        self._top = self._right_end = 0.0
        self._notes = [REWRITTEN] if is_rewritten("".join(_words(paper))) else []

    def draw(self) -> None:
        """All of it."""
        self._pdf.set_title(printable(self._paper.title))
        self._pdf.add_page()
        self._top = self._head()
        self._right_end = self._right_column()
        points = next((p for p in _POINTS if self._fits(p)), _POINTS[1])
        self._pdf.set_xy(_MARGIN_MM, self._top)
        for part in self._paper.parts:
            self._part(part, points)
        self._foot()

    @property
    def _bottom(self) -> float:
        return float(self._pdf.h - _MARGIN_MM)

    def _fits(self, points: float) -> bool:
        """Whether one page holds it in letters of this size."""
        y = self._top
        for part in self._paper.parts:
            y += points * _LINE * 1.9
            for label, text in part.lines:
                lines = self._laid(text, points, _indent(label), 1, y)
                y += len(lines) * points * _LINE
        return y + self._foot_height() <= self._bottom

    def _laid(
        self, text: str, points: float, indent: float, page: int, y: float
    ) -> list[str]:
        """A text in lines: beside picture and code first, then over the whole width."""
        text = printable(text) or " "
        beside = page == 1 and y < self._right_end
        room = self._narrow if beside else self._width
        lines = self._wrapped(text, points, room - indent)
        fits = int((self._right_end - y) / (points * _LINE)) + 1
        if not beside or len(lines) <= fits:
            return lines
        rest = _after(text, lines[:fits])
        if rest is None:  # signs that change places: leave them as they are
            return lines
        return [*lines[:fits], *self._wrapped(rest, points, self._width - indent)]

    def _wrapped(self, text: str, points: float, width: float) -> list[str]:
        self._pdf.set_font(FAMILY, "", points)
        lines: Any = self._pdf.multi_cell(
            width, points * _LINE, text, align="L", dry_run=True, output="LINES"
        )
        return [str(line).rstrip("\n") for line in lines]

    def _head(self) -> float:
        """Title and what stands below it; where they end."""
        pdf = self._pdf
        pdf.set_xy(_MARGIN_MM, _MARGIN_MM)
        title = printable(self._paper.title)
        points = 18.0
        pdf.set_font(FAMILY, "B", points)
        while points > 9 and pdf.get_string_width(title) > self._width:
            points -= 1
            pdf.set_font(FAMILY, "B", points)
        pdf.multi_cell(
            self._width,
            8,
            title,
            align="L",
            new_x="LMARGIN",
            new_y="NEXT",
            max_line_height=8,
        )
        pdf.set_font(FAMILY, "", 9)
        pdf.set_text_color(90)
        below = printable(self._paper.below_title)
        pdf.multi_cell(
            self._width, 4.5, below, align="L", new_x="LMARGIN", new_y="NEXT"
        )
        pdf.set_text_color(0)
        pdf.set_draw_color(120)
        line = max(_MARGIN_MM + _HEAD_MM - 3, pdf.get_y() + 2)
        pdf.line(_MARGIN_MM, line, _MARGIN_MM + self._width, line)
        return float(line + 3)

    def _right_column(self) -> float:
        """The ring's picture, and the code below it; where they end."""
        pdf, paper = self._pdf, self._paper
        left = _MARGIN_MM + self._narrow + _GAP_MM
        y = self._top
        picture = _picture(paper.picture) if paper.picture else None
        if picture is not None:
            wide, high = picture.size
            height = min(_RIGHT_MM * high / wide, 60.0)
            width = height * wide / high
            pdf.image(picture, x=left + (_RIGHT_MM - width) / 2, y=y, w=width, h=height)
            y += height + 1
        y = self._caption(paper.picture_said, left, y) + 4
        pdf.image(_code(paper.code), x=left, y=y, w=_RIGHT_MM, h=_RIGHT_MM)
        return self._caption(paper.code_said, left, y + _RIGHT_MM + 1)

    def _caption(self, text: str, x: float, y: float) -> float:
        """Where it ends."""
        if not text:
            return y
        self._pdf.set_xy(x, y)
        self._pdf.set_font(FAMILY, "", 7)
        self._pdf.multi_cell(
            _RIGHT_MM, 3.1, printable(text), align="L", new_x="LEFT", new_y="NEXT"
        )
        return float(self._pdf.get_y())

    def _part(self, part: Part, points: float) -> None:
        pdf = self._pdf
        line = points * _LINE
        self._make_room(3.5 * line)
        pdf.set_y(pdf.get_y() + line * 0.5)
        pdf.set_font(FAMILY, "B", points + 0.5)
        if part.alert:
            pdf.set_text_color(170, 20, 20)
        title = printable(part.title)
        pdf.cell(self._narrow, line * 1.4, title, new_x="LMARGIN", new_y="NEXT")
        pdf.set_text_color(0)
        for label, text in part.lines:
            self._line(label, text, points)

    def _line(self, label: str, text: str, points: float) -> None:
        """A label and its text, line by line, so that a page may end in between."""
        pdf = self._pdf
        shown = label
        indent = _indent(label)
        for piece in self._laid(text, points, indent, pdf.page_no(), pdf.get_y()):
            self._make_room(points * _LINE)
            pdf.set_font(FAMILY, "B", points)
            if shown:
                pdf.cell(_LABEL_MM, points * _LINE, printable(shown))
                shown = ""
            pdf.set_x(_MARGIN_MM + indent)
            pdf.set_font(FAMILY, "", points)
            pdf.cell(0, points * _LINE, piece, new_x="LMARGIN", new_y="NEXT")

    def _make_room(self, height: float) -> None:
        if self._pdf.get_y() + height > self._bottom:
            self._pdf.add_page()

    def _foot_height(self) -> float:
        return _SIGN_MM * len(self._paper.signatures) + 4.0 * len(self._notes)

    def _foot(self) -> None:
        """Who signs, at the end of the last page."""
        pdf = self._pdf
        self._make_room(self._foot_height())
        pdf.set_y(self._bottom - self._foot_height())
        for who in self._paper.signatures:
            y = pdf.get_y() + _SIGN_MM - 5
            pdf.set_draw_color(0)
            pdf.line(_MARGIN_MM, y, _MARGIN_MM + 70, y)
            pdf.line(_MARGIN_MM + 78, y, _MARGIN_MM + self._width, y)
            pdf.set_font(FAMILY, "", 8)
            pdf.set_xy(_MARGIN_MM, y + 0.5)
            pdf.cell(70, 4, "Place and date")
            pdf.set_xy(_MARGIN_MM + 78, y + 0.5)
            pdf.cell(self._width - 78, 4, printable(who))
            pdf.set_xy(_MARGIN_MM, y + 5)
        pdf.set_font(FAMILY, "", 7)
        for note in self._notes:
            pdf.cell(self._width, 4, note, new_x="LMARGIN", new_y="NEXT")


def _indent(label: str) -> float:
    return _LABEL_MM if label else 0.0


def _after(text: str, lines: Sequence[str]) -> str | None:
    """What is left of a text after its first lines; None where they do not add up."""
    place = 0
    for line in lines:
        while text[place : place + 1].isspace():
            place += 1
        words = line.strip()
        if not text.startswith(words, place):
            return None
        place += len(words)
    return text[place:].lstrip()


def _words(paper: Paper) -> Iterator[str]:
    """Every text that is printed."""
    yield from (paper.title, paper.below_title, paper.picture_said, *paper.signatures)
    for part in paper.parts:
        yield part.title
        for label, text in part.lines:
            yield label
            yield text


def _code(text: str) -> Any:
    """The QR code of a text, as a picture."""
    import segno
    from PIL import Image

    buffer = io.BytesIO()
    code = segno.make(text, error="m", boost_error=False, encoding="utf-8", micro=False)
    code.save(buffer, kind="png", scale=8, border=4)
    buffer.seek(0)
    return Image.open(buffer).convert("L")


def _picture(path: Path) -> Any:
    """A photo, turned as it was taken and made small; None where it is none."""
    from PIL import Image, ImageOps
    from pillow_heif import register_heif_opener

    register_heif_opener()
    try:
        with Image.open(path) as opened:
            turned = ImageOps.exif_transpose(opened).convert("RGB")
    except (OSError, Image.DecompressionBombError):
        return None
    turned.thumbnail((_PICTURE_PX, _PICTURE_PX))
    return turned
