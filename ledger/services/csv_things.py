"""Rings, events and pairs in from a CSV file, and out to one.

Columns are called as the fields of the whole-ledger file (`ledger.schema.json`).
A bird may be named by its id, name, ring or chip, a ring by what stands on it.
"""

from __future__ import annotations

import csv
import io
import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from ledger.domain.change import Put
from ledger.domain.event import Event
from ledger.domain.finding import Severity
from ledger.domain.kind import Kind
from ledger.domain.mark_rules import check_ring
from ledger.domain.ring import Ring, RingState
from ledger.domain.rules import errors_caused_by
from ledger.errors import ImportFailedError
from ledger.services.csv_birds import BadCell
from ledger.services.csv_out import written
from ledger.services.csv_rows import read_rows
from ledger.services.exchange import ImportResult
from ledger.store.documents import FIELDS, from_document, to_document

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Iterator, Mapping, Sequence
    from pathlib import Path

    from ledger.domain.change import Thing
    from ledger.domain.flock import Flock
    from ledger.services.csv_rows import Row
    from ledger.services.ledger import Ledger

KINDS = (Kind.RING, Kind.EVENT, Kind.PAIR)
"""What such a file can hold."""
_BIRDS = ("bird", "cock", "hen")
_NEEDED = {
    Kind.RING: ("inscription",),
    Kind.EVENT: ("bird", "kind", "on"),
    Kind.PAIR: (),
}
_AS_IN_BIRDS = {
    Kind.RING: {
        "ring": "inscription",
        "ring_kind": "kind",
        "ring_leg": "leg",
        "ring_colour": "colour",
        "ring_size_mm": "size_mm",
    },
}
"""What a table of birds calls these columns; a keeper's headings may go by either."""
_FIELD = re.compile(r"“(\w+)” cannot be (.*)", re.DOTALL)
_BETWEEN = "; "
"""Parts several texts in one cell."""


def columns_of(kind: Kind) -> tuple[str, ...]:
    """The headings of a kind's file, in the order they are written."""
    return "id", *FIELDS[kind]


@dataclass
class _Draft:
    line: int
    thing: Thing | None = None
    bad: list[BadCell] = field(default_factory=list)

    def is_wrong(self, column: str, reason: str) -> None:
        self.bad.append(BadCell(self.line, column, reason))


def import_things(
    ledger: Ledger,
    kind: Kind,
    path: Path,
    *,
    dry_run: bool = False,
    skip_bad: bool = False,
    today: dt.date,
    author: str = "import",
    names: Mapping[str, str] | None = None,
) -> ImportResult:
    """Take in rings, events or pairs, in one act; all of them or none.

    Args:
        ledger: An open ledger.
        kind: One of `KINDS`.
        path: UTF-8, with a heading row; see `columns_of`.
        dry_run: Store nothing; say what would be.
        skip_bad: Store the good rows.
        today: Nothing happens after it.
        author: Who imports.
        names: The file's own headings, with ours for each.

    Raises:
        NotFoundError: there is no such file.
        ImportFailedError: the file as a whole cannot be read.
        StoreError: it could not be stored, or no backup could be made before.
    """
    flock = ledger.flock
    also = _AS_IN_BIRDS.get(kind, {})
    names = {**also, **{theirs: also.get(o, o) for theirs, o in (names or {}).items()}}
    rows = read_rows(path, names, must_have=columns_of(kind)[1:])
    _refuse_strange_columns(kind, rows, path)
    drafts: list[_Draft] = []
    for row in rows:
        drafts.append(_draft_of(flock, kind, row, len(drafts), today))
    _refuse_doubles(flock, kind, drafts)
    _, errors = errors_caused_by(flock, _puts(drafts))
    by_id = {draft.thing.id: draft for draft in drafts if draft.thing}
    for error in errors:
        for key in (error.subject_id, *error.involved):
            if key in by_id:
                by_id[key].is_wrong(error.field, error.message)
    good = [draft for draft in drafts if not draft.bad]
    bad = tuple(cell for draft in drafts for cell in draft.bad)
    may_store = bool(good) and (skip_bad or not bad)
    after = flock.changed(_puts(good)) if may_store else flock
    if may_store and not dry_run:
        if len(flock):
            ledger.backup("before-import")
        what = f"{len(good)} {kind} from {path.name}"
        ledger.commit(_puts(good), author=author, what=what)
    return ImportResult(
        rows=len(drafts),
        added=len(good) if may_store else 0,
        stored=may_store and not dry_run,
        bad=bad,
        warnings=tuple(_warnings(after, good)) if may_store else (),
    )


def export_things(flock: Flock, kind: Kind, path: Path) -> int:
    """Write all rings, events or pairs, in the columns that an import takes.

    Returns:
        How many were written.

    Raises:
        LedgerError: the file could not be written; an older one is untouched.
    """
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(columns_of(kind))
    things = flock.all_of(kind)
    for key, thing in things.items():
        document = to_document(thing)
        writer.writerow([key, *(_cell(document.get(name)) for name in FIELDS[kind])])
    written(path, text.getvalue())
    return len(things)


def _cell(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else ""
    if isinstance(value, list):
        return _BETWEEN.join(value)
    return f"{value:g}" if isinstance(value, float) else str(value)


def _refuse_strange_columns(kind: Kind, rows: Sequence[Row], path: Path) -> None:
    """What has no place here would be lost unseen."""
    for row in rows:
        strange = [name for name in row.cells if name not in columns_of(kind)]
        if strange:
            raise ImportFailedError(
                f"“{path}” has a column “{strange[0]}” that {kind} do not have.",
                f"The first row names columns, of these: {', '.join(columns_of(kind))}."
                " --heading gives another name to one of yours.",
            )


def _draft_of(
    flock: Flock, kind: Kind, row: Row, number: int, today: dt.date
) -> _Draft:
    draft = _Draft(row.line)
    key = row.cells.get("id", "").lower() or flock.next_id(kind, after=number)
    if row.too_many:
        draft.is_wrong("", f"The row has {len(row.too_many)} cells too many.")
    document: dict[str, Any] = {}
    for name, form in FIELDS[kind].items():
        cell = row.cells.get(name, "")
        if cell:
            _read_cell(draft, flock, document, name, form, cell)
        elif name in _NEEDED[kind]:
            draft.is_wrong(name, f"There is no {name} in the row.")
    if draft.bad:
        return draft
    if kind is Kind.RING and document.get("bird") and "state" not in document:
        is_off = document.get("removed")
        document["state"] = str(RingState.REMOVED if is_off else RingState.ON_BIRD)
    while draft.thing is None and len(draft.bad) < len(FIELDS[kind]):
        try:
            draft.thing = from_document(kind, key, document)
        except ValueError as error:
            found = _FIELD.search(str(error))
            if found is None or found[1] not in document:
                draft.is_wrong("", f"{error}.")
                break
            form = FIELDS[kind][found[1]]
            words = (
                f"; it is one of: {', '.join(form)}" if isinstance(form, type) else ""
            )
            told = found[2].rstrip(".")
            draft.is_wrong(found[1], f"{told} is not understood here{words}.")
            del document[found[1]]
    thing = draft.thing
    if isinstance(thing, Event) and thing.on.is_after(today):
        draft.is_wrong("on", f"{thing.on} lies in the future.")
    return draft


def _read_cell(
    draft: _Draft,
    flock: Flock,
    document: dict[str, Any],
    name: str,
    form: Any,
    cell: str,
) -> None:
    """One cell as a document holds it."""
    if name in _BIRDS:
        birds = flock.bird_by(cell)
        if len(birds) != 1:
            which = f"may be one of {len(birds)} birds" if birds else "is no bird here"
            draft.is_wrong(name, f"“{cell}” {which}.")
        else:
            document[name] = birds[0].id
    elif name == "ring":
        rings = {r.id for r in flock.rings_inscribed(cell)}
        if cell.lower() in flock.rings:
            rings = {cell.lower()}
        if len(rings) != 1:
            which = f"may be one of {len(rings)} rings" if rings else "is no ring here"
            draft.is_wrong(name, f"“{cell}” {which}.")
        else:
            document[name] = rings.pop()
    elif form in ("number", "count"):
        if not re.fullmatch(r"-?\d+([.,]\d+)?", cell):
            draft.is_wrong(name, f"“{cell}” is not a number.")
        else:
            value = float(cell.replace(",", "."))
            document[name] = int(value) if form == "count" else value
    elif form == "yes":
        document[name] = cell.lower() in ("yes", "y", "true", "1", "x")
    elif form == "texts":
        document[name] = [part.strip() for part in cell.split(";") if part.strip()]
    else:
        document[name] = cell.lower() if not isinstance(form, str) else cell


def _refuse_doubles(flock: Flock, kind: Kind, drafts: Sequence[_Draft]) -> None:
    lines: dict[str, _Draft] = {}
    for draft in drafts:
        if draft.thing is None:
            continue
        first = lines.setdefault(draft.thing.id, draft)
        if first is not draft:
            draft.is_wrong("id", f"Line {first.line} has the same id.")
        elif flock.get(kind, draft.thing.id) is not None:
            draft.is_wrong("id", f"{draft.thing.id} is in the ledger already.")


def _puts(drafts: Sequence[_Draft]) -> list[Put]:
    return [Put(draft.thing) for draft in drafts if draft.thing and not draft.bad]


def _warnings(after: Flock, drafts: Sequence[_Draft]) -> Iterator[BadCell]:
    """Rings that are stored and yet easily taken for another."""
    for draft in drafts:
        if isinstance(draft.thing, Ring):
            for finding in check_ring(after, draft.thing):
                if finding.severity is Severity.WARNING:
                    yield BadCell(draft.line, "inscription", finding.message)
