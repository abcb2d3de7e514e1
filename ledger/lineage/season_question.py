"""Who can breed in a season, and which of them can be paired."""

from __future__ import annotations

from dataclasses import dataclass
from math import comb
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

COUNTED_AT_MOST = 250_000
"""Choices of parents that are counted out."""
ALIKE = 1e-12
"""Mean kinships nearer than this are the same."""


@dataclass(frozen=True, eq=False)
class Question:
    """Who can breed, and within which limits."""

    of_cocks: NDArray[np.float64]
    """(c, c) kinship among the cocks."""
    of_hens: NDArray[np.float64]
    """(h, h) kinship among the hens."""
    between: NDArray[np.float64]
    """(c, h) kinship of each cock with each hen: the F of their young."""
    allowed: NDArray[np.bool_]
    """(c, h) pairs within the keeper's limits."""
    young: int = 2
    """Expected of each pair."""

    @property
    def of_all(self) -> NDArray[np.float64]:
        """(c + h, c + h) kinship among all, cocks first."""
        return np.block([[self.of_cocks, self.between], [self.between.T, self.of_hens]])

    def is_counted_out(self, pairs: int) -> bool:
        """So few choices of parents that every one is looked at."""
        c, h = self.allowed.shape
        return comb(c, pairs) * comb(h, pairs) <= COUNTED_AT_MOST

    @property
    def pairs_at_most(self) -> int:
        """How many pairs can be made at one time."""
        return int(self.allowed[matched((~self.allowed).astype(np.float64))].sum())

    def mean_kinship(self, pairs: Pairs) -> float:
        """M of the young of these pairs."""
        cocks = [cock for cock, _ in pairs]
        hens = [hen for _, hen in pairs]
        return self.mean_of(cocks, hens) if pairs else 0.0

    def mean_inbreeding(self, pairs: Pairs) -> float:
        """Mean F of the young of these pairs."""
        values = [self.between[cock, hen] for cock, hen in pairs]
        return float(np.mean(values)) if values else 0.0

    def mean_of(self, cocks: list[int], hens: list[int]) -> float:
        """M of the young of these parents, each of one pair."""
        total = self.of_cocks[np.ix_(cocks, cocks)].sum()
        total += self.of_hens[np.ix_(hens, hens)].sum()
        total += 2 * self.between[np.ix_(cocks, hens)].sum()
        own = np.diagonal(self.of_cocks)[cocks], np.diagonal(self.of_hens)[hens]
        total += sum((1 - part).sum() for part in own) / self.young
        return float(total) / (2 * len(cocks)) ** 2


Pairs = tuple[tuple[int, int], ...]
"""Places of cock and hen among the cocks and the hens."""


def matched(
    cost: NDArray[np.float64],
) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Rows and columns matched for the least sum of costs."""
    from scipy.optimize import linear_sum_assignment

    rows, columns = linear_sum_assignment(cost)
    return rows, columns


def paired(question: Question, cocks: list[int], hens: list[int]) -> Pairs | None:
    """All of these, paired for the least mean F; None where that cannot be."""
    between = question.between[np.ix_(cocks, hens)]
    allowed = question.allowed[np.ix_(cocks, hens)]
    rows, columns = matched(np.where(allowed, between, len(cocks) + 1.0))
    if not allowed[rows, columns].all():
        return None
    return tuple(
        sorted((cocks[i], hens[j]) for i, j in zip(rows, columns, strict=True))
    )


def sum_of_f(question: Question, pairs: Pairs) -> float:
    """F of the young of all pairs, added up."""
    return sum(float(question.between[pair]) for pair in pairs)
