"""The number of the file's form, and the way up from older ones."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

from ledger.errors import StoreDamagedError, StoreNewerError

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from pathlib import Path

Tables = dict[str, dict[str, Any]]
"""Table name to key to document."""

SCHEMA = 3
META = "meta"
"""Name of the table that says what the file is."""
LEDGER = "ledger"
"""Key of its one document."""
CHANGES = "changes"
"""Table of all changes ever: when, who, what, and what stood there before."""

_NUMBER = re.compile(rb'"schema": ?(\d+)')


def _seal_follows(tables: Tables) -> Tables:
    """From 1 to 2: the file is sealed from now on; the tables stay as they are."""
    return tables


def _more_kinds(tables: Tables) -> Tables:
    """From 2 to 3: ring series, tasks, removals, walk-throughs and enquiries come.

    None of them was kept before, so there is nothing to turn into another form.
    """
    return tables


MIGRATIONS: dict[int, Callable[[Tables], Tables]] = {
    1: _seal_follows,
    2: _more_kinds,
}
"""From each older schema to the next: a pure function of all tables."""


def empty_tables() -> Tables:
    """A ledger with nothing in it."""
    return {META: {LEDGER: {"schema": SCHEMA, "last_numbers": {}}}}


def meta_of(tables: Mapping[str, Mapping[str, Any]]) -> dict[str, Any]:
    """What the file says of itself."""
    meta: dict[str, Any] = tables[META][LEDGER]
    return meta


def newer(beginning: bytes, path: Path) -> None:
    """Refuse what a later version wrote, whatever form it gave to the rest.

    Args:
        beginning: Of the file.
        path: The file.

    Raises:
        StoreNewerError: it says that it has a form this version does not know.
    """
    found = _NUMBER.search(beginning)
    if found and int(found[1]) > SCHEMA:
        raise _too_new(path, int(found[1]))


def upgraded(tables: Tables, path: Path) -> Tables:
    """The tables in today's form.

    Raises:
        StoreDamagedError: the file does not say which form it has.
        StoreNewerError: it has a form this version does not know.
    """
    schema = tables.get(META, {}).get(LEDGER, {}).get("schema")
    if not isinstance(schema, int) or isinstance(schema, bool) or schema < 1:
        raise StoreDamagedError(
            f"“{path}” is not a ledger: it does not say which form it has."
        )
    if schema > SCHEMA:
        raise _too_new(path, schema)
    while schema < SCHEMA:
        tables = MIGRATIONS[schema](tables)
        schema += 1
        meta = {**meta_of(tables), "schema": schema}
        tables = {**tables, META: {**tables[META], LEDGER: meta}}
    return tables


def _too_new(path: Path, schema: int) -> StoreNewerError:
    return StoreNewerError(
        f"“{path}” was written by a later version of this program "
        f"(form {schema}; this version knows forms up to {SCHEMA})."
    )
