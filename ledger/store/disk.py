"""What we ask of a disk: write all of it, make it last, put it in place."""

from __future__ import annotations

import errno
import os
import shutil
import sys
import tempfile
from contextlib import suppress
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pathlib import Path

PART = ".part"
"""Ends the name of a file that is not whole yet."""
Stamp = tuple[int, int, int]
"""Inode, time of the last change and size of a file: enough to notice a change."""


def write_at(handle: int, place: int, text: bytes) -> None:
    """Write all of a text at a place, in as many writes as the system takes.

    Raises:
        OSError: the disk refused; some of it may lie there.
    """
    os.lseek(handle, place, os.SEEK_SET)
    left = memoryview(text)
    while left:
        written = os.write(handle, left)
        if not written:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        left = left[written:]


def sync(handle: int) -> None:
    """Make what was written last through a power cut.

    Raises:
        OSError: it may not last.
    """
    if sys.platform == "darwin":  # there fsync stops short of the disk itself
        import fcntl

        try:
            fcntl.fcntl(handle, fcntl.F_FULLFSYNC)
        except OSError:  # a disk that does not know it
            os.fsync(handle)
    else:
        os.fsync(handle)


def sync_folder(folder: Path) -> None:
    """Make new names in a folder last, where the system offers that.

    Raises:
        OSError: they may not last.
    """
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    except OSError as error:
        if error.errno != errno.EINVAL:  # some network disks cannot; nothing is lost
            raise
    finally:
        os.close(handle)


def put_in_place(path: Path, text: bytes, *, old: Path | None = None) -> None:
    """Replace a file by this text, or leave it as it was.

    What was written is read back before it takes the old one's place.

    Args:
        path: The file.
        text: What it shall hold.
        old: The name that the file of before keeps.

    Raises:
        OSError: the disk refused, or gave back something else.
    """
    handle, name = tempfile.mkstemp(
        dir=path.parent, prefix=f"{path.name}.", suffix=PART
    )
    part = path.with_name(os.path.basename(name))  # noqa: PTH119 - mkstemp says str
    try:
        try:
            write_at(handle, 0, text)
            sync(handle)
        finally:
            os.close(handle)
        if part.read_bytes() != text:
            raise OSError(errno.EIO, "what was written reads back otherwise")
        _copy_mode(path, part)
        if old is not None:
            keep_also_as(path, old)
        part.replace(path)
    except BaseException:
        with suppress(OSError):
            part.unlink(missing_ok=True)
        raise
    sync_folder(path.parent)


def keep_also_as(path: Path, other: Path) -> None:
    """Let a file stay under another name, whatever then takes its own.

    Raises:
        OSError: the disk refused; both names mean what they meant.
    """
    part = other.with_name(f"{other.name}.kept{PART}")
    part.unlink(missing_ok=True)
    try:
        try:
            os.link(path, part)
        except OSError:  # sticks and network disks often know no second names
            shutil.copyfile(path, part)
            handle = os.open(part, os.O_RDWR)
            try:
                sync(handle)
            finally:
                os.close(handle)
        part.replace(other)
    except BaseException:
        with suppress(OSError):
            part.unlink(missing_ok=True)
        raise
    with suppress(OSError):  # two names of one file: replacing does nothing
        part.unlink(missing_ok=True)


def free_name(path: Path, what: str) -> Path:
    """A name beside a file that nothing has yet."""
    number = 1
    while (free := path.with_name(f"{path.name}.{what}-{number}")).exists():
        number += 1
    return free


def sweep(folder: Path, prefix: str) -> None:
    """Delete what a killed program left half written."""
    for part in folder.glob(f"{prefix}*{PART}"):
        with suppress(OSError):
            part.unlink()


def stamp_of(path: Path) -> Stamp | None:
    """The stamp of a file as it is now; None where there is none."""
    try:
        stat = path.stat()
    except FileNotFoundError:
        return None
    return stat.st_ino, stat.st_mtime_ns, stat.st_size


def read_with_stamp(path: Path) -> tuple[bytes, Stamp] | None:
    """A file and its stamp of the same moment; None where there is none.

    Raises:
        OSError: it cannot be read.
    """
    try:
        with path.open("rb") as file:
            text = file.read()
            stat = os.fstat(file.fileno())
    except FileNotFoundError:
        return None
    return text, (stat.st_ino, stat.st_mtime_ns, stat.st_size)


def _copy_mode(path: Path, part: Path) -> None:
    """Give the new file the old one's mode; a first file what the user's mask says.

    `mkstemp` makes files that only their owner can read.
    """
    try:
        shutil.copymode(path, part)
    except FileNotFoundError:
        mask = os.umask(0)
        os.umask(mask)
        part.chmod(0o666 & ~mask)
