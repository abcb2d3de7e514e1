"""One ledger in one folder: the one place that loads, the one that commits."""

from __future__ import annotations

import datetime as dt
from contextlib import suppress
from typing import TYPE_CHECKING, Any, cast

from ledger.domain.change import Put
from ledger.domain.flock import Flock
from ledger.domain.kind import Kind
from ledger.errors import (
    StoreDamagedError,
    StoreError,
    StoreMissingError,
    StoreReadOnlyError,
)
from ledger.store.documents import from_document, to_document
from ledger.store.ledger_file import LedgerFile, Tables
from ledger.store.lock import FolderLock
from ledger.store.schema import LEDGER, META, empty_tables, meta_of, upgraded
from ledger.store.tables import LedgerDb, LedgerTable

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from pathlib import Path
    from types import TracebackType

    from ledger.domain.change import Change, Thing

FILE_NAME = "ledger.json"
CHANGES = "changes"
"""Table of all changes ever: when, who, what, and what stood there before."""


def _now() -> dt.datetime:
    return dt.datetime.now(dt.UTC)


def open_store(
    folder: Path,
    *,
    read_only: bool = False,
    create: bool = False,
    clock: Callable[[], dt.datetime] = _now,
) -> Store:
    """Open the ledger in a folder.

    Args:
        folder: Where it lies.
        read_only: Take no lock and refuse every commit.
        create: Where there is none yet, start an empty flock.
        clock: The time that changes are signed with.

    Raises:
        StoreMissingError: there is none, and `create` is off.
        StoreInUseError: another window holds it.
        StoreDamagedError: it is not whole; it is left as it is.
        StoreNewerError: a later version wrote it; it is left as it is.
        StoreError: the folder cannot be read or written.
    """
    path = folder / FILE_NAME
    if create and not read_only:
        try:
            folder.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise StoreError(
                f"The folder “{folder}” cannot be made: {error.strerror}.",
                "Give another folder with --store.",
            ) from error
    elif not path.is_file():
        raise StoreMissingError(f"There is no ledger in “{folder}”.")
    lock = None if read_only else FolderLock(folder)
    try:
        return Store(folder, LedgerDb(path, storage=LedgerFile), lock, clock)
    except BaseException:
        if lock:
            lock.release()
        raise


class Store:
    """An open ledger. `flock` is what it holds; `commit` changes it."""

    def __init__(
        self,
        folder: Path,
        tables: LedgerDb,
        lock: FolderLock | None,
        clock: Callable[[], dt.datetime],
    ) -> None:
        self.folder = folder
        self._db = tables
        self._file = cast("LedgerFile", tables.storage)
        self._path = folder / FILE_NAME
        self._lock = lock
        self._clock = clock
        if lock is not None:
            self._file.sweep()
            if not self._file.exists:
                self._file.write(empty_tables())
        self._flock = self._load()

    @property
    def flock(self) -> Flock:
        """The flock as last loaded or committed."""
        return self._flock

    @property
    def read_only(self) -> bool:
        """It takes no changes."""
        return self._lock is None

    def reload(self) -> Flock:
        """Read the file again, as another window may have left it.

        Raises:
            StoreError: as at opening.
        """
        self._file.read_again()
        self._flock = self._load()
        return self._flock

    def commit(self, changes: Sequence[Change], *, author: str, what: str) -> Flock:
        """Store a set of changes, all of it or nothing.

        Args:
            changes: In order. None at all stores nothing.
            author: Who does it.
            what: What the keeper did, in words for the list of changes.

        Returns:
            The flock after it.

        Raises:
            StoreReadOnlyError: the ledger is open for reading only.
            StoreChangedError: another program changed the file; nothing stored.
            StoreError: the disk refused; what was stored before is untouched.
        """
        if self._lock is None:
            raise StoreReadOnlyError(
                f"The ledger in “{self.folder}” is open for reading only."
            )
        if not changes:
            return self._flock
        after = self._flock.changed(changes)
        try:
            with self._file.transaction():
                self._write(changes, after, author, what)
        except StoreError:
            # The disk may have taken the change and failed only to confirm it:
            # what is shown from here on is what lies there.
            with suppress(StoreError):
                self.reload()
            raise
        self._flock = after
        return after

    def close(self) -> None:
        """Let other windows write; twice does no harm."""
        if self._lock is not None:
            self._lock.release()

    def __enter__(self) -> Store:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def _load(self) -> Flock:
        """The flock in the file."""
        tables = self._file.read()
        if tables is None:
            raise StoreMissingError(f"There is no ledger in “{self.folder}”.")
        tables = upgraded(tables, self._path)
        self._file.hold(tables)  # the first commit writes what was brought up
        try:
            things = [
                from_document(kind, key, document)
                for kind in Kind
                for key, document in tables.get(kind, {}).items()
            ]
            numbers = {
                Kind(name): int(number)
                for name, number in meta_of(tables).get("last_numbers", {}).items()
            }
        except (ValueError, TypeError, AttributeError) as error:
            raise StoreDamagedError(
                f"“{self._path}” is not a whole ledger: {error}."
            ) from error
        return Flock.of(things, last_numbers=numbers)

    def _write(
        self, changes: Sequence[Change], after: Flock, author: str, what: str
    ) -> None:
        """Lay the changes into the tables, with an entry that says what was there."""
        put: dict[Kind, dict[str, Any]] = {}
        drop: dict[Kind, set[str]] = {}
        entries: dict[tuple[Kind, str], dict[str, Any]] = {}
        for change in changes:
            if isinstance(change, Put):
                kind, key = change.thing.KIND, change.thing.id
                put.setdefault(kind, {})[key] = to_document(change.thing)
                drop.get(kind, set()).discard(key)
            else:
                kind, key = change.kind, change.id
                put.get(kind, {}).pop(key, None)
                drop.setdefault(kind, set()).add(key)
            entries[kind, key] = self._entry(kind, key, after.get(kind, key))
        for kind in dict.fromkeys((*put, *drop)):  # a set has no order to rely on
            self._table(kind).put_many(put.get(kind, {}), drop.get(kind, set()))
        self._table(CHANGES).put_many(
            {
                str(len(self._tables().get(CHANGES, {})) + 1): {
                    "time": self._clock().isoformat(timespec="seconds"),
                    "author": author,
                    "what": what,
                    "entries": list(entries.values()),
                }
            }
        )
        numbers = {str(kind): n for kind, n in after.last_numbers.items() if n}
        meta = meta_of(self._tables())
        self._table(META).put_many({LEDGER: {**meta, "last_numbers": numbers}})

    def _entry(self, kind: Kind, key: str, after: Thing | None) -> dict[str, Any]:
        before = self._flock.get(kind, key)
        return {
            "kind": str(kind),
            "id": key,
            "did": "drop" if after is None else "change" if before else "add",
            **({"before": to_document(before)} if before else {}),
        }

    def _tables(self) -> Tables:
        return self._file.read() or {}

    def _table(self, name: str) -> LedgerTable:
        return cast("LedgerTable", self._db.table(name))
