"""How much of each founder's genes is still carried by a group.

Retention is the chance that a gene of the founder, one of its two at any place, is
carried by at least one bird of the group. Where few transmissions matter, all ways
they can fall are counted and the answer is exact; else genes are dropped down the
table at random many times.

Source:
    J. W. MacCluer, J. L. VandeBerg, B. Read and O. A. Ryder, "Pedigree analysis by
    computer simulation", Zoo Biology 5 (1986), 147-160 (gene dropping; from memory).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from ledger.lineage.ancestry import with_ancestors

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from ledger.lineage.table import ParentTable

    _Edges = list[tuple[int, int, int]]

_COUNTED_AT_MOST = 14
"""Transmissions whose 2^n ways are counted out."""
_COPIES_AT_MOST = 40_000_000
"""Genes handed down in all drops; a large table gets fewer drops."""
_DROPS_AT_LEAST = 1_000
_CELLS_AT_ONCE = 8_000_000


@dataclass(frozen=True, eq=False)
class Retention:
    """What is left of each founder."""

    of_founder: NDArray[np.float64]
    """(f,) chance that a gene is still there, 0 to 1."""
    is_exact: NDArray[np.bool_]
    """(f,) counted out; else from gene drops."""
    drops: int
    """How many gene drops were made; 0 if all is exact."""
    seed: int

    @property
    def how(self) -> str:
        """How it was found, as a phrase."""
        if self.is_exact.all():
            return "counted exactly"
        error = 0.5 / self.drops**0.5
        return (
            f"from {self.drops:,} gene drops, seed {self.seed}, each right to "
            f"about {error:.3f}"
        )


def retention(
    table: ParentTable,
    founders: NDArray[np.int64],
    group: NDArray[np.int64],
    *,
    drops: int = 10_000,
    seed: int = 1,
) -> Retention:
    """Retention of founders in a group.

    Args:
        table: The parents.
        founders: (f,) places of founders.
        group: (g,) places of the birds that live.
        drops: Gene drops where it cannot be counted out; fewer for a large table,
            but 1,000 at least.
        seed: Of the gene drops: the same seed gives the same answer.
    """
    leads = with_ancestors(table, group)
    kept = np.zeros(len(founders))
    exact = np.zeros(len(founders), dtype=bool)
    young = _Young.of(table, leads)
    for i, founder in enumerate(founders.tolist()):
        edges = young.below(founder, table.level)
        if edges is not None:
            exact[i] = True
            kept[i] = _counted(founder, edges, group)
    drops = min(drops, max(_DROPS_AT_LEAST, _COPIES_AT_MOST // (2 * leads.sum() + 1)))
    if not exact.all():
        others = founders[~exact]
        kept[~exact] = _dropped(table, others, group, leads, drops, seed)
    return Retention(kept, exact, 0 if exact.all() else drops, seed)


@dataclass(frozen=True, eq=False)
class _Young:
    """Who is whose young, among those that lead to the group."""

    order: NDArray[np.int64]
    """Transmissions, those of one parent together."""
    starts: NDArray[np.int64]
    """(n + 1,) where each parent's begin in `order`."""
    young: NDArray[np.int64]
    side: NDArray[np.int64]
    """0 from the sire, 1 from the dam."""

    @classmethod
    def of(cls, table: ParentTable, leads: NDArray[np.bool_]) -> _Young:
        """Those of a table."""
        here = np.flatnonzero(leads)
        parent = np.concatenate([table.sire[here], table.dam[here]])
        young, side = np.tile(here, 2), np.repeat([0, 1], len(here))
        order = np.argsort(parent, kind="stable")
        starts = np.searchsorted(parent[order], np.arange(len(table) + 1))
        return cls(order, starts, young, side)

    def below(self, founder: int, level: NDArray[np.int64]) -> _Edges | None:
        """Transmissions (parent, young, side) below a founder; None if too many."""
        edges: _Edges = []
        wanted, seen = [founder], {founder}
        while wanted:
            parent = wanted.pop()
            own = self.order[self.starts[parent] : self.starts[parent + 1]]
            if len(edges) + len(own) > _COUNTED_AT_MOST:
                return None
            for young, side in zip(
                self.young[own].tolist(), self.side[own].tolist(), strict=True
            ):
                edges.append((parent, young, side))
                if young not in seen:
                    seen.add(young)
                    wanted.append(young)
        # Each bird after all its ancestors.
        return sorted(edges, key=lambda it: (level[it[1]], it[1], it[2]))


def _counted(founder: int, edges: _Edges, group: NDArray[np.int64]) -> float:
    """Follow one gene of the founder through every way the transmissions can fall."""
    ways = np.arange(1 << len(edges))
    # The gene on the side of the sire, and on the side of the dam.
    none = np.zeros(len(ways), dtype=bool)
    carries = {founder: [~none, none]}
    for bit, (parent, young, side) in enumerate(edges):
        from_dam = (ways >> bit) & 1 == 1
        gene = np.where(from_dam, carries[parent][1], carries[parent][0])
        carries.setdefault(young, [none, none])[side] = gene
    there = none.copy()
    for bird in set(group.tolist()) & carries.keys():
        there |= carries[bird][0] | carries[bird][1]
    return float(there.mean())


def _dropped(
    table: ParentTable,
    founders: NDArray[np.int64],
    group: NDArray[np.int64],
    leads: NDArray[np.bool_],
    drops: int,
    seed: int,
) -> NDArray[np.float64]:
    """Drop two marked genes of each founder down the table, many times."""
    random = np.random.default_rng(seed)
    taken = np.flatnonzero(leads)
    slot = np.full(len(table) + 1, len(taken), dtype=np.int64)
    slot[taken] = np.arange(len(taken))
    genes = 2 * len(founders)
    found = np.zeros(genes)
    at_once = max(1, min(drops, _CELLS_AT_ONCE // max(2 * len(taken) + genes, 1)))
    for start in range(0, drops, at_once):
        times = min(at_once, drops - start)
        # Gene `genes` is any that is not looked for.
        carried = np.full((len(taken) + 1, 2, times), genes, dtype=np.int32)
        marks = np.arange(genes, dtype=np.int32).reshape(-1, 2, 1)
        carried[slot[founders]] = marks
        for birds in table.by_level[1:]:
            here = birds[leads[birds]]
            for side, parents in ((0, table.sire[here]), (1, table.dam[here])):
                side_of_parent = random.integers(0, 2, (len(here), times), np.int8)
                both = carried[slot[parents]]
                carried[slot[here], side] = np.where(
                    side_of_parent == 1, both[:, 1], both[:, 0]
                )
        there = np.zeros((genes + 1, times), dtype=bool)
        there[carried[slot[group]].reshape(-1, times), np.arange(times)] = True
        found += there[:-1].sum(axis=1)
    kept: NDArray[np.float64] = found.reshape(-1, 2).mean(axis=1) / drops
    # A founder that gave something is never quite gone, however rarely it is met.
    return np.maximum(kept, 0.5 / drops)
