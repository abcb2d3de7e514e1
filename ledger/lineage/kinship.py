"""Kinship between sets of birds, and its mean, without the whole matrix.

The matrix of relationships is A = T D T': T says how much of each ancestor a bird
has, D what each adds of its own. A product with A is one walk up and one walk down
the levels, and kinship is half of A.

Source:
    J.-J. Colleau, "An indirect approach to the extensive calculation of relationship
    coefficients", Genetics Selection Evolution 34 (2002), 409-421.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from ledger.lineage.ancestry import with_ancestors
from ledger.lineage.inbreeding import own_part

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from ledger.lineage.founders import RelatedFounders
    from ledger.lineage.table import ParentTable

_COLUMNS_AT_ONCE = 128


def kinship_between(
    table: ParentTable,
    rows: NDArray[np.int64],
    columns: NDArray[np.int64],
    inbred: NDArray[np.float64],
    related: RelatedFounders | None = None,
) -> NDArray[np.float64]:
    """Kinship of each of some birds with each of others.

    Args:
        table: The parents.
        rows: (r,) places.
        columns: (c,) places.
        inbred: (n,) F of all, as `inbreeding` gives it.
        related: The same as for `inbreeding`.

    Returns:
        (r, c) kinship; a bird with itself has (1 + F) / 2.
    """
    walk = _Walk.of(table, np.concatenate([rows, columns]), inbred, related)
    found = np.empty((len(rows), len(columns)))
    for start in range(0, len(columns), _COLUMNS_AT_ONCE):
        some = columns[start : start + _COLUMNS_AT_ONCE]
        vectors = np.zeros((len(walk.own), len(some)))
        # A bird may be asked for twice; each column is its own vector.
        vectors[walk.slot[some], np.arange(len(some))] = 0.5
        walk.multiply(vectors)
        found[:, start : start + len(some)] = vectors[walk.slot[rows]]
    return found


def mean_kinship(
    table: ParentTable,
    group: NDArray[np.int64],
    inbred: NDArray[np.float64],
    related: RelatedFounders | None = None,
    of: NDArray[np.int64] | None = None,
) -> NDArray[np.float64]:
    """Mean kinship of birds with a group.

    Args:
        table: The parents.
        group: (g,) places, each once; a member's kinship with itself counts.
        inbred: (n,) F of all.
        related: The same as for `inbreeding`.
        of: (k,) whose mean kinship; None: that of the group's members.

    Returns:
        (k,) mean kinship; zeros for an empty group.

    Source:
        Kinship with itself included as in J. D. Ballou and R. C. Lacy, "Identifying
        genetically important individuals for management of genetic variation in
        pedigreed populations" (1995), from memory.
    """
    of = group if of is None else of
    if not len(group):
        return np.zeros(len(of))
    walk = _Walk.of(table, np.concatenate([group, of]), inbred, related)
    vector = np.zeros((len(walk.own), 1))
    vector[walk.slot[group], 0] = 0.5 / len(group)
    walk.multiply(vector)
    mean: NDArray[np.float64] = vector[walk.slot[of], 0]
    return mean


@dataclass(frozen=True, eq=False)
class _Step:
    """One level of a walk, in slots of the birds that take part."""

    birds: NDArray[np.int64]
    sire: NDArray[np.int64]
    """(b,) the last slot, which holds zeros, stands for an unknown parent."""
    dam: NDArray[np.int64]
    givers: NDArray[np.int64]
    """Birds of this level, once for each known parent, ordered by that parent."""
    starts: NDArray[np.int64]
    """Where in `givers` each parent's young begin."""
    parents: NDArray[np.int64]
    """The parents in that order, each once."""


@dataclass(frozen=True, eq=False)
class _Walk:
    """The birds asked for and their ancestors, level by level."""

    slot: NDArray[np.int64]
    """(n,) slot of each bird of the table; -1 for those that take no part."""
    own: NDArray[np.float64]
    """(s + 1,) Henderson's D by slot; the last is 0."""
    steps: tuple[_Step, ...]
    """Levels from 1 on."""
    related: RelatedFounders | None

    @classmethod
    def of(
        cls,
        table: ParentTable,
        birds: NDArray[np.int64],
        inbred: NDArray[np.float64],
        related: RelatedFounders | None,
    ) -> _Walk:
        """The walk that leads to these birds."""
        taken = np.flatnonzero(with_ancestors(table, birds))
        taken = taken[np.argsort(table.level[taken], kind="stable")]
        slot = np.full(len(table) + 1, -1, dtype=np.int64)
        slot[taken] = np.arange(len(taken))
        slot[-1] = len(taken)
        own = np.append(own_part(table, inbred, taken), 0.0)
        bounds = np.searchsorted(table.level[taken], np.arange(1, table.depth + 2))
        steps = tuple(
            _step(table, taken[start:end], slot)
            for start, end in pairwise(bounds)
            if end > start
        )
        return cls(slot, own, steps, related)

    def multiply(self, vectors: NDArray[np.float64]) -> None:
        """Turn each column v into A v, in place.

        Args:
            vectors: (s + 1, k) by slot, the last row zeros.
        """
        for step in reversed(self.steps):
            if len(step.givers):
                given = np.add.reduceat(vectors[step.givers], step.starts, axis=0)
                vectors[step.parents] += 0.5 * given
        between = self._among_founders(vectors)
        vectors *= self.own[:, None]
        if between is not None:
            vectors[between[0]] += between[1]
        for step in self.steps:
            down = vectors[step.sire]
            down += vectors[step.dam]
            down *= 0.5
            vectors[step.birds] += down

    def _among_founders(
        self, vectors: NDArray[np.float64]
    ) -> tuple[NDArray[np.int64], NDArray[np.float64]] | None:
        if self.related is None:
            return None
        slots = self.slot[self.related.places]
        here = np.flatnonzero(slots >= 0)
        between = self.related.between[np.ix_(here, here)]
        return slots[here], between @ vectors[slots[here]]


def _step(
    table: ParentTable, birds: NDArray[np.int64], slot: NDArray[np.int64]
) -> _Step:
    # Place -1, an unknown parent, leads to the last slot.
    sire, dam, own = slot[table.sire[birds]], slot[table.dam[birds]], slot[birds]
    unknown = slot[-1]
    parent, giver = np.concatenate([sire, dam]), np.concatenate([own, own])
    giver, parent = giver[parent != unknown], parent[parent != unknown]
    order = np.argsort(parent, kind="stable")
    parent, giver = parent[order], giver[order]
    starts = np.flatnonzero(np.diff(parent, prepend=-1))
    return _Step(own, sire, dam, giver, starts, parent[starts])
