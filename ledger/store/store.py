"""One ledger in one folder: the one place that loads, the one that commits."""

from __future__ import annotations

import datetime as dt
from contextlib import suppress
from typing import TYPE_CHECKING, Any, cast

from ledger.domain.change import Put
from ledger.errors import (
    StoreError,
    StoreMissingError,
    StoreReadOnlyError,
)
from ledger.store import acts, backups
from ledger.store.beside import FILE_NAME
from ledger.store.documents import to_document
from ledger.store.files import is_ledger
from ledger.store.ledger_file import LedgerFile
from ledger.store.loading import Places, changes_in
from ledger.store.lock import FolderLock
from ledger.store.schema import CHANGES, LEDGER, META
from ledger.store.tables import LedgerDb, LedgerTable
from ledger.store.unmade import flock_of

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Sequence
    from pathlib import Path
    from types import TracebackType

    from ledger.domain.change import Change
    from ledger.domain.flock import Flock
    from ledger.domain.history import Act
    from ledger.domain.kind import Kind


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
    elif not is_ledger(Places(path)):
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
                self._file.create()
        self._file.before_migration = self._keep_old_form
        self._flock = flock_of(self._file)
        self._backed_up: dt.date | None = None
        self.notices = self._file.notices
        """What was found at opening that the keeper must be told, in sentences."""

    @property
    def flock(self) -> Flock:
        """The flock as last loaded or committed."""
        return self._flock

    @property
    def read_only(self) -> bool:
        """It takes no changes."""
        return self._lock is None

    def reload(self) -> Flock:
        """See what another window did since; costs what it did.

        Raises:
            StoreError: as at opening.
        """
        news = self._file.read_on()
        if news is None:
            self._file.read_again()
            self._flock = flock_of(self._file)
            self.notices = self._file.notices
        else:
            for entry in news:
                self._flock = self._flock.changed(acts.changes_of(*changes_in(entry)))
        return self._flock

    def commit(
        self,
        changes: Sequence[Change],
        *,
        author: str,
        what: str,
        after: Flock | None = None,
        undoes: int | None = None,
    ) -> Flock:
        """Store a set of changes, all of it or nothing.

        Args:
            changes: In order. None at all stores nothing.
            author: Who does it.
            what: What the keeper did, in words for the list of changes.
            after: The flock after these changes, where the caller knows it.
            undoes: Number of the act that it takes back.

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
        if after is None:
            after = self._flock.changed(changes)
        act: dict[str, Any] = {
            "time": self._clock().isoformat(timespec="seconds"),
            "author": author,
            "what": what,
            **({"undoes": undoes} if undoes else {}),
            "entries": acts.entries_of(changes, self._flock, after),
        }
        self._backup_of_the_day()
        try:
            with self._file.transaction():
                self._write(changes, after, act)
        except StoreError:
            # What is shown from here on is what lies there.
            with suppress(StoreError):
                self._file.read_again()
                self._flock = flock_of(self._file)
            raise
        self._flock = after
        return after

    def close(self) -> None:
        """Let other windows write; twice does no harm."""
        if self._lock is None:
            return
        if self._lock.is_held:
            self._file.close()
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

    def acts(self, mention: Iterable[str] = ()) -> Iterator[Act]:
        """All acts, the last one first.

        Args:
            mention: Ids; only acts in whose entries one of them is named.

        Raises:
            StoreDamagedError: one cannot be read.
        """
        return acts.newest_first(self._file, mention)

    def backup(self, reason: str) -> Path:
        """Keep the whole ledger as it is now, as a file in its folder of backups.

        Args:
            reason: A word for its name: why it was made.

        Raises:
            StoreError: it could not be written.
        """
        made = backups.make(self._file, self.folder, self._today(), reason)
        backups.thin_out(self.folder)
        return made

    def _keep_old_form(self) -> None:
        """Before a file of an older form is replaced: a copy, as it is."""
        backups.keep_copy(
            self._file.places.snapshot, self.folder, self._today(), "before-migration"
        )

    def _today(self) -> dt.date:
        return self._clock().astimezone().date()

    def _backup_of_the_day(self) -> None:
        """Before the first change of a day; it must not stand in that change's way."""
        today = self._today()
        if today == self._backed_up or not len(self._flock):
            return
        self._backed_up = today
        if any(b.day == today for b in backups.all_of(self.folder)):
            return
        try:
            self.backup(backups.DAILY)
        except StoreError as error:
            self.notices += (f"Today's backup could not be made. {error}",)

    def _write(
        self, changes: Sequence[Change], after: Flock, act: dict[str, Any]
    ) -> None:
        """Lay the changes into the tables, with an act that says what was there."""
        put: dict[Kind, dict[str, Any]] = {}
        drop: dict[Kind, dict[str, None]] = {}
        for change in changes:
            if isinstance(change, Put):
                kind, key = change.thing.KIND, change.thing.id
                put.setdefault(kind, {})[key] = to_document(change.thing)
                drop.get(kind, {}).pop(key, None)
            else:
                kind, key = change.kind, change.id
                put.get(kind, {}).pop(key, None)
                drop.setdefault(kind, {})[key] = None
        for kind in dict.fromkeys((*put, *drop)):
            self._table(kind).put_many(put.get(kind, {}), drop.get(kind, {}))
        number = len(self._file.tables.get(CHANGES, ())) + 1
        self._table(CHANGES).put_many({str(number): act})
        numbers = {str(kind): n for kind, n in after.last_numbers.items() if n}
        (meta,) = self._file.read_table(META).values()
        self._table(META).put_many({LEDGER: {**meta, "last_numbers": numbers}})

    def _table(self, name: str) -> LedgerTable:
        return cast("LedgerTable", self._db.table(name))
