"""The only place that knows TinyDB: loads in one place, commits in one place."""

from ledger.store.beside import FILE_NAME, copies_in_conflict, kept_from_damage
from ledger.store.schema import CHANGES
from ledger.store.store import Store, open_store

__all__ = [
    "CHANGES",
    "FILE_NAME",
    "Store",
    "copies_in_conflict",
    "kept_from_damage",
    "open_store",
]
