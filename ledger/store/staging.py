"""One act, laid into the tables: everything that changes, and that it did."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, cast

from ledger.domain.change import Put
from ledger.store.documents import to_document
from ledger.store.schema import CHANGES, LEDGER, META

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from ledger.domain.change import Change
    from ledger.domain.flock import Flock
    from ledger.domain.kind import Kind
    from ledger.store.tables import LedgerDb, LedgerTable


def stage(
    db: LedgerDb,
    changes: Sequence[Change],
    after: Flock,
    new_acts: Mapping[int, Mapping[str, Any]],
) -> None:
    """Stage changes and what is kept of the acts. Within a transaction.

    Args:
        db: The ledger's tables.
        changes: In order.
        after: The flock after them.
        new_acts: By number.
    """
    put: dict[Kind, dict[str, Any]] = {}
    drop: dict[Kind, dict[str, None]] = {}
    for change in changes:
        if isinstance(change, Put):
            kind, key = change.thing.KIND, change.thing.id
            put.setdefault(kind, {})[key] = to_document(change.thing)
            drop.get(kind, {}).pop(key, None)
        else:
            kind, key = change.kind, change.id
            put.get(kind, {}).pop(key, None)
            drop.setdefault(kind, {})[key] = None
    for kind in dict.fromkeys((*put, *drop)):
        _table(db, kind).put_many(put.get(kind, {}), drop.get(kind, {}))
    told = {str(number): act for number, act in new_acts.items()}
    _table(db, CHANGES).put_many(told)
    numbers = {str(kind): n for kind, n in after.last_numbers.items() if n}
    meta = _table(db, META).get(doc_id=cast("int", LEDGER))
    _table(db, META).put_many(
        {LEDGER: {**cast("dict[str, Any]", meta), "last_numbers": numbers}}
    )


def _table(db: LedgerDb, name: str) -> LedgerTable:
    return cast("LedgerTable", db.table(name))
