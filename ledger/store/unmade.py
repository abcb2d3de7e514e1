"""Shelves of things that are made from a table's lines when they are wanted."""

from __future__ import annotations

import json
import re
from functools import partial
from typing import TYPE_CHECKING, Any

from ledger.domain.shelf import Shelf
from ledger.errors import StoreDamagedError
from ledger.store.documents import from_document

if TYPE_CHECKING:
    from collections.abc import Mapping

    from ledger.domain.change import Thing
    from ledger.domain.kind import Kind
    from ledger.store.lines import Lines

# How a line of an event begins; see `documents`. A line that begins otherwise is
# made to see its fields.
_EVENT = re.compile(rb'\{"bird": "([^"\\]+)", "kind": "([^"\\]+)"')
_GROUPS = {"bird": 1, "kind": 2}


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
