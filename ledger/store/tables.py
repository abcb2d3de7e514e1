"""TinyDB with our own ids as keys and many documents in one step."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from tinydb import TinyDB
from tinydb.table import Table

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping


class LedgerTable(Table):
    """A table whose keys are our ids."""

    # TinyDB offers this for subclasses, but its own annotation says int.
    document_id_class = str  # type: ignore[assignment]
    # Nothing is ever searched here: the flock has its own indexes.
    default_query_cache_capacity = 0

    def put_many(
        self, put: Mapping[str, Mapping[str, Any]], drop: Collection[str] = ()
    ) -> None:
        """Add or replace documents by key, and take others out.

        Args:
            put: Documents by key.
            drop: Keys to take out; one that is not there is no fault.
        """

        def update(table: dict[Any, Any]) -> None:
            for key in drop:
                table.pop(key, None)
            table.update(put)

        self._update_table(update)


class LedgerDb(TinyDB):
    """A TinyDB of such tables."""

    table_class = LedgerTable
