"""Every photo of a folder, read one by one, two at a time."""

from __future__ import annotations

import hashlib
from concurrent.futures import FIRST_COMPLETED, ThreadPoolExecutor, wait
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ledger.errors import NotFoundError, ReadingError
from ledger.services import inbox, ring_reading

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence
    from concurrent.futures import Future
    from pathlib import Path

    from ocr import Reading

    ReadOne = Callable[[Sequence[Path], Callable[[], bool]], Reading]

_AT_ONCE = 2
"""More than the reader's own threads gain nothing on a small machine."""
_MOST = 5000


@dataclass(frozen=True)
class PhotoRead:
    """One photo of a folder."""

    path: Path
    reading: Reading | None
    """None where it is no picture, or a copy of another."""
    taken: float | None = None
    """When, in seconds since 1970, as the camera wrote it; None if it did not."""
    copy_of: Path | None = None
    """The photo with the very same content that was read instead."""
    trouble: str = ""
    """Why it could not be opened, as a sentence."""


@dataclass(frozen=True)
class Progress:
    """How far the reading of a folder is."""

    done: int
    of: int
    name: str
    """Of the photo just read."""


def photos_in(paths: Iterable[Path]) -> list[Path]:
    """The photos among files and in folders, by name, each once.

    Raises:
        NotFoundError: there is none, or a folder cannot be looked into.
    """
    found: dict[Path, None] = {}
    for path in paths:
        each = sorted(inbox.photos(path, _MOST)) if path.is_dir() else [path]
        found.update(dict.fromkeys(each))
    if not found:
        raise NotFoundError(
            "There is no photo in this folder.",
            "Choose the folder into which the phone copies its photos.",
        )
    return list(found)


def read_each(
    paths: Sequence[Path],
    report: Callable[[Progress], None],
    cancelled: Callable[[], bool],
    read: ReadOne | None = None,
) -> list[PhotoRead]:
    """Read every photo by itself; copies of one picture are read once.

    Args:
        paths: Photos.
        report: Told after each photo, in the caller's thread.
        cancelled: Asked again and again; what was read until then is given back.
        read: Reads one photo; None is the program's own reader.

    Returns:
        One for each path, in their order; fewer when it was cancelled.
    """
    used = read or _read
    first: dict[str, Path] = {}
    results: dict[Path, PhotoRead] = {}
    waiting: dict[Future[PhotoRead], Path] = {}
    left = list(reversed(paths))
    with ThreadPoolExecutor(max_workers=_AT_ONCE) as pool:
        while (left or waiting) and not cancelled():
            while left and len(waiting) < _AT_ONCE:
                path = left.pop()
                digest = _digest(path)
                if digest and digest in first:
                    results[path] = PhotoRead(path, None, copy_of=first[digest])
                    continue
                first[digest] = path
                waiting[pool.submit(_one, path, used, cancelled)] = path
            done, _ = wait(waiting, timeout=0.2, return_when=FIRST_COMPLETED)
            for job in done:
                path = waiting.pop(job)
                if cancelled() and job.exception() is not None:
                    continue  # it gave up because it was asked to
                results[path] = job.result()
                report(Progress(len(results), len(paths), path.name))
        for job, path in waiting.items():
            if job.done() and not job.cancelled() and job.exception() is None:
                results[path] = job.result()
            else:
                job.cancel()
    return [results[path] for path in paths if path in results]


def _read(paths: Sequence[Path], cancelled: Callable[[], bool]) -> Reading:
    return ring_reading.read(paths, cancelled=cancelled)


def _one(path: Path, read: ReadOne, cancelled: Callable[[], bool]) -> PhotoRead:
    try:
        reading = read([path], cancelled)
    except (ReadingError, NotFoundError) as error:
        return PhotoRead(path, None, trouble=str(error))
    return PhotoRead(path, reading, ring_reading.taken(path))


def _digest(path: Path) -> str:
    try:
        with path.open("rb") as picture:
            return hashlib.file_digest(picture, "sha256").hexdigest()
    except OSError:  # the reader says what is wrong with it
        return ""
