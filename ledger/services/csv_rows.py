"""A keeper's CSV file as rows of named cells, with the line each one starts on."""

from __future__ import annotations

import codecs
import csv
import io
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ledger.errors import ImportFailedError, NotFoundError

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from pathlib import Path

COLUMNS = (
    "bird",
    "name",
    "species",
    "sex",
    "hatched",
    "sire",
    "dam",
    "status",
    "location",
    "ring",
    "ring_kind",
    "ring_leg",
    "ring_colour",
    "ring_size_mm",
    "chip",
)
"""Columns with a meaning, in the order they are written. Others become notes."""
NOTES = "notes"
"""Column whose text goes into the notes as it is."""


@dataclass(frozen=True)
class Row:
    """One row: cells by column, spaces round them taken off."""

    line: int
    """Where it starts in the file, from 1."""
    cells: Mapping[str, str]
    too_many: tuple[str, ...] = ()
    """Cells beyond the last heading."""


def read_rows(
    path: Path,
    names: Mapping[str, str] | None = None,
    *,
    must_have: Sequence[str] = ("bird", "name", "ring", "chip"),
) -> list[Row]:
    """All rows of a CSV file that are not blank.

    Commas, semicolons or tabs part the cells, as the heading row shows; a byte
    order mark is passed over; headings may stand in any order and case.

    Raises:
        NotFoundError: there is no such file, or it cannot be read.
        ImportFailedError: it is not UTF-8, not CSV, or has no usable heading row.
    """
    text = _text(path)
    first = text.lstrip("\r\n").split("\n", 1)[0]
    reader = csv.reader(
        io.StringIO(text, newline=""), delimiter=_delimiter(first), strict=True
    )
    headings: list[str] = []
    rows: list[Row] = []
    line = 0
    try:
        for cells in reader:
            start, line = line + 1, reader.line_num
            cells = [cell.strip() for cell in cells]
            if not any(cells):
                continue
            if not headings:
                headings = _headings(cells, path, names or {}, must_have)
                continue
            named = dict(zip(headings, cells, strict=False))
            rows.append(Row(start, named, tuple(cells[len(headings) :])))
    except csv.Error as error:
        raise ImportFailedError(
            f"“{path}” cannot be read from line {line + 1} on: its quotation marks or "
            f"lines are broken ({error}).",
            "Open it in a spreadsheet and save it as CSV again.",
        ) from error
    if not headings:
        raise ImportFailedError(
            f"“{path}” is empty.", f"The first row names columns: {', '.join(COLUMNS)}."
        )
    return rows


def _text(path: Path) -> str:
    try:
        raw = path.read_bytes()
    except OSError as error:
        raise NotFoundError(
            f"The file “{path}” cannot be read: {error.strerror}.",
            "Check its name and that you may read it.",
        ) from error
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        wide = raw.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE))
        line = raw[: error.start].count(b"\n") + 1
        where = "it is UTF-16" if wide else f"see line {line}"
        raise ImportFailedError(
            f"“{path}” is not UTF-8 text: {where}.",
            "Save it from the spreadsheet as “CSV UTF-8” and import that.",
        ) from error


def _delimiter(heading_row: str) -> str:
    return max(",;\t", key=heading_row.count)


def _headings(
    cells: list[str], path: Path, names: Mapping[str, str], must_have: Sequence[str]
) -> list[str]:
    headings = [cell.lower().replace(" ", "_") for cell in cells]
    headings = [names.get(heading, heading) for heading in headings]
    if not set(headings) & set(must_have):
        what = "that names a bird" if "chip" in must_have else "it could be read by"
        columns = COLUMNS if "chip" in must_have else must_have
        raise ImportFailedError(
            f"“{path}” has no column {what}.",
            f"The first row names columns, of these: {', '.join(columns)}. "
            "--heading gives another name to one of yours.",
        )
    twice = next((h for h in headings if h and headings.count(h) > 1), None)
    if twice:
        raise ImportFailedError(
            f"“{path}” has two columns called “{twice}”.",
            "Rename or delete one of them.",
        )
    return headings
