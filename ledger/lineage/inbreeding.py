"""Inbreeding of every bird, and kinship of single pairs, without the whole matrix.

A pair's kinship is the inbreeding of a young of theirs. Two exact ways lead there,
and the cheaper one is taken for each table:

* down the generations with the kinships of those birds only that will still be
  parents (`tabular`): good for closed flocks, however many generations deep;
* with a sparse row of ancestors for each pair (`by_shares`): good for wide and
  shallow tables.

Full siblings share their inbreeding, so each pair of parents is done once; species
share no ancestors, so each is done alone.

Sources:
    T. H. E. Meuwissen and Z. Luo, "Computing inbreeding coefficients in large
    populations", Genetics Selection Evolution 24 (1992), 305-313 (the sum over
    ancestors of squared contributions). C. R. Henderson, "A simple method for
    computing the inverse of a numerator relationship matrix", Biometrics 32
    (1976), 69-83 (the part of an own: D).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from ledger.lineage.founders import RelatedFounders
from ledger.lineage.shares import by_shares
from ledger.lineage.table import UNKNOWN, ParentTable
from ledger.lineage.tabular import Plan, tabular
from ledger.lineage.trace import entries_of_a_pair, trace

if TYPE_CHECKING:
    from numpy.typing import NDArray

_CELLS_AT_MOST = 9_000_000
"""Kinships held at one time (8 bytes each, four tables at the change of level)."""
_APART_FROM = 20_000
"""Birds from which on it is worth looking for groups without a common ancestor."""
_ALONE_FROM = 1_000
"""Birds without a common ancestor with others, from which on they are done alone."""
_CELL_COST, _ENTRY_COST = 1.0, 3.0
"""Only their ratio matters, for choosing a way; as measured."""


def inbreeding(
    table: ParentTable, related: RelatedFounders | None = None
) -> NDArray[np.float64]:
    """Wright's coefficient of inbreeding of every bird.

    An unknown parent counts as an unrelated founder: a gap in the book makes F
    too low, never too high.

    Args:
        table: The parents.
        related: Founders that are kin; None: none are.

    Returns:
        (n,) F, each a fraction in [0, 1].
    """
    apart = _apart(table)
    if len(apart) == 1:
        return _together(table, related)
    inbred = np.zeros(len(table))
    for places in apart:
        part = _part(table, places)
        inbred[places] = _together(part, _among(related, places, len(table)))
    return inbred


def _together(
    table: ParentTable, related: RelatedFounders | None
) -> NDArray[np.float64]:
    """F of every bird of one table, the cheaper way."""
    plan = Plan.of(table)
    if plan.cells_at_most <= _CELLS_AT_MOST:
        sire, dam = pairs_of_parents(table)
        entries = len(sire) * entries_of_a_pair(table, sire, dam)
        if plan.cells_in_all * _CELL_COST < entries * _ENTRY_COST:
            return tabular(table, plan, related)
    return by_shares(table, plan.last, related)


def _apart(table: ParentTable) -> list[NDArray[np.int64]]:
    """Places of birds that share no ancestor with others, as species do.

    Small groups stay together: only large ones cost less alone.
    """
    n = len(table)
    if n < _APART_FROM:
        return [np.arange(n)]
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    parent = np.concatenate([table.sire, table.dam])
    known = parent >= 0
    young = np.tile(np.arange(n), 2)[known]
    links = coo_array((np.ones(len(young)), (young, parent[known])), shape=(n, n))
    count, group = connected_components(links, directed=False)
    sizes = np.bincount(group, minlength=count)
    large = np.flatnonzero(sizes >= _ALONE_FROM)
    apart = [np.flatnonzero(group == one) for one in large]
    rest = np.flatnonzero(sizes[group] < _ALONE_FROM)
    return [*apart, rest] if len(rest) or not apart else apart


def _part(table: ParentTable, places: NDArray[np.int64]) -> ParentTable:
    """The table of some birds and all their ancestors."""
    slot = np.full(len(table) + 1, UNKNOWN)
    slot[places] = np.arange(len(places))
    return ParentTable(
        tuple(table.ids[place] for place in places.tolist()),
        slot[table.sire[places]],
        slot[table.dam[places]],
        table.level[places],
    )


def _among(
    related: RelatedFounders | None, places: NDArray[np.int64], birds: int
) -> RelatedFounders | None:
    """Kin of founders among some birds; that with others bears on no F of these."""
    if related is None:
        return None
    slot = np.full(birds, UNKNOWN)
    slot[places] = np.arange(len(places))
    here = np.flatnonzero(slot[related.places] >= 0)
    if not len(here):
        return None
    kinship = related.kinship[np.ix_(here, here)]
    return RelatedFounders(slot[related.places[here]], kinship)


def pairs_of_parents(
    table: ParentTable,
) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Each pair of known parents once: (k,) sires and (k,) dams."""
    n = max(len(table), 1)
    both = (table.sire >= 0) & (table.dam >= 0)
    keys = np.unique(table.sire[both] * n + table.dam[both])
    return keys // n, keys % n


def own_part(
    table: ParentTable,
    inbred: NDArray[np.float64],
    places: NDArray[np.int64] | slice = slice(None),
) -> NDArray[np.float64]:
    """Variance a bird adds to what its parents give (Henderson's D).

    1 for founders (plus F where founders are inbred), 3/4 - F/4 with one known
    parent, 1/2 - (F of sire + F of dam)/4 with two.
    """
    sire, dam = table.sire[places], table.dam[places]
    part: NDArray[np.float64] = (
        1.0
        - np.where(sire >= 0, 0.25 + 0.25 * inbred[sire], 0.0)
        - np.where(dam >= 0, 0.25 + 0.25 * inbred[dam], 0.0)
    )
    founder = (sire < 0) & (dam < 0)
    part[founder] += inbred[places][founder]
    return part


def kinship_of_pairs(
    table: ParentTable,
    first: NDArray[np.int64],
    second: NDArray[np.int64],
    inbred: NDArray[np.float64],
    related: RelatedFounders | None = None,
) -> NDArray[np.float64]:
    """Kinship of each first with its second; a bird with itself has (1 + F) / 2.

    Args:
        table: The parents.
        first: (k,) places.
        second: (k,) places.
        inbred: (n,) F of all, as `inbreeding` gives it.
        related: The same as for `inbreeding`.

    Returns:
        (k,) kinship, each a fraction in [0, 1].
    """
    return trace(table, first, second, own_part(table, inbred), inbred, related)
