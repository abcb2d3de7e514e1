"""Opening: the snapshot, the journal since, and what to do when one is damaged."""

from __future__ import annotations

import json
import time
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from ledger.errors import LedgerError, StoreDamagedError, StoreError
from ledger.store import disk, journal, schema, snapshot
from ledger.store.lines import Lines, encode
from ledger.store.schema import CHANGES, LEDGER, META, newer, upgraded

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from pathlib import Path

    from ledger.store.disk import Stamp
    from ledger.store.frames import Entry
    from ledger.store.journal import Found
    from ledger.store.snapshot import Snapshot

_TRIES = 6
"""How often two files that another window is changing are read again."""
_PAUSE = 0.02
"""Seconds between two of these: longer than one write takes."""


@dataclass(frozen=True)
class Places:
    """The files of one ledger, by what they are."""

    snapshot: Path

    @property
    def journal(self) -> Path:
        """What was done since the snapshot."""
        return self.snapshot.with_suffix(".journal")

    @property
    def old_snapshot(self) -> Path:
        """The snapshot before."""
        return self.snapshot.with_suffix(".previous.json")

    @property
    def old_journal(self) -> Path:
        """What led from the snapshot before to this one."""
        return self.snapshot.with_suffix(".previous.journal")


@dataclass
class Loaded:
    """A ledger as it lies on the disk."""

    snapshot: Snapshot
    tables: dict[str, Lines]
    """After all that the journal holds."""
    journal: Found
    stamp: Stamp | None
    is_proven: bool = False
    """All of it is as this program wrote it, in today's form."""
    is_old_journal: bool = False
    """The journal's acts are in the snapshot already."""
    rebuilt: bytes | None = None
    """The snapshot's text, where the one on the disk is damaged."""
    notices: list[str] = field(default_factory=list)
    """What the keeper must be told, in sentences."""


def load(places: Places) -> Loaded | None:
    """What lies on the disk; None where no ledger does.

    Raises:
        StoreDamagedError: it is not whole, and cannot be made whole.
        StoreNewerError: a later version wrote it.
        StoreError: it cannot be read.
    """
    try:
        return _load(places)
    except OSError as error:
        raise StoreError(
            f"“{error.filename or places.snapshot}” cannot be read: {error.strerror}.",
            "Check that the disk is there and that you may read the file.",
        ) from error


def _load(places: Places) -> Loaded | None:
    there, found = _both_files(places)
    if there is None and not found.text and not places.old_snapshot.exists():
        return None
    try:
        if there is None:
            raise StoreDamagedError(f"“{places.snapshot}” is missing.")
        loaded = Loaded(_read(there[0], places.snapshot), {}, found, there[1])
    except StoreDamagedError as error:
        loaded = _rebuilt(places, error, found)
        loaded.stamp = there[1] if there else None
    loaded.tables = loaded.snapshot.tables
    _go_through_journal(loaded, places)
    loaded.is_proven = (
        loaded.snapshot.is_sealed and _schema(loaded.tables) == schema.SCHEMA
    )
    if loaded.snapshot.is_sealed and not loaded.is_proven:
        loaded.tables = _brought_up(loaded.tables, places.snapshot)
    return loaded


def _both_files(places: Places) -> tuple[tuple[bytes, Stamp] | None, Found]:
    """Snapshot and journal as they were at one moment."""
    for left in reversed(range(_TRIES)):
        there = disk.read_with_stamp(places.snapshot)
        found = journal.read(places.journal)
        is_same = disk.stamp_of(places.snapshot) == (there[1] if there else None)
        if is_same and not found.lines.has_rest:
            break
        if left:  # another window may be writing at this very moment
            time.sleep(_PAUSE)
    return there, found


def _read(text: bytes, path: Path) -> Snapshot:
    """A file's snapshot in today's form."""
    try:
        found = snapshot.parse(text, path)
    except StoreDamagedError:
        newer(text[:200], path)
        raise
    if found.is_sealed:
        newer(text[:200], path)
        return found
    tables = upgraded({n: dict(t) for n, t in found.documents.items()}, path)
    return snapshot.Snapshot(
        {name: Lines.of(table) for name, table in tables.items()}, found.sum
    )


def _schema(tables: Mapping[str, Lines]) -> int:
    number: int = json.loads(tables[META].by_key[LEDGER])["schema"]
    return number


def _brought_up(tables: Mapping[str, Lines], path: Path) -> dict[str, Lines]:
    """Tables of an older form, journal included, in today's."""
    documents = {
        name: {key: json.loads(line) for key, line in lines.by_key.items()}
        for name, lines in tables.items()
    }
    return {n: Lines.of(table) for n, table in upgraded(documents, path).items()}


def _go_through_journal(loaded: Loaded, places: Places) -> None:
    found = loaded.journal
    if found.is_in(loaded.snapshot):
        loaded.is_old_journal = True
        return
    if found.snapshot is None:
        # It is put in place with its first line whole, and stays till the next one.
        is_there = places.journal.exists()
        if is_there or places.old_journal.exists():
            how = "has lost even its first line" if is_there else "is missing"
            loaded.notices.append(
                f"“{places.journal.name}” {how}; this program did not do that. What "
                f"was done since “{places.snapshot.name}” was last written out may be "
                "missing. Look for it in the backups."
            )
        return
    if not found.follows(loaded.snapshot):
        raise StoreDamagedError(
            f"“{places.journal}” does not go on from “{places.snapshot.name}”: one of "
            "the two was replaced by something other than this program.",
            "Nothing was changed. Lay back the one that was there, or restore a "
            "backup.",
        )
    for entry in found.acts:
        apply(loaded.tables, *changes_in(entry))
    if found.lines.has_rest:
        loaded.notices.append(
            f"The end of “{places.journal.name}” was not whole: what stood there "
            f"behind change {found.last[0]} had not been written to its end, or was "
            "damaged. It is left out; everything before it is here."
        )
    elif found.is_cut_short:
        loaded.notices.append(
            f"“{places.journal.name}” was cut off by something other than this "
            f"program behind change {found.last[0]}; changes after that may be missing."
        )


def _rebuilt(places: Places, error: StoreDamagedError, found: Found) -> Loaded:
    """The damaged snapshot once more, from the one before and its journal.

    Raises:
        StoreDamagedError: these do not lead to it.
    """
    old_text = disk.read_with_stamp(places.old_snapshot)
    if old_text is None:
        raise error
    try:
        text = _led_on(places, old_text[0], found)
    except LedgerError:
        raise error from None
    again = snapshot.parse(text, places.snapshot)
    if found.snapshot is not None and not found.follows(again):
        raise error
    if not again.is_sealed:  # the one before was of a time before seals
        again = _read(text, places.snapshot)
    return Loaded(
        again,
        {},
        found,
        None,
        rebuilt=text,
        notices=[
            f"{error} It was made again from “{places.old_snapshot.name}” and the "
            "journals; nothing is missing."
            if found.snapshot
            else f"{error} It was made again from “{places.old_snapshot.name}”."
        ],
    )


def _led_on(places: Places, old_text: bytes, found: Found) -> bytes:
    """The text of the snapshot that followed this one."""
    old = _read(old_text, places.old_snapshot)
    if found.follows(old):
        return old_text
    number, check = 0, old.last_check
    if old.is_sealed:
        between = journal.read(places.old_journal)
        if not between.follows(old):
            raise StoreDamagedError(f"“{places.old_journal}” leads on from another.")
        for entry in between.acts:
            apply(old.tables, *changes_in(entry))
        number, check = between.last
    tables = old.tables
    while True:
        text, digest = snapshot.text_of(
            tables,
            generation=old.generation + 1,
            last_number=number,
            last_check=check,
        )
        is_it = found.snapshot in (None, (old.generation + 1, digest))
        if is_it or _schema(tables) == schema.SCHEMA:
            return text
        tables = _brought_up(tables, places.snapshot)  # it was of another form


def changes_in(
    entry: Entry,
) -> tuple[dict[str, dict[str, Any]], dict[str, list[str]]]:
    """Documents put in and keys dropped, by table."""
    told = json.loads(entry.payload)
    return told.get("put", {}), told.get("drop", {})


def apply(
    tables: dict[str, Lines],
    put: Mapping[str, Mapping[str, Any]],
    drop: Mapping[str, Sequence[str]],
) -> None:
    """Lay changes into tables: first what is dropped, then what is put in."""
    for name, keys in drop.items():
        for key in keys:
            tables.setdefault(name, Lines()).drop(key)
    for name, documents in put.items():
        lines = tables.setdefault(name, Lines())
        _put_all(lines, documents.items(), is_growing=name == CHANGES)


def _put_all(
    lines: Lines, documents: Iterable[tuple[str, Any]], *, is_growing: bool
) -> None:
    for key, document in documents:
        text = document if isinstance(document, bytes) else encode(document).encode()
        if is_growing and key.isdigit() and int(key) > len(lines):
            lines.add(key, text)
        else:
            lines.put(key, text)
