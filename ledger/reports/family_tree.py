"""A bird's family tree on one printed page.

The page needs no font file: it is set in one of the fonts every PDF reader has. Those
know the letters of western Europe; other scripts are written in Latin letters.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from ledger.reports.western import printable

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from fpdf import FPDF

_MARGIN_MM = 10.0
_HEAD_MM = 22.0
_FOOT_MM = 10.0
_LINE_PART = 0.4
"""Height of a line of text in mm for each point of its size."""
_SIZES = (11.0, 10.0, 9.0, 8.0, 7.0, 6.0)
"""Points, by generation."""


@dataclass(frozen=True)
class Ancestor:
    """A place in a family tree; one without a name is a gap."""

    name: str
    """"" where the bird is not known."""
    lines: tuple[str, ...] = ()
    """Ring, hatching, F: the most telling first."""
    sire: Ancestor | None = None
    dam: Ancestor | None = None


def write_pdf(
    path: Path, bird: Ancestor, generations: int, *, title: str, below: str = ""
) -> None:
    """Write a tree to a PDF of one A4 page, across.

    Args:
        path: The file; one that is there is written over.
        bird: With its ancestors.
        generations: Of ancestors, 1 to 5.
        title: Stands on top.
        below: Stands at the foot, small.

    Raises:
        OSError: the file cannot be written.
        ValueError: there is no room for so many generations.
    """
    if not 1 <= generations <= len(_SIZES) - 1:
        raise ValueError(f"a page has room for 1 to 5 generations, not {generations}")
    from fpdf import FPDF

    page = FPDF(orientation="landscape", format="A4")
    page.set_auto_page_break(auto=False)
    page.set_margin(_MARGIN_MM)
    page.set_title(_printable(title))
    page.add_page()
    page.set_font("helvetica", "B", 14)
    page.set_xy(_MARGIN_MM, _MARGIN_MM)
    page.cell(0, 8, _printable(title))
    column = (page.w - 2 * _MARGIN_MM) / (generations + 1)
    height = page.h - _HEAD_MM - _FOOT_MM - _MARGIN_MM
    for place in _places(bird, generations, 0, 0.0, 1.0):
        _draw(page, place, column, height, generations)
    page.set_font("helvetica", "", 7)
    page.set_text_color(0)
    page.set_xy(_MARGIN_MM, page.h - _MARGIN_MM - 3)
    page.cell(0, 3, _printable(below))
    path.write_bytes(bytes(page.output()))


@dataclass(frozen=True)
class _Place:
    who: Ancestor | None
    """None: not even the young of this place is known."""
    generation: int
    top: float
    bottom: float
    """Parts of the page's height, 0 to 1."""


def _places(
    who: Ancestor | None, generations: int, generation: int, top: float, bottom: float
) -> Iterator[_Place]:
    """Every place of the tree, also the empty ones."""
    yield _Place(who, generation, top, bottom)
    if generation < generations:
        middle = (top + bottom) / 2
        sire, dam = (who.sire, who.dam) if who else (None, None)
        yield from _places(sire, generations, generation + 1, top, middle)
        yield from _places(dam, generations, generation + 1, middle, bottom)


def _draw(
    page: FPDF, place: _Place, column: float, height: float, generations: int
) -> None:
    x = _MARGIN_MM + place.generation * column
    middle = _HEAD_MM + height * (place.top + place.bottom) / 2
    size = _SIZES[place.generation]
    line = size * _LINE_PART
    room = int(height * (place.bottom - place.top) / line)
    page.set_draw_color(150)
    if place.generation < generations:
        # The bracket that leads to both parents.
        quarter = height * (place.bottom - place.top) / 4
        end = x + column
        page.line(end - 3, middle - quarter, end - 3, middle + quarter)
        for up in (-quarter, quarter):
            page.line(end - 3, middle + up, end, middle + up)
    known = place.who is not None and place.who.name
    texts = (
        (place.who.name, *place.who.lines) if place.who and known else ("not known",)
    )
    texts = texts[: max(1, room)]
    for number, text in enumerate(texts):
        style = "B" if known and number == 0 else "" if known else "I"
        page.set_font("helvetica", style, size if number == 0 else size - 1)
        page.set_text_color(0 if known else 120)
        page.set_xy(x, middle + (number - len(texts) / 2) * line)
        page.cell(column - 4, line, _fitted(page, text, column - 6))


def _fitted(page: FPDF, text: str, width_mm: float) -> str:
    """As much of a line as there is room for."""
    text = _printable(text)
    if page.get_string_width(text) <= width_mm:
        return text
    while text and page.get_string_width(text + "...") > width_mm:
        text = text[:-1]
    return text + "..."


def _printable(text: str) -> str:
    """The text on one line, in the letters of the page's font."""
    return " ".join(printable(text).split())
