"""Inbreeding down the generations, holding only kinships still needed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from ledger.lineage.founders import RelatedFounders
    from ledger.lineage.table import ParentTable


@dataclass(frozen=True, eq=False)
class Plan:
    """Until which level each bird is needed as a parent, and what that costs."""

    last: NDArray[np.int64]
    """(n,) level of its youngest young; -1 without young."""
    cells_in_all: int
    """Kinships computed over all levels."""
    cells_at_most: int
    """Kinships held at one time."""

    @classmethod
    def of(cls, table: ParentTable) -> Plan:
        """The plan for a table."""
        last = np.full(len(table), -1, dtype=np.int64)
        for parent in (table.sire, table.dam):
            known = parent >= 0
            np.maximum.at(last, parent[known], table.level[known])
        parents = last >= 0
        enters = np.bincount(table.level[parents], minlength=table.depth + 2)
        leaves = np.bincount(last[parents], minlength=table.depth + 2)
        # After level g: those of levels up to g whose youngest young is later.
        held = np.cumsum(enters - leaves).astype(np.int64) + 1
        cells = held * held
        return cls(last, int(cells.sum()), int(cells.max(initial=0)))


class _Room:
    """Arrays used again and again: fresh memory costs more than the sums in it."""

    def __init__(self) -> None:
        self._kept: dict[str, NDArray[np.float64]] = {}

    def array(self, name: str, rows: int, columns: int) -> NDArray[np.float64]:
        """(rows, columns) with whatever was left in it."""
        cells = rows * columns
        kept = self._kept.get(name)
        if kept is None or len(kept) < cells:
            kept = self._kept[name] = np.empty(cells)
        return kept[:cells].reshape(rows, columns)


def tabular(
    table: ParentTable, plan: Plan, related: RelatedFounders | None = None
) -> NDArray[np.float64]:
    """F of every bird by the tabular method, one level after the other.

    Args:
        table: The parents.
        plan: Its plan; memory is four times 8 bytes times `cells_at_most`.
        related: Founders that are kin.

    Returns:
        (n,) F.
    """
    inbred = np.zeros(len(table))
    held = table.by_level[0][plan.last[table.by_level[0]] > 0]
    # Row and column -1 stand for an unknown parent and hold zeros.
    kinship = np.zeros((len(held) + 1, len(held) + 1))
    np.fill_diagonal(kinship[:-1, :-1], 0.5)
    if related is not None:
        inbred[related.places] = related.inbreeding
        _enter_related(kinship, held, related)
    slot = np.full(len(table) + 1, -1, dtype=np.int64)
    slot[held] = np.arange(len(held))
    room = _Room()
    for level in range(1, table.depth + 1):
        here = table.by_level[level]
        inbred[here] = kinship[slot[table.sire[here]], slot[table.dam[here]]]
        new = here[plan.last[here] > level]
        stay = np.flatnonzero(plan.last[held] > level)
        kinship = _next(
            kinship,
            room.array(f"level {level % 2}", *[len(stay) + len(new) + 1] * 2),
            stay,
            np.stack([slot[table.sire[new]], slot[table.dam[new]]]),
            inbred[new],
            room,
        )
        slot[held] = -1
        held = np.concatenate([held[stay], new])
        slot[held] = np.arange(len(held))
    return inbred


def _enter_related(
    kinship: NDArray[np.float64],
    held: NDArray[np.int64],
    related: RelatedFounders,
) -> None:
    at = {int(bird): i for i, bird in enumerate(held)}
    kept = [i for i, bird in enumerate(related.places) if int(bird) in at]
    slots = [at[int(related.places[i])] for i in kept]
    kinship[np.ix_(slots, slots)] = related.kinship[np.ix_(kept, kept)]


def _next(
    kinship: NDArray[np.float64],
    after: NDArray[np.float64],
    stay: NDArray[np.int64],
    parents: NDArray[np.int64],
    inbred: NDArray[np.float64],
    room: _Room,
) -> NDArray[np.float64]:
    """Fill in kinship of those that stay and those that are new.

    Args:
        kinship: (h + 1, h + 1), the last row and column zeros.
        after: (s + m + 1, s + m + 1), to be filled.
        stay: (s,) slots of those that stay.
        parents: (2, m) slots of the new birds' sires and dams, -1 unknown.
        inbred: (m,) F of the new birds.
        room: Where to work.

    Returns:
        `after`.
    """
    stays, wide = len(stay), len(kinship)
    after[-1], after[:, -1] = 0.0, 0.0
    if stays:
        some = room.array("rows", stays, wide)
        np.take(kinship, stay, axis=0, out=some, mode="wrap")
        after[:stays, :stays] = some[:, stay]
    if not len(inbred):
        return after
    # Full siblings are alike to all others: one row for each family.
    families, family = np.unique(parents, axis=1, return_inverse=True)
    rows = _halves(kinship, families, 0, room, "rows", wide)
    block = _halves(rows, families, 1, room, "block", len(rows))
    family = family.reshape(-1)
    if stays:
        to_old = rows[:, stay][family]
        after[stays:-1, :stays] = to_old
        after[:stays, stays:-1] = to_old.T
    spread = room.array("rows", len(family), len(rows))
    np.take(block, family, axis=0, out=spread, mode="wrap")
    after[stays:-1, stays:-1] = spread[:, family]
    new = np.arange(stays, stays + len(inbred))
    after[new, new] = 0.5 * (1.0 + inbred)
    return after


def _halves(
    kinship: NDArray[np.float64],
    families: NDArray[np.int64],
    axis: int,
    room: _Room,
    name: str,
    across: int,
) -> NDArray[np.float64]:
    """Half of each sire's row (or column) and half of each dam's."""
    m = families.shape[1]
    shape = (m, across) if axis == 0 else (across, m)
    half, other = room.array(name, *shape), room.array("other", *shape)
    np.take(kinship, families[0], axis=axis, out=half, mode="wrap")
    np.take(kinship, families[1], axis=axis, out=other, mode="wrap")
    half += other
    half *= 0.5
    return half
