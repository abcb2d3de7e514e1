"""Inbreeding from what each ancestor gives: a sparse row of shares for each parent.

The row of a bird is half its sire's and half its dam's, and itself; laid side by
side and summed they give 1 + F (the matrix T of A = T D T'). Rows are kept as long
as the bird has young to come.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeVar

import numpy as np

from ledger.lineage.table import ranges

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

    from ledger.lineage.founders import RelatedFounders
    from ledger.lineage.table import ParentTable

_Number = TypeVar("_Number", np.int32, np.float64)

_ENTRIES_AT_ONCE = 200_000
"""Shares laid side by side at one time; bounds the memory, not the result."""


class Rows:
    """Rows of shares of those birds that will still be parents.

    Ancestors are named by their rank from the founders down, so that a bird comes
    after all its ancestors and every row is in order.
    """

    def __init__(self, birds: int) -> None:
        self._start = np.zeros(birds + 1, dtype=np.int64)
        self._end = np.zeros(birds + 1, dtype=np.int64)  # the last one: unknown
        self._ancestor = np.zeros(0, dtype=np.int32)
        self._share = np.zeros(0)
        self._used = 0

    def sizes(self, birds: NDArray[np.int64]) -> NDArray[np.int64]:
        """(k,) how many ancestors each has, itself included; -1 has none."""
        sizes: NDArray[np.int64] = self._end[birds] - self._start[birds]
        return sizes

    def of(
        self, birds: NDArray[np.int64]
    ) -> tuple[NDArray[np.int32], NDArray[np.float64]]:
        """Rows of these birds one after the other: ancestors and shares."""
        at = ranges(self._start[birds], self._end[birds])
        return self._ancestor[at], self._share[at]

    def add(
        self,
        birds: NDArray[np.int64],
        ancestor: NDArray[np.int32],
        share: NDArray[np.float64],
        sizes: NDArray[np.int64],
    ) -> None:
        """Keep the rows of some birds, given one after the other."""
        total = self._used + len(share)
        if total > len(self._share):
            room = max(total, len(self._share) * 5 // 4)
            self._ancestor = self._moved(self._ancestor, room)
            self._share = self._moved(self._share, room)
        self._ancestor[self._used : total] = ancestor
        self._share[self._used : total] = share
        ends = self._used + np.cumsum(sizes)
        self._start[birds], self._end[birds] = ends - sizes, ends
        self._used = total

    def keep(self, birds: NDArray[np.int64]) -> None:
        """Let the rows of all others go, once that frees a quarter of the room."""
        sizes = self.sizes(birds)
        if 4 * sizes.sum() > 3 * self._used:
            return
        at = ranges(self._start[birds], self._end[birds])
        self._ancestor, self._share = self._ancestor[at], self._share[at]
        ends = np.cumsum(sizes)
        self._start[birds], self._end[birds] = ends - sizes, ends
        self._used = len(at)

    def _moved(self, array: NDArray[_Number], room: int) -> NDArray[_Number]:
        larger = np.empty(room, dtype=array.dtype)
        larger[: self._used] = array[: self._used]
        return larger


@dataclass(frozen=True, eq=False)
class _Laid:
    """Shares of several pairs, summed, ordered by pair and ancestor."""

    pair: NDArray[np.int64]
    ancestor: NDArray[np.int64]
    share: NDArray[np.float64]


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
    n = len(table)
    order = np.concatenate(table.by_level) if n else np.zeros(0, dtype=np.int64)
    rank = np.zeros(n, dtype=np.int64)
    rank[order] = np.arange(n)
    inbred = np.zeros(n)
    own = np.ones(n)  # by rank
    if related is not None:
        inbred[related.places] = related.inbreeding
        own[rank[related.places]] += related.inbreeding
    rows = Rows(n)
    for level, here in enumerate(table.by_level):
        if level:
            _enter(table, rows, here, inbred, own, rank, last, related)
        else:
            parents = here[last[here] > 0]
            ones = np.ones(len(parents))
            rows.add(
                parents,
                rank[parents].astype(np.int32),
                ones,
                ones.astype(np.int64),
            )
        rows.keep(np.flatnonzero((table.level <= level) & (last > level)))
    return inbred


def _enter(
    table: ParentTable,
    rows: Rows,
    here: NDArray[np.int64],
    inbred: NDArray[np.float64],
    own: NDArray[np.float64],
    rank: NDArray[np.int64],
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
    own[rank[here]] = own_of_pair[pair_of]
    by_pair = np.argsort(pair_of, kind="stable")
    parents = here[by_pair][last[here[by_pair]] > level]
    their_pair = pair_of[by_pair][last[here[by_pair]] > level]
    of_pair = np.zeros(len(keys))
    for start, end in _portions(rows.sizes(sire) + rows.sizes(dam)):
        laid = _lay(rows, sire[start:end], dam[start:end], n)
        weights = laid.share * laid.share * own[laid.ancestor]
        total = np.bincount(laid.pair, weights, end - start).astype(np.float64)
        if related is not None:
            founders = rank[related.places]
            total = total + _among_founders(laid, founders, related, end - start)
        of_pair[start:end] = total + own_of_pair[start:end] - 1.0
        mine = (their_pair >= start) & (their_pair < end)
        _keep_rows(rows, laid, parents[mine], their_pair[mine] - start, rank)
    both = (sire >= 0) & (dam >= 0)
    of_pair[~both | (np.abs(of_pair) < 1e-14)] = 0.0
    inbred[here] = of_pair[pair_of]


def _portions(sizes: NDArray[np.int64]) -> Iterator[tuple[int, int]]:
    """Bounds of runs of pairs that are small enough to be laid at one time."""
    total = np.cumsum(sizes)
    start = 0
    while start < len(sizes):
        before = int(total[start - 1]) if start else 0
        end = int(np.searchsorted(total, before + _ENTRIES_AT_ONCE, side="right"))
        end = max(end, start + 1)
        yield start, end
        start = end


def _lay(rows: Rows, sire: NDArray[np.int64], dam: NDArray[np.int64], n: int) -> _Laid:
    """Half the sire's row and half the dam's, summed where they meet."""
    parents = np.stack([sire, dam], axis=1).ravel()
    ancestor, share = rows.of(parents)
    base = np.repeat(np.arange(len(sire)) * n, 2)
    keys = np.repeat(base, rows.sizes(parents)) + ancestor
    if len(sire) * n < 2**31:  # half the bytes sort in half the time
        keys = keys.astype(np.int32)
    # Both rows are in order already; a stable sort only merges them.
    order = np.argsort(keys, kind="stable")
    keys = keys[order]
    starts = np.flatnonzero(np.diff(keys, prepend=-1))
    share = np.add.reduceat(share[order], starts) if len(starts) else share
    share *= 0.5
    pair, met = np.divmod(keys[starts].astype(np.int64), n)
    return _Laid(pair, met, share)


def _keep_rows(
    rows: Rows,
    laid: _Laid,
    birds: NDArray[np.int64],
    pair: NDArray[np.int64],
    rank: NDArray[np.int64],
) -> None:
    """The rows of new parents: what their pair gives, and themselves."""
    if not len(birds):
        return
    bounds = np.searchsorted(laid.pair, np.arange(int(pair.max()) + 2))
    starts, ends = bounds[pair], bounds[pair + 1]
    at = ranges(starts, ends)
    places = np.cumsum(ends - starts)
    rows.add(
        birds,
        np.insert(laid.ancestor[at], places, rank[birds]).astype(np.int32),
        np.insert(laid.share[at], places, 1.0),
        ends - starts + 1,
    )


def _among_founders(
    laid: _Laid, founders: NDArray[np.int64], related: RelatedFounders, pairs: int
) -> NDArray[np.float64]:
    """What related founders add beyond what each gives of its own."""
    total: NDArray[np.float64] = np.zeros(pairs)
    column = np.full(int(max(laid.ancestor.max(initial=0), founders.max())) + 1, -1)
    column[founders] = np.arange(len(founders))
    named = column[laid.ancestor] >= 0
    met, row = np.unique(laid.pair[named], return_inverse=True)
    shares = np.zeros((len(met), len(founders)))
    shares[row, column[laid.ancestor[named]]] = laid.share[named]
    total[met] = np.einsum("pi,ij,pj->p", shares, related.between, shares)
    return total
