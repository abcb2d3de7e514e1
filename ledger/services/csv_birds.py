"""One row of a CSV file as a bird with its ring and chip, or why it is none."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, TypeVar

from ledger.domain.bird import Bird, Sex, Status
from ledger.domain.partial_date import PartialDate
from ledger.domain.ring import Chip, Leg, Ring, RingKind, RingState
from ledger.services.csv_rows import COLUMNS, NOTES

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Mapping
    from enum import StrEnum

    from ledger.services.csv_rows import Row

    Word = TypeVar("Word", bound=StrEnum)

OWN_ID = re.compile(r"b\d{4,7}")
"""What a bird's id of our own making looks like."""

_SEXES = {
    "": Sex.UNKNOWN,
    "?": Sex.UNKNOWN,
    "unknown": Sex.UNKNOWN,
    "cock": Sex.COCK,
    "male": Sex.COCK,
    "m": Sex.COCK,
    "hen": Sex.HEN,
    "female": Sex.HEN,
    "f": Sex.HEN,
}
_STATUSES = {"": Status.ALIVE, **{str(status): status for status in Status}}
_RING_KINDS = {"": RingKind.UNKNOWN, **{str(kind): kind for kind in RingKind}}
_LEGS = {
    "": Leg.UNKNOWN,
    "l": Leg.LEFT,
    "r": Leg.RIGHT,
    **{str(leg): leg for leg in Leg},
}


@dataclass(frozen=True)
class BadCell:
    """Something wrong with a row."""

    line: int
    """Line of the file, from 1."""
    column: str
    """Heading of the column; empty where it is the row as a whole."""
    reason: str
    """As a sentence."""


@dataclass
class Draft:
    """A bird on its way in. Ids and parents are filled in once all rows are read."""

    line: int
    key: str
    """What the file calls it, in small letters; may be empty."""
    bird: Bird
    ring: Ring | None
    chip: Chip | None
    sire: str
    dam: str
    bad: list[BadCell] = field(default_factory=list)

    def is_wrong(self, column: str, reason: str) -> None:
        """Note what is wrong in a column."""
        self.bad.append(BadCell(self.line, column, reason))


def draft_of(row: Row, today: dt.date) -> Draft:
    """Read one row. What is wrong in it stands in `bad`; the rest is read on."""
    cell = {column: row.cells.get(column, "") for column in COLUMNS}
    draft = Draft(
        row.line,
        cell["bird"].lower(),
        Bird(""),
        None,
        Chip("", cell["chip"]) if cell["chip"] else None,
        cell["sire"],
        cell["dam"],
    )
    if row.too_many:
        draft.is_wrong(
            "", f"The row has {len(row.too_many)} cells more than there are headings."
        )
    if not any(cell[column] for column in ("bird", "name", "ring", "chip")):
        draft.is_wrong("bird", "Nothing in the row says which bird it is.")
    draft.bird = Bird(
        "",
        name=cell["name"],
        species=cell["species"],
        sex=_word(draft, "sex", cell, _SEXES, Sex.UNKNOWN),
        hatched=_date(draft, cell["hatched"], today),
        status=_word(draft, "status", cell, _STATUSES, Status.ALIVE),
        location=cell["location"],
        notes=_notes(row),
    )
    draft.ring = _ring(draft, cell)
    return draft


def _word(
    draft: Draft,
    column: str,
    cell: Mapping[str, str],
    known: Mapping[str, Word],
    otherwise: Word,
) -> Word:
    word = known.get(cell[column].lower())
    if word is not None:
        return word
    words = ", ".join(dict.fromkeys(str(value) for value in known.values()))
    draft.is_wrong(column, f"“{cell[column]}” is not one of: {words}.")
    return otherwise


def _date(draft: Draft, text: str, today: dt.date) -> PartialDate | None:
    if not text:
        return None
    try:
        date = PartialDate.parse(text)
    except ValueError as error:
        draft.is_wrong("hatched", str(error))
        return None
    if date.is_after(today):
        draft.is_wrong("hatched", f"{text} lies in the future.")
    return date


def _ring(draft: Draft, cell: Mapping[str, str]) -> Ring | None:
    kind = _word(draft, "ring_kind", cell, _RING_KINDS, RingKind.UNKNOWN)
    leg = _word(draft, "ring_leg", cell, _LEGS, Leg.UNKNOWN)
    size = _size(draft, cell["ring_size_mm"])
    if not cell["ring"]:
        said = [c for c in cell if c.startswith("ring_") and cell[c]]
        if said:
            draft.is_wrong("ring", f"There is a {said[0]}, but no ring.")
        return None
    return Ring(
        "",
        cell["ring"],
        kind,
        cell["ring_colour"],
        size,
        leg,
        state=RingState.ON_BIRD,
    )


def _size(draft: Draft, text: str) -> float | None:
    if not text:
        return None
    if re.fullmatch(r"\d{1,3}([.,]\d{1,3})?", text) and float(text.replace(",", ".")):
        return float(text.replace(",", "."))
    draft.is_wrong("ring_size_mm", f"“{text}” is not a size in mm, like 10 or 7.5.")
    return None


def _notes(row: Row) -> str:
    """The notes column as it is, and every column without a meaning, named."""
    told = [row.cells.get(NOTES, "")]
    told += [
        f"{heading}: {text}" if heading else text
        for heading, text in row.cells.items()
        if text and heading not in COLUMNS and heading != NOTES
    ]
    if row.cells.get("bird") and not OWN_ID.fullmatch(row.cells["bird"].lower()):
        told.append(f"bird: {row.cells['bird']}")
    return "\n".join(filter(None, told))
