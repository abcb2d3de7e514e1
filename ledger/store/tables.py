"""TinyDB with our own ids as keys and many documents in one step."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, cast

from tinydb import TinyDB
from tinydb.table import Table

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Mapping

    from ledger.store.ledger_file import LedgerFile


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
        self._file.stage(self.name, put, list(drop))

    @property
    def _file(self) -> LedgerFile:
        return cast("LedgerFile", self.storage)

    def _read_table(self) -> dict[str, Mapping[str, Any]]:
        self._file.read_once()
        return self._file.read_table(self.name)

    def _update_table(self, updater: Callable[[dict[Any, Any]], None]) -> None:
        """All of TinyDB's own ways to change a table come through here."""
        table: dict[Any, Any] = dict(self._read_table())
        updater(table)
        self._file.stage_table(
            self.name, {str(key): dict(document) for key, document in table.items()}
        )
        self.clear_cache()


class LedgerDb(TinyDB):
    """A TinyDB of such tables."""

    table_class = LedgerTable
