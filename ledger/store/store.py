"""One ledger in one folder: the one place that loads, the one that commits."""

from __future__ import annotations

from contextlib import suppress
from typing import TYPE_CHECKING, Any, cast

from ledger.domain.flock import Flock
from ledger.errors import (
    StoreChangedError,
    StoreError,
    StoreReadOnlyError,
)
from ledger.store import acts, backups
from ledger.store.beside import FILE_NAME
from ledger.store.loading import changes_in
from ledger.store.schema import CHANGES
from ledger.store.staging import stage
from ledger.store.unmade import flock_of

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
    from pathlib import Path
    from types import TracebackType

    from ledger.domain.change import Change, Put
    from ledger.domain.history import Act
    from ledger.domain.kind import Kind
    from ledger.store.ledger_file import LedgerFile
    from ledger.store.lock import FolderLock
    from ledger.store.tables import LedgerDb


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
        self._is_behind = False
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
        self._refuse_if_read_only()
        self._catch_up()
        if not changes:
            return self._flock
        if after is None:
            after = self._flock.changed(changes)
        act = self._act(changes, after, author, what, undoes)
        self._backup_of_the_day()
        return self._stored(changes, after, {self._next_act: act})

    def take_over(
        self,
        changes: Sequence[Put],
        last_numbers: Mapping[Kind, int],
        earlier: Mapping[str, Mapping[str, Any]],
        *,
        author: str,
        what: str,
    ) -> Flock:
        """Fill an empty ledger with all of another one.

        Args:
            changes: Everything in it.
            last_numbers: Highest id number ever given there, by kind.
            earlier: What is kept of each act there, by its number from 1 on.
            author: Who takes it in.
            what: That they did, in words.

        Raises:
            StoreError: as for `commit`, or the ledger is not empty.
        """
        self._refuse_if_read_only()
        if len(self._flock):
            raise StoreError(f"The ledger in “{self.folder}” is not empty.")
        things = [change.thing for change in changes]
        after = Flock.of(things, last_numbers=last_numbers)
        first = self._next_act
        told = {first + at: dict(act) for at, act in enumerate(earlier.values())}
        own = self._act([], after, author, what, None)
        return self._stored(changes, after, {**told, first + len(told): own})

    @property
    def _next_act(self) -> int:
        return len(self._file.tables.get(CHANGES, ())) + 1

    def _catch_up(self) -> None:
        """After a fault: see what lies on the disk before anything is added.

        Raises:
            StoreChangedError: it is not what was shown here.
            StoreError: it cannot be read.
        """
        if not self._is_behind:
            return
        shown = self._flock
        self._file.read_again()
        self._flock = flock_of(self._file)
        self._is_behind = False
        if self._flock != shown:
            raise StoreChangedError(
                f"What lies in “{self.folder}” is not what was shown before the fault."
            )

    def _refuse_if_read_only(self) -> None:
        if self._lock is None:
            raise StoreReadOnlyError(
                f"The ledger in “{self.folder}” is open for reading only."
            )

    def _act(
        self,
        changes: Sequence[Change],
        after: Flock,
        author: str,
        what: str,
        undoes: int | None,
    ) -> dict[str, Any]:
        return {
            "time": self._clock().isoformat(timespec="seconds"),
            "author": author,
            "what": what,
            **({"undoes": undoes} if undoes else {}),
            "entries": acts.entries_of(changes, self._flock, after),
        }

    def _stored(
        self,
        changes: Sequence[Change],
        after: Flock,
        new_acts: Mapping[int, dict[str, Any]],
    ) -> Flock:
        try:
            with self._file.transaction():
                stage(self._db, changes, after, new_acts)
        except StoreError:
            # What is shown from here on is what lies there.
            self._is_behind = True
            with suppress(StoreError):
                self._catch_up()
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

    def kept_acts(self) -> dict[str, dict[str, Any]]:
        """What is kept of every act, by its number."""
        return self._file.read_table(CHANGES)

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
