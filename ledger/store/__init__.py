"""The only place that knows TinyDB: loads in one place, commits in one place."""

from ledger.store.backups import Backup, all_of, flock_in, lay_back
from ledger.store.beside import FILE_NAME, copies_in_conflict, kept_from_damage
from ledger.store.opening import open_store
from ledger.store.schema import CHANGES
from ledger.store.store import Store

__all__ = [
    "CHANGES",
    "FILE_NAME",
    "Backup",
    "Store",
    "all_of",
    "copies_in_conflict",
    "flock_in",
    "kept_from_damage",
    "lay_back",
    "open_store",
]
