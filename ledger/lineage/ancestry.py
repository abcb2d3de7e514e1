"""Ancestors and young of birds, and how much of them is known."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from ledger.lineage.table import ParentTable


def with_ancestors(table: ParentTable, birds: NDArray[np.int64]) -> NDArray[np.bool_]:
    """(n,) true for these birds and all their ancestors.

    Args:
        table: The parents.
        birds: (k,) places.
    """
    found = np.zeros(len(table), dtype=bool)
    found[birds] = True
    new = np.unique(birds)
    while len(new):
        up = np.concatenate([table.sire[new], table.dam[new]])
        new = np.unique(up[up >= 0])
        new = new[~found[new]]
        found[new] = True
    return found


def ancestors(table: ParentTable, bird: int) -> NDArray[np.int64]:
    """Places of all ancestors of a bird, without itself, oldest first."""
    found = with_ancestors(table, np.array([bird]))
    found[bird] = False
    return _in_order(table, found)


def descendants(table: ParentTable, bird: int) -> NDArray[np.int64]:
    """Places of all that descend from a bird, without itself, oldest first."""
    found = np.zeros(len(table) + 1, dtype=bool)  # the last: unknown parents
    found[bird] = True
    for birds in table.by_level[int(table.level[bird]) + 1 :]:
        found[birds] = found[table.sire[birds]] | found[table.dam[birds]]
    found[bird] = False
    return _in_order(table, found[:-1])


def _in_order(table: ParentTable, found: NDArray[np.bool_]) -> NDArray[np.int64]:
    places = np.flatnonzero(found)
    ordered: NDArray[np.int64] = places[np.argsort(table.level[places], kind="stable")]
    return ordered


def generations_known(table: ParentTable) -> NDArray[np.float64]:
    """How many whole generations of ancestors are known, gaps counted in part.

    The sum over known ancestors of (1/2)^generations: 1 for two known parents, 2
    when all four grandparents are known as well, 1.5 for the parents of one side
    only. Known as the equivalent of complete generations.

    Returns:
        (n,) in generations, 0 for founders.

    Source:
        Common practice; e.g. V. Maignel, D. Boichard and E. Verrier, "Genetic
        variability of French dairy breeds estimated from pedigree information",
        Interbull Bulletin 14 (1996), 49-54 (from memory).
    """
    known = np.zeros(len(table) + 1)
    known[-1] = -1.0  # an unknown parent adds nothing
    for birds in table.by_level[1:]:
        known[birds] = 0.5 * (known[table.sire[birds]] + known[table.dam[birds]] + 2.0)
    return known[:-1]


def completeness(table: ParentTable, generations: int) -> NDArray[np.float64]:
    """Which part of the ancestors is known, generation by generation.

    Args:
        table: The parents.
        generations: How many to look at: 1 is the parents.

    Returns:
        (n, generations) fractions: of 2 parents, of 4 grandparents, and so on.
    """
    part = np.zeros((len(table), generations))
    above = np.ones(len(table) + 1)
    above[-1] = 0.0
    for generation in range(generations):
        here = 0.5 * (above[table.sire] + above[table.dam])
        part[:, generation] = here
        above[:-1] = here
    return part
