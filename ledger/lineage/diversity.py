"""How much of the founders' variety a group of birds still carries."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

import numpy as np

from ledger.errors import LineageError
from ledger.lineage.ancestry import with_ancestors
from ledger.lineage.kinship import mean_kinship
from ledger.lineage.retention import Retention, retention
from ledger.lineage.table import ParentTable

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from ledger.lineage.founders import RelatedFounders


class HalfKnown(StrEnum):
    """What the unknown parent of a bird with one known parent counts as.

    Kinship and inbreeding do not depend on it: the unknown parent is unrelated
    to all. Founders' contributions do.
    """

    FOUNDER = "founder"
    """A founder of its own, without a name. The rule unless another is asked for."""
    LEFT_OUT = "left out"
    """Nothing; the contributions of the known founders then sum to less than 1."""
    REFUSE = "refuse"
    """A gap to fill first: such birds are named, and nothing is computed."""


@dataclass(frozen=True, eq=False)
class Diversity:
    """Variety of one group of birds."""

    mean_kinship: NDArray[np.float64]
    """(g,) mean kinship of each member with the group, itself included."""
    gene_diversity: float
    """1 - mean of the mean kinships; against the founders' source population."""
    founders: NDArray[np.int64]
    """(f,) places of founders with living descent; in a table widened by
    `with_unnamed_founders` places from its old length on have no name."""
    contributions: NDArray[np.float64]
    """(f,) expected part of the group's genes that comes from each founder."""
    retention: Retention
    """How much of each founder's genes is still there."""
    half_known: NDArray[np.int64]
    """Places of birds with one known parent among the group and its ancestors."""
    policy: HalfKnown

    @property
    def founder_equivalents(self) -> float:
        """1 / sum of p^2, the contributions p (Lacy 1989, Zoo Biology 8:111)."""
        squares = float((self.contributions**2).sum())
        return 1 / squares if squares else 0.0

    @property
    def founder_genome_equivalents(self) -> float:
        """1 / sum of p^2 / r, with the retention r (Lacy 1989, Zoo Biology 8:111)."""
        there = self.contributions > 0
        kept = self.retention.of_founder[there]
        if not there.any():
            return 0.0
        return float(1 / (self.contributions[there] ** 2 / kept).sum())

    @property
    def genome_equivalents_by_kinship(self) -> float:
        """1 / (2 x mean kinship) (Lacy 1995, Zoo Biology 14:565; from memory)."""
        mean = 1 - self.gene_diversity
        return 1 / (2 * mean) if mean and len(self.mean_kinship) else 0.0


def diversity(
    table: ParentTable,
    group: NDArray[np.int64],
    inbred: NDArray[np.float64],
    *,
    half_known: HalfKnown = HalfKnown.FOUNDER,
    related: RelatedFounders | None = None,
    drops: int = 10_000,
    seed: int = 1,
) -> Diversity:
    """Variety of a group.

    Args:
        table: The parents.
        group: (g,) places of the birds that live, each once.
        inbred: (n,) F of all.
        half_known: What an unknown parent beside a known one counts as.
        related: Founders that are kin; they change kinship, not contributions.
        drops: Gene drops for retention where it cannot be counted out exactly.
        seed: Of the gene drops.

    Raises:
        LineageError: half-known birds are refused and there are some.
    """
    gaps = np.flatnonzero(with_ancestors(table, group) & table.is_half_known)
    if half_known is HalfKnown.REFUSE and len(gaps):
        named = ", ".join(table.ids[place] for place in gaps[:5])
        raise LineageError(
            f"Of {len(gaps)} birds one parent is known and the other is not: {named}.",
            "Enter the missing parents, or say how to count them.",
        )
    wide = with_unnamed_founders(table) if half_known is HalfKnown.FOUNDER else table
    given = contributions(wide, group)
    founders = np.flatnonzero(wide.is_founder & (given > 0))
    mean = mean_kinship(table, group, inbred, related)
    return Diversity(
        mean_kinship=mean,
        gene_diversity=1 - float(mean.mean()) if len(mean) else 0.0,
        founders=founders,
        contributions=given[founders],
        retention=retention(wide, founders, group, drops=drops, seed=seed),
        half_known=gaps,
        policy=half_known,
    )


def contributions(table: ParentTable, group: NDArray[np.int64]) -> NDArray[np.float64]:
    """(n,) expected part of a group's genes that came through each bird.

    Those of founders sum to 1 where no bird is half known.
    """
    given = np.zeros(len(table) + 1)  # the last: unknown parents
    if len(group):
        np.add.at(given, group, 1 / len(group))
    for birds in reversed(table.by_level[1:]):
        half = 0.5 * given[birds]
        np.add.at(given, table.sire[birds], half)
        np.add.at(given, table.dam[birds], half)
    return given[:-1]


def with_unnamed_founders(table: ParentTable) -> ParentTable:
    """The table with a founder of its own for each missing half of a pair.

    The new founders stand behind the others and are called "?1", "?2", ...
    """
    gaps = np.flatnonzero(table.is_half_known)
    if not len(gaps):
        return table
    n = len(table)
    sire = np.concatenate([table.sire, np.full(len(gaps), -1)])
    dam = np.concatenate([table.dam, np.full(len(gaps), -1)])
    new = np.arange(n, n + len(gaps))
    no_sire = table.sire[gaps] < 0
    sire[gaps[no_sire]], dam[gaps[~no_sire]] = new[no_sire], new[~no_sire]
    ids = (*table.ids, *(f"?{i + 1}" for i in range(len(gaps))))
    level = np.concatenate([table.level, np.zeros(len(gaps), dtype=np.int64)])
    places = {bird: place for place, bird in enumerate(ids)}
    return ParentTable(ids, sire, dam, level, table.unlisted, places)
