"""The one way into a ledger's folder."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

from ledger.errors import StoreError, StoreMissingError
from ledger.store.beside import FILE_NAME
from ledger.store.files import is_ledger
from ledger.store.ledger_file import LedgerFile
from ledger.store.loading import Places
from ledger.store.lock import FolderLock
from ledger.store.store import Store
from ledger.store.tables import LedgerDb

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path


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
