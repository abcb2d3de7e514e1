"""All figures where parents are in doubt or founders are kin: the mean over all ways.

Every figure that is linear in kinships (kinship, F, mean kinship, gene diversity) is
computed in each way the doubts can fall and told as the mean by their chances.
Without a doubt there is one way, and nothing costs more.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import prod
from typing import TYPE_CHECKING

import numpy as np

from ledger.lineage.doubt import Expected, drawn_tables, tables
from ledger.lineage.founders import RelatedFounders
from ledger.lineage.inbreeding import inbreeding, kinship_of_pairs
from ledger.lineage.kinship import kinship_between, mean_kinship

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from numpy.typing import NDArray

    from ledger.lineage.doubt import Doubt
    from ledger.lineage.table import Parents, ParentTable

SEED = 1


@dataclass(frozen=True, eq=False)
class Way:
    """One way the doubts can fall."""

    chance: float
    table: ParentTable
    inbred: NDArray[np.float64]
    related: RelatedFounders | None

    def kinships(
        self, rows: NDArray[np.int64], columns: NDArray[np.int64]
    ) -> NDArray[np.float64]:
        """(r, c) kinship of birds by place."""
        return kinship_between(self.table, rows, columns, self.inbred, self.related)


@dataclass(frozen=True, eq=False)
class Kinships:
    """Kinship of some birds with others, over all ways."""

    mean: NDArray[np.float64]
    """(r, c) by the chances."""
    least: NDArray[np.float64]
    most: NDArray[np.float64]
    """(r, c) the same arrays as `mean` where nothing is in doubt."""

    def of(self, row: int, column: int) -> Expected:
        """That of one bird with one other."""
        at = row, column
        return Expected(
            float(self.mean[at]), float(self.least[at]), float(self.most[at])
        )


@dataclass(frozen=True, eq=False)
class Ways:
    """All ways the doubts can fall, or some of them drawn by chance.

    Birds have the same places in all their tables.
    """

    ways: tuple[Way, ...]
    in_all: int
    """How many ways there are."""
    are_drawn: bool = False
    """`ways` are some of them, drawn by chance."""

    @classmethod
    def of(
        cls,
        parents: Mapping[str, Parents],
        doubts: Sequence[Doubt],
        founder_kin: Mapping[tuple[str, str], float],
        *,
        sexes: Mapping[str, str] | None = None,
        at_most: int,
    ) -> Ways:
        """The ways of a flock.

        Args:
            parents: Sire and dam of each bird; a parent without a line of its own
                counts as a founder.
            doubts: Independent of each other.
            founder_kin: Kinship of pairs of founders, as `RelatedFounders.of`.
            sexes: As `ParentTable.of`.
            at_most: How many ways are gone through; of more, so many are drawn.

        Raises:
            LineageError: parents, doubts or kinships contradict each other.
        """
        listed = _with_lines_for_all(parents, doubts)
        in_all = prod(len(doubt.chances) for doubt in doubts)
        if in_all <= at_most:
            found = tables(listed, doubts, sexes=sexes, at_most=at_most)
        else:
            found = drawn_tables(listed, doubts, at_most, SEED, sexes=sexes)
        ways = []
        for chance, table in found:
            related = RelatedFounders.of(table, founder_kin) if founder_kin else None
            ways.append(Way(chance, table, inbreeding(table, related), related))
        return cls(tuple(ways), in_all, in_all > at_most)

    @property
    def likeliest(self) -> Way:
        """The way of the greatest chance."""
        return max(self.ways, key=lambda way: way.chance)

    @property
    def inbred(self) -> NDArray[np.float64]:
        """(n,) expected F."""
        return self._mean([way.inbred for way in self.ways])

    def kinships(self, rows: NDArray[np.int64], columns: NDArray[np.int64]) -> Kinships:
        """Kinship of birds by place."""
        first, *more = self.ways
        mean = least = most = first.kinships(rows, columns)
        if more:
            mean = mean * first.chance
        for way in more:
            found = way.kinships(rows, columns)
            mean += way.chance * found
            least, most = np.minimum(least, found), np.maximum(most, found)
        return Kinships(mean, least, most)

    def kinship(self, first: int, second: int) -> Expected:
        """Kinship of two birds by place."""
        found = [
            float(
                kinship_of_pairs(
                    way.table,
                    np.array([first]),
                    np.array([second]),
                    way.inbred,
                    way.related,
                )[0]
            )
            for way in self.ways
        ]
        mean = sum(way.chance * it for way, it in zip(self.ways, found, strict=True))
        return Expected(mean, min(found), max(found))

    def mean_kinships(
        self, of: NDArray[np.int64], group: NDArray[np.int64]
    ) -> NDArray[np.float64]:
        """(k,) expected mean kinship of birds by place with a group by place."""
        return self._mean(
            [
                mean_kinship(way.table, group, way.inbred, way.related, of=of)
                for way in self.ways
            ]
        )

    def _mean(self, figures: list[NDArray[np.float64]]) -> NDArray[np.float64]:
        if len(figures) == 1:
            return figures[0]
        mean: NDArray[np.float64] = np.average(
            figures, axis=0, weights=[way.chance for way in self.ways]
        )
        return mean


def _with_lines_for_all(
    parents: Mapping[str, Parents], doubts: Sequence[Doubt]
) -> dict[str, Parents]:
    """Every parent and every candidate has a line, so that places never shift."""
    listed = dict(parents)
    for pair in parents.values():
        for parent in pair:
            if parent is not None:
                listed.setdefault(parent, (None, None))
    for doubt in doubts:
        for candidate in doubt.chances:
            if candidate is not None:
                listed.setdefault(candidate, (None, None))
    return listed
