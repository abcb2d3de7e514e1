"""A TinyDB storage that adds each act to a journal and never leaves half of one."""

from __future__ import annotations

import json
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

from tinydb.storages import Storage

from ledger.store.files import Files
from ledger.store.lines import encode

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from pathlib import Path


class LedgerFile(Files, Storage):
    """All tables, as TinyDB reads and writes them.

    Whatever changes a table is staged first, and stored as one act when the
    transaction ends. `Store` holds the lock; without it nobody may write here.
    """

    def __init__(self, path: Path) -> None:
        super().__init__(path)
        self._staged: dict[str, dict[str, bytes | None]] | None = None

    def read(self) -> dict[str, dict[str, Any]] | None:
        """All tables as TinyDB wants them; None where there is no file.

        Raises:
            StoreDamagedError: they are not whole.
            StoreError: they cannot be read.
        """
        self.read_once()
        if not self.exists:
            return None
        return {name: self.read_table(name) for name in self.tables}

    def read_table(self, name: str) -> dict[str, Any]:
        """One table, what is staged included."""
        table = dict(self.lines(name))
        for key, document in (self._staged or {}).get(name, {}).items():
            if document is None:
                table.pop(key, None)
            else:
                table[key] = document
        return {key: json.loads(document) for key, document in table.items()}

    def write(self, data: Mapping[str, Mapping[str, Any]]) -> None:
        """Store all tables as TinyDB gives them: only what is new is written.

        Raises:
            StoreChangedError: another program changed the file.
            StoreError: the disk refused; nothing is stored.
        """
        self.read_once()
        with self.transaction():
            for name, table in data.items():
                self.stage_table(name, table)
            for name, lines in self.tables.items():
                if name not in data:
                    self.stage(name, {}, list(lines.by_key))

    def stage_table(self, name: str, table: Mapping[str, Any]) -> None:
        """Stage what makes a table equal to this one."""
        before = self.read_table(name)
        self.stage(
            name,
            {k: doc for k, doc in table.items() if before.get(k) != doc},
            [key for key in before if key not in table],
        )

    def stage(
        self, name: str, put: Mapping[str, Mapping[str, Any]], drop: list[str]
    ) -> None:
        """Put documents in and drop others when the transaction ends."""
        if self._staged is None:
            with self.transaction():
                self.stage(name, put, drop)
            return
        staged = self._staged.setdefault(name, {})
        staged.update(dict.fromkeys(drop))
        for key, document in put.items():
            staged[key] = encode(document).encode()

    @contextmanager
    def transaction(self) -> Iterator[None]:
        """Many changes, one line of the journal; an exception writes nothing."""
        if self._staged is not None:  # within another one, which stores it
            yield
            return
        self._staged = {}
        try:
            yield
            staged = self._staged
        finally:
            self._staged = None
        if any(staged.values()):
            self.store(staged)
