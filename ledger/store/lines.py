"""A table as lines of JSON, taken apart only when it is asked for.

A ledger of thirty years has more lines than a moment looks at: they stay as the
bytes they were read as until somebody wants one.
"""

from __future__ import annotations

import json
from threading import RLock
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Mapping

encode = json.JSONEncoder(ensure_ascii=False, allow_nan=False).encode
"""JSON in one line. Not `indent=`: that bypasses the encoder written in C."""

_BETWEEN = b",\n"
_ONE_AT_A_TIME = RLock()
"""A page may look through old lines beside the one that adds a new one."""


class Lines:
    """Documents by key, as JSON; in the order they were first put in."""

    __slots__ = ("_added", "_by_key", "_count", "_text")

    def __init__(self, text: bytes = b"", count: int = 0) -> None:
        """Lines as they stand in a file.

        Args:
            text: `"key": {...}`, parted by a comma and a line end.
            count: How many.
        """
        self._text = text
        self._count = count
        self._by_key: dict[str, bytes] | None = None
        self._added: dict[str, bytes] = {}

    @classmethod
    def of(cls, table: Mapping[str, Mapping[str, Any]]) -> Lines:
        """Lines of these documents."""
        lines = cls()
        lines._by_key = {key: encode(doc).encode() for key, doc in table.items()}
        return lines

    @property
    def by_key(self) -> dict[str, bytes]:
        """Every line's JSON by its key. For reading only."""
        if self._by_key is None:
            with _ONE_AT_A_TIME:
                if self._by_key is None:
                    lines = _taken_apart(self._text)
                    lines.update(self._added)
                    self._by_key, self._text, self._added = lines, b"", {}
        return self._by_key

    def put(self, key: str, document: bytes) -> None:
        """Add or replace one."""
        self.by_key[key] = document

    def add(self, key: str, document: bytes) -> None:
        """Add one whose key is new, without looking at the others."""
        with _ONE_AT_A_TIME:
            known = self._added if self._by_key is None else self._by_key
            known[key] = document

    def drop(self, key: str) -> None:
        """Take one out; one that is not there is no fault."""
        self.by_key.pop(key, None)

    def __len__(self) -> int:
        with _ONE_AT_A_TIME:
            if self._by_key is None:
                return self._count + len(self._added)
            return len(self._by_key)

    def text(self) -> bytes:
        """All lines as a file takes them."""
        with _ONE_AT_A_TIME:
            if self._by_key is not None:
                return joined(self._by_key)
            parts = [part for part in (self._text, joined(self._added)) if part]
            return _BETWEEN.join(parts)


def joined(lines: Mapping[str, bytes], between: bytes = _BETWEEN) -> bytes:
    """Keys and documents as they stand within the braces of a JSON object."""
    return between.join(
        b"%s: %s" % (encode(key).encode(), document) for key, document in lines.items()
    )


def _taken_apart(text: bytes) -> dict[str, bytes]:
    lines: dict[str, bytes] = {}
    if not text:
        return lines
    for line in text.split(_BETWEEN):
        key, _, document = line.partition(b'": ')
        if b"\\" in key:  # not one of our ids
            for odd_key, odd in json.loads(b"{%s}" % line).items():
                lines[odd_key] = encode(odd).encode()
        else:
            lines[key[1:].decode()] = document
    return lines


def act_of(
    put: Mapping[str, Mapping[str, bytes]], drop: Mapping[str, list[str]]
) -> bytes:
    """The JSON of one act, from documents that are JSON already."""
    tables = [
        b"%s: {%s}" % (encode(name).encode(), joined(table, b", "))
        for name, table in put.items()
    ]
    parts = [b'"put": {%s}' % b", ".join(tables)] if tables else []
    if drop:
        parts.append(b'"drop": %s' % encode(drop).encode())
    return b"{%s}" % b", ".join(parts)
