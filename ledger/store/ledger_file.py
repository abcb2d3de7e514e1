"""A TinyDB storage that never leaves half a file behind."""

from __future__ import annotations

import errno
import json
import os
import shutil
import tempfile
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tinydb.storages import Storage

from ledger.errors import StoreChangedError, StoreDamagedError, StoreError

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

Tables = dict[str, dict[str, Any]]
"""Table name to key to document."""
_PART = ".part"


class LedgerFile(Storage):
    """All tables in one JSON file, replaced whole or not at all.

    It keeps what it read or wrote last and compares the file's stamp before
    each write, so that a change by another program is never overwritten.
    """

    def __init__(self, path: Path) -> None:
        self._path = path
        self._tables: Tables | None = None
        self._pending: Tables | None = None
        self._in_transaction = False
        self._stamp: tuple[int, int, int] | None = None

    @property
    def exists(self) -> bool:
        """There is a file, whole or not."""
        return self._path.exists()

    def read(self) -> Tables | None:
        """All tables as last read or written; None where there is no file.

        Raises:
            StoreDamagedError: the file is not whole.
            StoreError: it cannot be read.
        """
        if self._pending is not None:
            return self._pending
        if self._tables is None:
            self.read_again()
        # TinyDB puts its new table into what it gets: hand out the outer dict only.
        return None if self._tables is None else dict(self._tables)

    def read_again(self) -> None:
        """Forget what was read, and read the file as it is now.

        Raises:
            StoreDamagedError: the file is not whole.
            StoreError: it cannot be read.
        """
        self._tables, self._stamp = None, None
        try:
            with self._path.open("rb") as file:
                stamp = _stamp_of(os.fstat(file.fileno()))
                text = file.read()
        except FileNotFoundError:
            return
        except OSError as error:
            raise StoreError(
                f"“{self._path}” cannot be read: {error.strerror}.",
                "Check that the disk is there and that you may read the file.",
            ) from error
        self._tables = _parsed(text, self._path)
        self._stamp = stamp

    def hold(self, tables: Tables) -> None:
        """Take these tables for what was read; the next write writes them all."""
        self._tables = tables

    def write(self, data: Mapping[str, Mapping[str, Any]]) -> None:
        """Replace the file by these tables, or leave it as it was.

        Raises:
            StoreChangedError: another program changed the file.
            StoreError: the disk refused.
        """
        tables: Tables = {name: dict(table) for name, table in data.items()}
        if self._in_transaction:
            self._pending = tables
            return
        text = _as_text(tables).encode()  # before the disk is touched
        self._check_unchanged()
        try:
            part = self._written_beside(text)
            try:
                part.replace(self._path)
            except BaseException:
                part.unlink(missing_ok=True)
                raise
            self._tables, self._stamp = tables, _stamp_of(self._path.stat())
            _sync_folder(self._path.parent)
        except OSError as error:
            raise StoreError(
                f"“{self._path}” could not be written: {error.strerror}.",
                "What was stored before is untouched. Free some space or mend the "
                "disk, then do it again.",
            ) from error

    @contextmanager
    def transaction(self) -> Iterator[None]:
        """Many changes, one write; an exception writes nothing."""
        self._in_transaction = True
        try:
            yield
            pending = self._pending
        finally:
            self._in_transaction, self._pending = False, None
        if pending is not None:
            self.write(pending)

    def sweep(self) -> None:
        """Delete what a killed program left half written. Only under the lock."""
        for part in self._path.parent.glob(f"{self._path.name}.*{_PART}"):
            with suppress(OSError):
                part.unlink()

    def _written_beside(self, text: bytes) -> Path:
        handle, name = tempfile.mkstemp(
            dir=self._path.parent, prefix=f"{self._path.name}.", suffix=_PART
        )
        part = Path(name)
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(text)
                file.flush()
                os.fsync(file.fileno())
            _copy_mode(self._path, part)
        except BaseException:
            part.unlink(missing_ok=True)
            raise
        return part

    def _check_unchanged(self) -> None:
        try:
            now = _stamp_of(self._path.stat())
        except FileNotFoundError:
            now = None
        if now != self._stamp:
            raise StoreChangedError(
                f"Another program changed “{self._path}” while it was open here."
            )


def _parsed(text: bytes, path: Path) -> Tables:
    try:
        tables = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise StoreDamagedError(
            f"“{path}” is not a whole ledger: it cannot be read to its end."
        ) from error
    if not isinstance(tables, dict) or not all(
        isinstance(table, dict) and all(isinstance(d, dict) for d in table.values())
        for table in tables.values()
    ):
        raise StoreDamagedError(f"“{path}” is not a ledger: it holds no tables.")
    return tables


def _as_text(tables: Tables) -> str:
    """JSON with one document a line: quick, readable, and kind to `diff`.

    Not `indent=`: in Python 3.11 that bypasses the encoder written in C.
    """
    encode = json.JSONEncoder(ensure_ascii=False, allow_nan=False).encode
    parts = []
    for name, table in tables.items():
        lines = ",\n".join(
            f"{encode(key)}: {encode(document)}" for key, document in table.items()
        )
        parts.append(f"{encode(name)}: {{\n{lines}\n}}")
    return "{\n" + ",\n".join(parts) + "\n}\n"


def _stamp_of(stat: os.stat_result) -> tuple[int, int, int]:
    return stat.st_ino, stat.st_mtime_ns, stat.st_size


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


def _sync_folder(folder: Path) -> None:
    """Make a rename last through a power cut, where the system offers that."""
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
