"""A ledger's files: read as they lie there, added to act by act, written anew."""

from __future__ import annotations

import os
from contextlib import contextmanager, suppress
from typing import TYPE_CHECKING

from ledger.errors import StoreChangedError, StoreError
from ledger.store import disk, journal, snapshot
from ledger.store.frames import FIRST_CHECK
from ledger.store.journal import Journal
from ledger.store.lines import Lines, act_of
from ledger.store.loading import Places, apply, changes_in, load
from ledger.store.schema import empty_tables

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping
    from pathlib import Path

    from ledger.store.frames import Entry
    from ledger.store.loading import Loaded

_SMALL = 4 << 20
"""Bytes of a snapshot that is written anew whenever the ledger is closed."""


class Files:
    """A sealed snapshot, and a journal of what was done since.

    What is kept in memory is what lies on the disk; a change that could not be
    made to last there is not in memory either.
    """

    def __init__(self, path: Path) -> None:
        self.places = Places(path)
        self._loaded: Loaded | None = None
        self._is_read = False
        self._journal = Journal(self.places.journal)
        self.before_migration: Callable[[], None] = lambda: None
        """Called before a file of an older form is replaced."""

    @property
    def exists(self) -> bool:
        """There is a ledger, whole or not."""
        return is_ledger(self.places)

    @property
    def notices(self) -> tuple[str, ...]:
        """What was found at opening that the keeper must be told."""
        return tuple(self._now.notices) if self._is_read and self._loaded else ()

    @property
    def is_proven(self) -> bool:
        """All documents are as this program wrote them: seal and checks say so."""
        return self._now.is_proven

    @property
    def tables(self) -> dict[str, Lines]:
        """Every table. For reading only."""
        return self._now.tables

    def lines(self, name: str) -> Mapping[str, bytes]:
        """The JSON of every document of a table, by key."""
        table = self.tables.get(name)
        return table.by_key if table else {}

    def read_once(self) -> None:
        """Read the disk, unless that is done."""
        if not self._is_read:
            self.read_again()

    def read_again(self) -> None:
        """Forget what was read, and read the disk as it is now.

        Raises:
            StoreDamagedError: the ledger is not whole.
            StoreError: it cannot be read.
        """
        self._journal.close()
        self._is_read = False
        self._loaded = load(self.places)
        self._is_read = True

    def read_on(self) -> list[Entry] | None:
        """Follow another window: what it did since, laid into the tables.

        Returns:
            The acts; None where only `read_again` can tell.

        Raises:
            StoreError: the disk cannot be read.
        """
        known = self._now
        if disk.stamp_of(self.places.snapshot) != known.stamp or known.rebuilt:
            return None
        found = journal.read(self.places.journal)
        count = len(known.journal.lines.entries)
        if found.lines.entries[:count] != known.journal.lines.entries:
            return None
        if known.is_old_journal or not count:
            return None if found.lines.entries[count:] else []
        news = list(found.lines.entries[count:])
        for entry in news:
            apply(known.tables, *changes_in(entry))
        known.journal = found
        return news

    def create(self) -> None:
        """Lay out a ledger with nothing in it.

        Raises:
            StoreError: the disk refused.
        """
        lines = {name: Lines.of(table) for name, table in empty_tables().items()}
        text, _ = snapshot.text_of(
            lines, generation=1, last_number=0, last_check=FIRST_CHECK
        )
        with self._told():
            disk.put_in_place(self.places.snapshot, text)
        self.read_again()

    def store(self, staged: Mapping[str, Mapping[str, bytes | None]]) -> None:
        """Make one act last: documents to put in, None for one to drop.

        Raises:
            StoreChangedError: another program changed the files.
            StoreError: the disk refused; nothing is stored.
        """
        put = {
            name: {key: text for key, text in table.items() if text is not None}
            for name, table in staged.items()
        }
        drop = {
            name: [key for key, text in table.items() if text is None]
            for name, table in staged.items()
        }
        put = {name: table for name, table in put.items() if table}
        drop = {name: keys for name, keys in drop.items() if keys}
        payload = act_of(put, drop)
        if not self._is_read:  # where the journal ends, only the disk can tell
            raise StoreChangedError(
                f"“{self.places.snapshot}” could not be read again after a fault."
            )
        self._check_unchanged()
        if not self._journal.is_open:
            self._make_ready()
        with self._told():
            self._journal.append(payload)
        apply(self._now.tables, put, drop)

    def snapshot_text(self) -> bytes:
        """All that is in the ledger now, as the text of its next snapshot."""
        now = self._now
        number, check = 0, FIRST_CHECK
        if not now.is_old_journal and now.journal.follows(now.snapshot):
            number, check = (
                self._journal.last if self._journal.is_open else now.journal.last
            )
        return snapshot.text_of(
            now.tables,
            generation=now.snapshot.generation + 1,
            last_number=number,
            last_check=check,
        )[0]

    def compact(self) -> None:
        """Write a new snapshot with all that the journal holds, and begin a new one.

        The old ones are kept beside them. At every moment what lies on the disk
        is the whole ledger.

        Raises:
            StoreChangedError: another program changed the file.
            StoreError: the disk refused; what was stored is untouched.
        """
        self.read_once()
        self._check_unchanged()
        now = self._now
        if now.rebuilt is not None:
            self._lay_back(now.rebuilt)
        if now.is_old_journal:  # or the next one could not be told from it
            with self._told():
                self._begin_journal()
        text = self.snapshot_text()
        if not now.is_proven:
            self.before_migration()
        with self._told():
            try:
                disk.put_in_place(
                    self.places.snapshot, text, old=self.places.old_snapshot
                )
            finally:
                self.read_again()  # replaced or not: what counts is what lies there
        with self._told():
            self._begin_journal()

    def close(self) -> None:
        """Let go of the files; where it is cheap, leave all in the snapshot.

        What could not be tidied up stands in the journal, as safe as before.
        """
        used = self._journal.bytes_used
        if self._journal.is_open and self._journal.last[0]:
            with suppress(StoreError):
                size = self._now.stamp[2] if self._now.stamp else 0
                if size <= _SMALL or used * 4 >= size:
                    self.compact()
        self._journal.close()

    def sweep(self) -> None:
        """Delete what a killed program left half written. Only under the lock."""
        disk.sweep(self.places.snapshot.parent, self.places.snapshot.stem)

    @property
    def _now(self) -> Loaded:
        if self._loaded is None:
            raise StoreError(f"There is no ledger at “{self.places.snapshot}”.")
        return self._loaded

    def _make_ready(self) -> None:
        """Before the first act is written: leave nothing half done."""
        now = self._now
        if not now.is_proven:
            self.compact()
            return
        if now.rebuilt is not None:
            self._lay_back(now.rebuilt)
        with self._told():
            if now.is_old_journal or now.journal.snapshot is None:
                self._begin_journal()
            else:
                self._keep_cut_off()
                self._journal.go_on(now.journal)

    def _begin_journal(self) -> None:
        if self.places.journal.exists():
            disk.keep_also_as(self.places.journal, self.places.old_journal)
        now = self._now
        self._journal.begin(now.snapshot.generation, now.snapshot.sum)
        now.is_old_journal = False
        now.journal = journal.read(self.places.journal)

    def _lay_back(self, text: bytes) -> None:
        """Put the snapshot that was made again in the place of the damaged one."""
        path = self.places.snapshot
        with self._told():
            if path.exists():
                disk.keep_also_as(path, disk.free_name(path, "damaged"))
            disk.put_in_place(path, text)
        self._now.rebuilt = None
        self._now.stamp = disk.stamp_of(path)

    def _keep_cut_off(self) -> None:
        """What stands behind the last whole line of the journal is not thrown away."""
        found = self._now.journal
        rest = found.text[found.lines.end :].strip()
        if found.lines.has_rest and rest:
            disk.put_in_place(disk.free_name(self.places.journal, "cut-off"), rest)

    def _check_unchanged(self) -> None:
        if disk.stamp_of(self.places.snapshot) != self._now.stamp:
            raise StoreChangedError(
                f"Another program changed “{self.places.snapshot}” while it was open "
                "here."
            )

    @contextmanager
    def _told(self) -> Iterator[None]:
        """A disk that refuses, in words."""
        try:
            yield
        except OSError as error:
            name = error.filename or self.places.snapshot
            raise StoreError(
                f"“{os.fspath(name)}” could not be written: {error.strerror}.",
                "What was stored before is untouched. Free some space or mend the "
                "disk, then do it again.",
            ) from error


def is_ledger(places: Places) -> bool:
    """There is a ledger, whole or not."""
    return any(
        path.is_file()
        for path in (places.snapshot, places.old_snapshot, places.journal)
    )
