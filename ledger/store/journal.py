"""The journal beside a snapshot: every act since, each made to last at once."""

from __future__ import annotations

import json
import os
from contextlib import suppress
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ledger.errors import StoreChangedError, StoreDamagedError
from ledger.store import disk
from ledger.store.frames import FIRST_CHECK, PAD, Entry, line_of, scan

if TYPE_CHECKING:
    from pathlib import Path

    from ledger.store.frames import Scan
    from ledger.store.snapshot import Snapshot

CHUNK = 1 << 16
"""A journal grows by this much at a time: one cut off from outside is noticed."""


@dataclass(frozen=True)
class Found:
    """A journal's text as it lay on the disk."""

    text: bytes
    lines: Scan
    snapshot: tuple[int, str] | None
    """Generation and sum of the snapshot it goes on from; None: it never began."""

    @property
    def acts(self) -> tuple[Entry, ...]:
        """Its lines after the first, which only names the snapshot."""
        return self.lines.entries[1:]

    @property
    def last(self) -> tuple[int, str]:
        """Number and check of its last whole line."""
        entries = self.lines.entries
        return (entries[-1].number, entries[-1].check) if entries else (0, FIRST_CHECK)

    @property
    def is_cut_short(self) -> bool:
        """Something outside this program shortened it."""
        return len(self.text) % CHUNK != 0

    def follows(self, snapshot: Snapshot) -> bool:
        """It goes on from this snapshot."""
        return self.snapshot == (snapshot.generation, snapshot.sum)

    def is_in(self, snapshot: Snapshot) -> bool:
        """All it holds went into this snapshot."""
        return (
            self.snapshot is not None
            and self.snapshot[0] == snapshot.generation - 1
            and self.last == (snapshot.last_number, snapshot.last_check)
        )


def read(path: Path) -> Found:
    """A journal as it lies on the disk; one that is missing never began.

    Raises:
        StoreDamagedError: a line before the last is not as it was written.
        OSError: it cannot be read.
    """
    there = disk.read_with_stamp(path)
    text = there[0] if there else b""
    lines = scan(text)
    if lines.is_broken:
        count = len(lines.entries)
        raise StoreDamagedError(
            f"“{path}” is damaged in line {count + 1} (from byte {lines.end} on), and "
            "whole changes follow after that place."
        )
    snapshot = None
    if lines.entries:
        told = json.loads(lines.entries[0].payload)
        snapshot = (told["snapshot"], told["sum"])
    return Found(text, lines, snapshot)


class Journal:
    """A journal that is written to. Only under the ledger's lock."""

    def __init__(self, path: Path) -> None:
        self._path = path
        self._handle: int | None = None
        self._inode = 0
        self._number = 0
        self._check = FIRST_CHECK
        self._end = 0
        self._size = 0
        self._is_doubtful = False

    @property
    def is_open(self) -> bool:
        """Lines can be added."""
        return self._handle is not None

    @property
    def last(self) -> tuple[int, str]:
        """Number and check of the last line."""
        return self._number, self._check

    @property
    def bytes_used(self) -> int:
        """How much of it is lines."""
        return self._end

    def begin(self, generation: int, snapshot_sum: str) -> None:
        """Start an empty one that goes on from a snapshot.

        Raises:
            OSError: the disk refused; there is none, or the one of before.
        """
        self.close()
        told = json.dumps({"snapshot": generation, "sum": snapshot_sum}).encode()
        line, check = line_of(0, FIRST_CHECK, told)
        disk.put_in_place(self._path, line.ljust(CHUNK, PAD))
        self._open(0, check, len(line))

    def go_on(self, found: Found) -> None:
        """Open one that is there, behind its last whole line.

        Raises:
            OSError: the disk refused.
        """
        self.close()
        self._open(*found.last, found.lines.end)
        if found.lines.has_rest or found.is_cut_short:
            self._is_doubtful = True
            self._mend()

    def append(self, payload: bytes) -> None:
        """Write one line and make it last; or leave all as it was.

        Raises:
            StoreChangedError: another program changed the journal.
            OSError: the disk refused; the line is not there.
        """
        if self._handle is None:
            raise RuntimeError("the journal is not open")
        self._check_unchanged()
        if self._is_doubtful:
            self._mend()
        line, check = line_of(self._number + 1, self._check, payload)
        end = self._end + len(line)
        size = self._size
        if end >= size:
            size = (end // CHUNK + 1) * CHUNK
            line = line.ljust(size - self._end, PAD)
        self._is_doubtful = True
        try:
            disk.write_at(self._handle, self._end, line)
            disk.sync(self._handle)
        except OSError:
            # The disk may have taken it and failed only to confirm it.
            with suppress(OSError):
                self._mend()
            raise
        self._is_doubtful = False
        self._number, self._check = self._number + 1, check
        self._end, self._size = end, size

    def close(self) -> None:
        """Let go of the file; twice does no harm."""
        if self._handle is not None:
            os.close(self._handle)
            self._handle = None

    def _open(self, number: int, check: str, end: int) -> None:
        flags = os.O_RDWR | getattr(os, "O_BINARY", 0)
        self._handle = os.open(self._path, flags)
        stat = os.fstat(self._handle)
        self._inode, self._size = stat.st_ino, stat.st_size
        self._number, self._check, self._end = number, check, end
        self._is_doubtful = False

    def _mend(self) -> None:
        """Take out what stands behind the last line."""
        assert self._handle is not None
        size = (self._end // CHUNK + 1) * CHUNK
        os.ftruncate(self._handle, size)
        disk.write_at(self._handle, self._end, PAD * (size - self._end))
        disk.sync(self._handle)
        self._size = size
        self._is_doubtful = False

    def _check_unchanged(self) -> None:
        now = disk.stamp_of(self._path)
        is_ours = now is not None and now[0] == self._inode
        if not is_ours or (not self._is_doubtful and now and now[2] != self._size):
            raise StoreChangedError(
                f"Another program changed “{self._path}” while it was open here."
            )


def line_in_words(payload: bytes) -> str:
    """What a line of the journal says was done, as far as it can be read."""
    try:
        acts = json.loads(payload)["put"]["changes"]
        return ", ".join(str(act["what"]) for act in acts.values())
    except (ValueError, KeyError, TypeError, AttributeError):
        return "a change"
