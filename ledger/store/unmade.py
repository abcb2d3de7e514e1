"""Shelves of things that are made from a table's lines when they are wanted."""

from __future__ import annotations

import json
import re
from functools import partial
from typing import TYPE_CHECKING, Any

from ledger.domain.flock import Flock
from ledger.domain.kind import Kind
from ledger.domain.shelf import Shelf
from ledger.errors import StoreDamagedError, StoreMissingError
from ledger.store.documents import from_document
from ledger.store.schema import META

if TYPE_CHECKING:
    from collections.abc import Mapping

    from ledger.domain.change import Thing
    from ledger.store.files import Files
    from ledger.store.lines import Lines

# How a line of an event begins; see `documents`. A line that begins otherwise is
# made to see its fields.
_EVENT = re.compile(rb'\{"bird": "([^"\\]+)", "kind": "([^"\\]+)"')
_GROUPS = {"bird": 1, "kind": 2}


def flock_of(files: Files) -> Flock:
    """The flock in these files; all of it looked at where nothing proves it.

    Raises:
        StoreMissingError: there is no ledger.
        StoreDamagedError: it is not whole.
        StoreError: it cannot be read.
    """
    path = files.places.snapshot
    files.read_once()
    if not files.exists:
        raise StoreMissingError(f"There is no ledger in “{path.parent}”.")
    try:
        (meta,) = (json.loads(line) for line in files.lines(META).values())
        numbers = {
            Kind(name): int(number)
            for name, number in meta.get("last_numbers", {}).items()
        }
        if files.is_proven:
            shelves = {kind: shelf_of(kind, files.tables) for kind in Kind}
            return Flock.on(shelves, last_numbers=numbers)
        things = [
            from_document(kind, key, json.loads(line))
            for kind in Kind
            for key, line in files.lines(kind).items()
        ]
    except (ValueError, TypeError, AttributeError) as error:
        raise StoreDamagedError(f"“{path}” is not a whole ledger: {error}.") from error
    return Flock.of(things, last_numbers=numbers)


def shelf_of(kind: Kind, tables: Mapping[str, Lines]) -> Shelf[Any]:
    """The things of a kind in these tables.

    The tables must not change before the shelf was first asked for something.
    """

    def fill() -> dict[str, Any]:
        lines = tables.get(kind)
        return dict(lines.by_key) if lines else {}

    return Shelf(fill, partial(_made, kind), _peeked)


def _made(kind: Kind, key: str, line: bytes) -> Thing:
    """A thing from its line.

    Raises:
        StoreDamagedError: the line does not describe one.
    """
    try:
        return from_document(kind, key, json.loads(line))
    except ValueError as error:
        raise StoreDamagedError(f"The ledger is not whole: {error}.") from error


def _peeked(line: bytes, field: str) -> str | None:
    begin = _EVENT.match(line)
    return begin[_GROUPS[field]].decode() if begin else None
