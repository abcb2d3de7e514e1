"""The only place that knows TinyDB: loads in one place, commits in one place."""

from ledger.store.schema import CHANGES
from ledger.store.store import FILE_NAME, Store, open_store

__all__ = ["CHANGES", "FILE_NAME", "Store", "open_store"]
