"""Backups: the whole ledger as one file each, thinned out as they grow older."""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ledger.errors import StoreError
from ledger.store import disk
from ledger.store.beside import FILE_NAME
from ledger.store.files import Files
from ledger.store.loading import Places
from ledger.store.lock import FolderLock
from ledger.store.unmade import flock_of

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from ledger.domain.flock import Flock

FOLDER = "backups"
"""Name of their folder, beside the ledger's file."""
DAILY = "daily"
DAYS, MONTHS = 10, 12
"""All backups of the latest so many days are kept, and one of each such month."""

_NAME = re.compile(r"ledger-(\d{4}-\d{2}-\d{2})-([a-z-]+?)(?:-(\d+))?\.json")


@dataclass(frozen=True)
class Backup:
    """One backup."""

    path: Path
    day: dt.date
    reason: str
    """Why it was made: "daily", "by-hand", "before-import" ..."""
    number: int
    """Of those of one day with one reason."""
    size: int
    """In bytes."""

    @property
    def name(self) -> str:
        """Its file's name without the ending."""
        return self.path.stem


def all_of(folder: Path) -> list[Backup]:
    """The backups of a ledger, newest first.

    Args:
        folder: The ledger's.
    """
    found = []
    for path in (folder / FOLDER).glob("ledger-*.json"):
        name = _NAME.fullmatch(path.name)
        if name is None:
            continue
        try:
            day = dt.date.fromisoformat(name[1])
            stat = path.stat()
        except (ValueError, OSError):
            continue
        number = int(name[3] or 1)
        backup = Backup(path, day, name[2], number, stat.st_size)
        found.append((day, stat.st_mtime_ns, number, path.name, backup))
    return [each[-1] for each in sorted(found, key=lambda each: each[:4], reverse=True)]


def make(files: Files, folder: Path, day: dt.date, reason: str) -> Path:
    """Write a backup of all that is in the ledger now.

    Raises:
        StoreError: the disk refused.
    """
    return _written(folder, day, reason, files.snapshot_text())


def keep_copy(path: Path, folder: Path, day: dt.date, reason: str) -> Path:
    """Keep a file as it is, byte for byte.

    Raises:
        StoreError: the disk refused.
    """
    return _written(folder, day, reason, path.read_bytes())


def _written(folder: Path, day: dt.date, reason: str, text: bytes) -> Path:
    place = folder / FOLDER
    path = place / f"ledger-{day.isoformat()}-{reason}.json"
    number = 2
    while path.exists():
        path = place / f"ledger-{day.isoformat()}-{reason}-{number}.json"
        number += 1
    try:
        place.mkdir(exist_ok=True)
        disk.put_in_place(path, text)
    except OSError as error:
        raise StoreError(
            f"The backup “{path}” could not be written: {error.strerror}.",
            "Free some space or mend the disk, then do it again.",
        ) from error
    return path


def thin_out(folder: Path) -> list[Path]:
    """Delete the backups that are neither of the latest days nor a month's last.

    Returns:
        What was deleted.
    """
    found = all_of(folder)
    days = list(dict.fromkeys(backup.day for backup in found))[:DAYS]
    months: dict[tuple[int, int], Path] = {}
    for backup in found:
        months.setdefault((backup.day.year, backup.day.month), backup.path)
    monthly = set(list(months.values())[:MONTHS])
    gone = [b.path for b in found if b.day not in days and b.path not in monthly]
    for path in gone:
        path.unlink(missing_ok=True)
    return gone


def flock_in(path: Path) -> Flock:
    """The flock in a backup, or in any other file of a ledger.

    Raises:
        StoreError: it is none, or not whole.
    """
    flock = flock_of(Files(path))
    for _ in flock:  # whatever cannot be made shows now
        pass
    return flock


def lay_back(folder: Path, backup: Path) -> Sequence[Path]:
    """Put a backup in the place of a ledger that cannot be opened any more.

    Args:
        folder: The ledger's.
        backup: The file; it stays where it is.

    Returns:
        Where the files of before are kept.

    Raises:
        StoreError: the backup is not whole, another window has the ledger, or the
            disk refused; the ledger's files are then as they were.
    """
    flock_in(backup)
    lock = FolderLock(folder)
    try:
        places = Places(folder / FILE_NAME)
        old = [
            path
            for path in (
                places.journal,
                places.old_snapshot,
                places.old_journal,
                places.snapshot,
            )
            if path.exists()
        ]
        kept = [disk.free_name(path, "replaced") for path in old]
        for path, other in zip(old, kept, strict=True):
            disk.keep_also_as(path, other)
        for path in old:
            if path != places.snapshot:
                path.unlink()
        disk.put_in_place(places.snapshot, backup.read_bytes())
    except OSError as error:
        raise StoreError(
            f"The backup could not be laid back: {error.strerror}.",
            "Free some space or mend the disk, then do it again.",
        ) from error
    finally:
        lock.release()
    return kept
