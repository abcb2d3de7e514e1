"""The form of a journal: one line for each act, each line proving itself.

A line is `CHECK BEFORE NUMBER LENGTH JSON` and a line end. CHECK is the CRC-32, in
hex, of all that follows it in the line; BEFORE is the check of the line before, so
that a line that is missing, moved or doubled is noticed; LENGTH counts the bytes of
the JSON. Behind the last line the file is filled up with spaces.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from zlib import crc32

FIRST_CHECK = "00000000"
"""What the first line gives as the check before it."""
PAD = b" "
"""What a journal is filled up with."""

_HEAD = re.compile(rb"([0-9a-f]{8}) ([0-9a-f]{8}) (\d{1,15}) (\d{1,15}) ")


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of a journal."""

    number: int
    check: str
    before: str
    payload: bytes
    """JSON."""
    end: int
    """Where the next line begins."""


@dataclass(frozen=True, slots=True)
class Scan:
    """What a journal holds from some place on."""

    entries: tuple[Entry, ...]
    """Whole and in order."""
    end: int
    """Where they end."""
    has_rest: bool
    """Something else follows: half a line, or bytes that never were one."""
    is_broken: bool
    """Whole lines follow that: the fault lies before something confirmed."""


def line_of(number: int, before: str, payload: bytes) -> tuple[bytes, str]:
    """A journal's line, and its check.

    Args:
        number: Counted from 0 in each journal.
        before: Check of the line before.
        payload: JSON in one line.
    """
    body = b"%s %d %d %s" % (before.encode(), number, len(payload), payload)
    check = f"{crc32(body):08x}"
    return b"%s %s\n" % (check.encode(), body), check


def scan(text: bytes, place: int = 0, after: Entry | None = None) -> Scan:
    """Read a journal from a place on.

    Args:
        text: The whole file.
        place: Where to begin.
        after: The line before that place.
    """
    entries: list[Entry] = []
    while place < len(text) and text[place : place + 1] != PAD:
        entry = _entry_at(text, place)
        if entry is None:
            break
        is_next = (
            entry.number == after.number + 1 and entry.before == after.check
            if after
            else entry.number == 0 and entry.before == FIRST_CHECK
        )
        if not is_next:
            return Scan(tuple(entries), place, has_rest=True, is_broken=True)
        entries.append(entry)
        after, place = entry, entry.end
    has_rest = text.count(PAD, place) != len(text) - place
    is_broken = has_rest and any(
        _entry_at(text, found.start()) for found in _HEAD.finditer(text, place)
    )
    return Scan(tuple(entries), place, has_rest, is_broken)


def _entry_at(text: bytes, place: int) -> Entry | None:
    """The line that begins here, if a whole one does."""
    head = _HEAD.match(text, place)
    if head is None:
        return None
    check, before, number, length = head.groups()
    end = head.end() + int(length)
    is_whole = (
        text[end : end + 1] == b"\n"
        and f"{crc32(memoryview(text)[place + 9 : end]):08x}".encode() == check
    )
    if not is_whole:
        return None
    return Entry(
        int(number), check.decode(), before.decode(), text[head.end() : end], end + 1
    )
