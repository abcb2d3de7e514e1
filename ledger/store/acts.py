"""The list of all acts, read from its table when somebody asks."""

from __future__ import annotations

import datetime as dt
import json
import re
from typing import TYPE_CHECKING, Any

from ledger.domain.change import Drop, Put
from ledger.domain.history import Act, Did, Touch
from ledger.domain.kind import Kind
from ledger.errors import StoreDamagedError
from ledger.store.documents import from_document, to_document
from ledger.store.schema import CHANGES

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from ledger.domain.change import Change
    from ledger.domain.flock import Flock
    from ledger.store.files import Files

_KINDS = {str(kind): kind for kind in Kind}


def newest_first(files: Files, mention: Iterable[str] = ()) -> Iterator[Act]:
    """All acts, the last one first.

    Args:
        files: The ledger's.
        mention: Ids; only acts that name one of them anywhere. None: every act.

    Raises:
        StoreDamagedError: one cannot be read.
    """
    ids = [re.escape(thing_id).encode() for thing_id in mention]
    wanted = re.compile(b'"(?:%s)"' % b"|".join(ids))
    lines = files.lines(CHANGES)
    for key in reversed(list(lines)):
        line = lines[key]
        if not ids or wanted.search(line):
            yield _act(key, line)


def _act(key: str, line: bytes) -> Act:
    try:
        told = json.loads(line)
        return Act(
            int(key),
            dt.datetime.fromisoformat(told["time"]),
            told["author"],
            told["what"],
            tuple(_touch(entry) for entry in told["entries"]),
            told.get("undoes"),
        )
    except (ValueError, KeyError, TypeError) as error:
        raise StoreDamagedError(
            f"Change {key} in the ledger's list cannot be read: {error}."
        ) from error


def _touch(entry: dict[str, Any]) -> Touch:
    kind = _KINDS[entry["kind"]]
    before = entry.get("before")
    return Touch(
        kind,
        entry["id"],
        Did(entry["did"]),
        None if before is None else from_document(kind, entry["id"], before),
    )


def entries_of(
    changes: Iterable[Change], before: Flock, after: Flock
) -> list[dict[str, Any]]:
    """What is kept of each thing that these changes touch."""
    entries: dict[tuple[Kind, str], dict[str, Any]] = {}
    for change in changes:
        if isinstance(change, Put):
            kind, key = change.thing.KIND, change.thing.id
        else:
            kind, key = change.kind, change.id
        was, now = before.get(kind, key), after.get(kind, key)
        did = Did.DROP if now is None else Did.CHANGE if was else Did.ADD
        entries[kind, key] = {
            "kind": str(kind),
            "id": key,
            "did": str(did),
            **({"before": to_document(was)} if was else {}),
        }
    return list(entries.values())


def changes_of(
    put: dict[str, dict[str, Any]], drop: dict[str, list[str]]
) -> list[Change]:
    """What a line of the journal does to the flock."""
    changes: list[Change] = [
        Drop(_KINDS[name], key)
        for name, keys in drop.items()
        if name in _KINDS
        for key in keys
    ]
    changes += [
        Put(from_document(_KINDS[name], key, document))
        for name, table in put.items()
        if name in _KINDS
        for key, document in table.items()
    ]
    return changes
