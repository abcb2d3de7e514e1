"""The form of `ledger.json`: all tables as one JSON object, sealed at its end.

One document a line: readable without this program, and kind to `diff`. The last
table is the seal: which snapshot this is, where each table lies in the file, and
the SHA-256 of all that stands before it.
"""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from ledger.errors import StoreDamagedError
from ledger.store.frames import FIRST_CHECK
from ledger.store.lines import Lines, encode

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

SEAL = "seal"
"""Name of the table that proves a snapshot; it has one document."""
_ONLY = "ledger"
_SUM = b', "sum": "'
_END = b'"}\n}\n}\n'


@dataclass(frozen=True)
class Snapshot:
    """All tables at some moment."""

    tables: dict[str, Lines]
    sum: str
    """SHA-256 by which a journal names the snapshot it goes on from."""
    generation: int = 0
    """Counts the snapshots of a ledger; 0 for a file of before there were seals."""
    last_number: int = 0
    """Number of the last line of the journal that went into it."""
    last_check: str = FIRST_CHECK
    """Check of that line."""
    is_sealed: bool = False
    documents: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)
    """The tables of a file without a seal: not proven by anything yet."""


def text_of(
    tables: Mapping[str, Lines], *, generation: int, last_number: int, last_check: str
) -> tuple[bytes, str]:
    """The text of a snapshot, and its sum. The same tables give the same text."""
    parts = [b"{\n"]
    at = 2
    places: dict[str, list[int]] = {}
    for name, lines in tables.items():
        head = b"%s: {\n" % encode(name).encode()
        body = lines.text()
        places[name] = [at + len(head), len(body), len(lines)]
        parts += (head, body, b"\n},\n")
        at += len(head) + len(body) + 4
    seal = {
        "generation": generation,
        "journal": [last_number, last_check],
        "places": places,
    }
    parts.append(b'"%s": {\n"%s": ' % (SEAL.encode(), _ONLY.encode()))
    parts.append(encode(seal).encode()[:-1])
    proven = b"".join(parts)
    digest = hashlib.sha256(proven).hexdigest()
    return b"%s%s%s%s" % (proven, _SUM, digest.encode(), _END), digest


def parse(text: bytes, path: Path) -> Snapshot:
    """The snapshot in a file.

    Raises:
        StoreDamagedError: the file is not whole, or not what was written.
    """
    at = text.rfind(_SUM)
    if at < 0 or not text.endswith(_END):
        return _without_seal(text, path)
    found = text[at + len(_SUM) : -len(_END)].decode("ascii", "replace")
    if hashlib.sha256(memoryview(text)[:at]).hexdigest() != found:
        raise StoreDamagedError(
            f"“{path}” is not as this program wrote it: it is damaged, or something "
            "else changed it."
        )
    seal = json.loads(text[text.rfind(b"\n", 0, at) :].partition(b": ")[2][:-5])
    tables = {
        name: Lines(text[start : start + length], count)
        for name, (start, length, count) in seal["places"].items()
    }
    number, check = seal["journal"]
    return Snapshot(tables, found, seal["generation"], number, check, is_sealed=True)


def _without_seal(text: bytes, path: Path) -> Snapshot:
    """A file of the first form, or one that is not whole."""
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
    if SEAL in tables:  # and yet the file does not end in one
        raise StoreDamagedError(f"“{path}” is damaged: its seal is not whole.")
    return Snapshot({}, hashlib.sha256(text).hexdigest(), documents=tables)
