"""Birds in from a CSV file, and out to one."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from ledger.domain.change import Put
from ledger.domain.finding import Severity
from ledger.domain.kind import Kind, id_number
from ledger.domain.mark_rules import check_ring
from ledger.domain.ring import compact
from ledger.domain.rules import errors_caused_by
from ledger.services.csv_birds import OWN_ID, BadCell, Draft, draft_of
from ledger.services.csv_out import export_csv
from ledger.services.csv_rows import COLUMNS, read_rows

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Iterable, Iterator, Mapping, Sequence
    from pathlib import Path

    from ledger.domain.change import Change
    from ledger.domain.finding import Finding
    from ledger.domain.flock import Flock
    from ledger.services.ledger import Ledger

__all__ = ["BadCell", "ImportResult", "export_csv", "import_csv"]

_COLUMN_OF_FIELD = {"inscription": "ring", "code": "chip"}
"""Columns that are called otherwise than the field they fill."""


@dataclass(frozen=True)
class ImportResult:
    """What an import did, or would do."""

    rows: int
    """Rows in the file, blank ones aside."""
    added: int
    """Birds stored; on a dry run, birds that would be."""
    stored: bool
    """The ledger was changed."""
    bad: tuple[BadCell, ...]
    """Everything wrong, by line. When rows were skipped, why each one was."""
    warnings: tuple[BadCell, ...]
    """What is stored and yet worth a look."""


def import_csv(
    ledger: Ledger,
    path: Path,
    *,
    dry_run: bool = False,
    skip_bad: bool = False,
    today: dt.date,
    author: str = "import",
    names: Mapping[str, str] | None = None,
) -> ImportResult:
    """Take in birds from a CSV file, in one act; all of them or none.

    Args:
        ledger: An open ledger.
        path: UTF-8, with a heading row; see `csv_rows.COLUMNS`.
        dry_run: Store nothing; say what would be.
        skip_bad: Store the good rows. Rows whose parents are skipped are skipped too.
        today: No bird hatches after it.
        author: Who imports.
        names: The file's own headings, with ours for each.

    Returns:
        What was done, with every bad row.

    Raises:
        NotFoundError: there is no such file.
        ImportFailedError: the file as a whole cannot be read.
        StoreError: it could not be stored, or no backup could be made before.
    """
    flock = ledger.flock
    drafts = [draft_of(row, today) for row in read_rows(path, names)]
    _give_ids(flock, drafts)
    _find_parents(flock, drafts)
    after, errors = errors_caused_by(flock, _changes(drafts))
    _blame(drafts, errors)
    good = _whole_families(drafts) if skip_bad else drafts
    bad = tuple(cell for draft in drafts for cell in draft.bad)
    may_store = skip_bad or not bad
    warnings = tuple(_warnings(after, good)) if may_store else ()
    stored = bool(may_store and good and not dry_run)
    if stored:
        if len(flock):
            ledger.backup("before-import")
        ledger.commit(
            _changes(good), author=author, what=f"{len(good)} birds from {path.name}"
        )
    return ImportResult(
        rows=len(drafts),
        added=len(good) if may_store else 0,
        stored=stored,
        bad=bad,
        warnings=warnings,
    )


def _give_ids(flock: Flock, drafts: Sequence[Draft]) -> None:
    """The file's ids where they are of our making and free, new ones elsewhere."""
    last = flock.last_numbers[Kind.BIRD]
    taken: dict[str, Draft] = {}
    for draft in drafts:
        if not draft.key:
            continue
        first = taken.setdefault(draft.key, draft)
        if first is not draft:
            # Which of the two is right, nobody can tell from here.
            draft.is_wrong("bird", f"Line {first.line} has the same bird.")
            first.is_wrong("bird", f"Line {draft.line} has the same bird.")
        elif draft.key in flock.birds:
            draft.is_wrong("bird", f"{draft.key} is in the ledger already.")
        elif OWN_ID.fullmatch(draft.key):
            last = max(last, id_number(draft.key))
    rings = flock.last_numbers[Kind.RING]
    chips = flock.last_numbers[Kind.CHIP]
    for draft in drafts:
        is_ours = OWN_ID.fullmatch(draft.key) and taken[draft.key] is draft
        if is_ours and draft.key not in flock.birds:
            bird_id = draft.key
        else:
            last += 1
            bird_id = f"b{last:04d}"
        draft.bird = replace(draft.bird, id=bird_id)
        if draft.ring:
            rings += 1
            draft.ring = replace(draft.ring, id=f"r{rings:04d}", bird=bird_id)
        if draft.chip:
            chips += 1
            draft.chip = replace(draft.chip, id=f"c{chips:04d}", bird=bird_id)


def _find_parents(flock: Flock, drafts: Sequence[Draft]) -> None:
    """Sires and dams by the file's own ids, then by id, name, ring or chip."""
    keys = {
        draft.key: draft.bird.id
        for draft in reversed(drafts)
        if draft.key and draft.key not in flock.birds
    }
    words: dict[str, set[str]] = {}
    for draft in drafts:
        marks = (
            draft.bird.name,
            draft.ring.inscription if draft.ring else "",
            draft.chip.code if draft.chip else "",
        )
        for mark in marks:
            if compact(mark):
                words.setdefault(compact(mark), set()).add(draft.bird.id)
    for draft in drafts:
        for column, named in (("sire", draft.sire), ("dam", draft.dam)):
            if not named:
                continue
            parent_id = keys.get(named.lower())
            if parent_id is None:
                found = {bird.id for bird in flock.bird_by(named)}
                found |= words.get(compact(named), set())
                if len(found) != 1:
                    draft.is_wrong(column, _no_parent(column, named, found))
                    continue
                (parent_id,) = found
            if column == "sire":
                draft.bird = replace(draft.bird, sire=parent_id)
            else:
                draft.bird = replace(draft.bird, dam=parent_id)


def _no_parent(column: str, named: str, found: set[str]) -> str:
    if found:
        return (
            f"The {column} “{named}” may be one of {len(found)} birds; "
            "give its id from the column bird."
        )
    return f"The {column} “{named}” is neither in the file nor in the ledger."


def _changes(drafts: Iterable[Draft]) -> list[Change]:
    things = (
        thing for draft in drafts for thing in (draft.bird, draft.ring, draft.chip)
    )
    return [Put(thing) for thing in things if thing is not None]


def _by_thing(drafts: Iterable[Draft]) -> dict[str, Draft]:
    return {change.thing.id: d for d in drafts for change in _puts(d)}


def _puts(draft: Draft) -> Iterator[Put]:
    for change in _changes([draft]):
        if isinstance(change, Put):
            yield change


def _blame(drafts: Sequence[Draft], errors: Sequence[Finding]) -> None:
    """Lay each error at the rows it is about."""
    rows = _by_thing(drafts)
    for error in errors:
        column = _COLUMN_OF_FIELD.get(error.field, error.field)
        about = [rows[i] for i in (error.subject_id, *error.involved) if i in rows]
        for draft in about:
            others = ", ".join(str(other.line) for other in about if other is not draft)
            lines = "lines" if "," in others else "line"
            also = f" (See {lines} {others}.)" if others else ""
            draft.is_wrong(
                column if column in COLUMNS else "", f"{error.message}{also}"
            )


def _whole_families(drafts: Sequence[Draft]) -> list[Draft]:
    """The rows without fault whose parents, if of this file, are kept too."""
    by_bird = {draft.bird.id: draft for draft in drafts}
    young: dict[str, list[tuple[str, Draft]]] = {}
    for draft in drafts:
        for column, parent_id in (("sire", draft.bird.sire), ("dam", draft.bird.dam)):
            if parent_id in by_bird:
                young.setdefault(parent_id, []).append((column, draft))
    left = [draft for draft in drafts if draft.bad]
    while left:
        parent = left.pop()
        for column, child in young.get(parent.bird.id, ()):
            if not child.bad:
                left.append(child)
                child.is_wrong(
                    column, f"Its {column}, in line {parent.line}, is skipped."
                )
    return [draft for draft in drafts if not draft.bad]


def _warnings(after: Flock, drafts: Sequence[Draft]) -> Iterator[BadCell]:
    for draft in drafts:
        if draft.ring is None:
            continue
        for finding in check_ring(after, draft.ring):
            if finding.severity is Severity.WARNING:
                yield BadCell(draft.line, "ring", finding.message)
