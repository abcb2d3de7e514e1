"""Inbreeding from what each ancestor gives: a sparse row of shares for each pair.

The row of a pair is half of what its sire has and half of what its dam has; the row
of a bird is that of its parents, and itself. The squares of a pair's shares, each
weighted by what that ancestor adds of its own, sum to 1 + F of the young less what
the young add (the matrix T of A = T D T'). Rows are kept as long as one of the young
is still to be a parent.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, TypeVar

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

    from ledger.lineage.founders import RelatedFounders
    from ledger.lineage.table import ParentTable

_Number = TypeVar("_Number", np.int32, np.float64)

_ENTRIES_AT_ONCE = 1_000_000
"""Shares laid together at one time; bounds the memory, not the result."""
_FULL = 0.6
"""Rows that are over are let go once less than this part of the room is in use."""


class _Rows:
    """Rows of shares, as one table of sparse rows.

    Row k of the first n is bird k alone; the rows of pairs stand behind these.
    """

    def __init__(self, birds: int) -> None:
        self._birds = birds
        self._ancestor = np.arange(birds, dtype=np.int32)
        self._share = np.ones(birds)
        self._ends = np.arange(birds + 1)
        self._last = np.zeros(0, dtype=np.int64)  # of rows behind the first n
        self.of_bird = np.full(birds + 1, -1)
        """(n + 1,) row of each bird's parents, -1 without; the last: no bird."""

    @property
    def _used(self) -> int:
        return int(self._ends[-1])

    def sizes(self, birds: NDArray[np.int64]) -> NDArray[np.int64]:
        """(k,) how many ancestors each has, itself included; -1 has none."""
        row = self.of_bird[birds]
        above = np.where(row >= 0, self._ends[row + 1] - self._ends[row], 0)
        sizes: NDArray[np.int64] = above + (birds >= 0)
        return sizes

    def of_pairs(self, sire: NDArray[np.int64], dam: NDArray[np.int64]) -> Any:
        """Half the sire's row and half the dam's: a row of sparse shares for each."""
        from scipy.sparse import csr_array

        parts = np.stack([sire, dam, self.of_bird[sire], self.of_bird[dam]], axis=1)
        there = parts >= 0
        ends = np.append(0, np.cumsum(there.sum(axis=1))).astype(np.int32)
        chosen = parts[there].astype(np.int32)
        halves = csr_array(
            (np.full(len(chosen), 0.5), chosen, ends),
            shape=(len(sire), len(self._ends) - 1),
        )
        return halves @ self._table()

    def _table(self) -> Any:
        from scipy.sparse import csr_array

        cells = self._share[: self._used], self._ancestor[: self._used]
        small = self._used < np.iinfo(np.int32).max
        ends = self._ends.astype(np.int32) if small else self._ends
        return csr_array((*cells, ends), shape=(len(ends) - 1, self._birds))

    def add(self, laid: Any, last: NDArray[np.int64]) -> NDArray[np.int64]:
        """Keep rows of pairs behind the others.

        Args:
            laid: As `of_pairs` gives them.
            last: Level at which each is used last.

        Returns:
            (k,) the number of each row.
        """
        used, rows = self._used, len(self._ends) - 1
        total = used + laid.nnz
        if total > len(self._share):  # room that is never used costs nothing
            self._share = _moved(self._share, used, 2 * total)
            self._ancestor = _moved(self._ancestor, used, 2 * total)
        self._share[used:total] = laid.data
        self._ancestor[used:total] = laid.indices
        self._ends = np.concatenate([self._ends, used + laid.indptr[1:]])
        self._last = np.concatenate([self._last, last])
        return np.arange(rows, rows + len(last))

    def drop(self, level: int) -> None:
        """Let rows go that are not used below a level, once that frees much room."""
        n = self._birds
        stay = np.flatnonzero(self._last > level) + n
        if (self._ends[stay + 1] - self._ends[stay]).sum() + n >= _FULL * self._used:
            return
        kept = np.concatenate([np.arange(n), stay])
        table = self._table()[kept]
        self._share, self._ancestor = table.data, table.indices
        numbers = np.full(len(self._ends), -1)  # the last: no row
        numbers[kept] = np.arange(len(kept))
        self.of_bird = numbers[self.of_bird]
        self._ends, self._last = table.indptr.astype(np.int64), self._last[stay - n]


def _moved(array: NDArray[_Number], used: int, room: int) -> NDArray[_Number]:
    larger = np.empty(room, dtype=array.dtype)
    larger[:used] = array[:used]
    return larger


def by_shares(
    table: ParentTable,
    last: NDArray[np.int64],
    related: RelatedFounders | None = None,
) -> NDArray[np.float64]:
    """F of every bird from sparse rows of shares.

    Args:
        table: The parents.
        last: (n,) level of each bird's youngest young, -1 without.
        related: Founders that are kin.

    Returns:
        (n,) F.
    """
    inbred, own = np.zeros(len(table)), np.ones(len(table))
    if related is not None:
        inbred[related.places] = related.inbreeding
        own[related.places] += related.inbreeding
    rows = _Rows(len(table))
    for level, here in enumerate(table.by_level[1:], 1):
        _enter(table, rows, here, inbred, own, last, related)
        rows.drop(level)
    return inbred


def _enter(
    table: ParentTable,
    rows: _Rows,
    here: NDArray[np.int64],
    inbred: NDArray[np.float64],
    own: NDArray[np.float64],
    last: NDArray[np.int64],
    related: RelatedFounders | None,
) -> None:
    """F and rows of one level, each pair of parents once."""
    n, level = len(table), int(table.level[here[0]])
    keys, pair_of = np.unique(
        (table.sire[here] + 1) * (n + 1) + table.dam[here] + 1, return_inverse=True
    )
    sire, dam = keys // (n + 1) - 1, keys % (n + 1) - 1
    own_of_pair = 1.0 - np.where(sire >= 0, 0.25 + 0.25 * inbred[sire], 0.0)
    own_of_pair -= np.where(dam >= 0, 0.25 + 0.25 * inbred[dam], 0.0)
    own[here] = own_of_pair[pair_of]
    last_of_pair = np.full(len(keys), -1)
    np.maximum.at(last_of_pair, pair_of, last[here])
    of_pair, row = np.zeros(len(keys)), np.full(len(keys), -1)
    for some in _portions(rows.sizes(sire) + rows.sizes(dam)):
        laid = rows.of_pairs(sire[some], dam[some])
        weights = laid.data * laid.data
        weights *= own[laid.indices]
        of_pair[some] = np.add.reduceat(weights, laid.indptr[:-1])
        if related is not None:
            of_pair[some] += _among_founders(laid, related)
        stay = np.flatnonzero(last_of_pair[some] > level)
        if len(stay):
            kept = laid if len(stay) == laid.shape[0] else laid[stay]
            row[some][stay] = rows.add(kept, last_of_pair[some][stay])
    of_pair += own_of_pair - 1.0
    both = (sire >= 0) & (dam >= 0)
    # What is left of numbers such as 0.1 + 0.2 - 0.3 is no inbreeding.
    of_pair[~both | (np.abs(of_pair) < 1e-14)] = 0.0
    inbred[here], rows.of_bird[here] = of_pair[pair_of], row[pair_of]


def _portions(sizes: NDArray[np.int64]) -> Iterator[slice]:
    """Runs of pairs that are small enough to be laid at one time."""
    total = np.cumsum(sizes)
    start = 0
    while start < len(sizes):
        before = int(total[start - 1]) if start else 0
        end = int(np.searchsorted(total, before + _ENTRIES_AT_ONCE, side="right"))
        end = max(end, start + 1)
        yield slice(start, end)
        start = end


def _among_founders(laid: Any, related: RelatedFounders) -> NDArray[np.float64]:
    """(p,) what related founders add beyond what each gives of its own."""
    shares = laid[:, related.places].toarray()
    total: NDArray[np.float64] = np.einsum(
        "pi,ij,pj->p", shares, related.between, shares
    )
    return total
