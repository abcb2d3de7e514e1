"""Which birds to pair in a season so that the young share as few genes as can be.

The young of P pairs, n of each, have among themselves (each with itself included)
the mean kinship

    M = (sum of K over all parents with all parents
         + sum of (1 - K of each parent with itself) / n) / (2 P)^2,

which hangs on *who* breeds and not on who is paired with whom: that decides only
how inbred the young are. So the parents are chosen first, for the least M, and then
paired, for the least mean F. Both steps are exact where all choices can be counted
out; else the choice is improved exchange by exchange, and a lower bound that no
choice can beat says how far off it can be at most.

Sources:
    M: derived from the kinship of young as the mean of their parents' kinships
    (R. C. Lacy, "Managing genetic diversity in captive populations of animals", 1994,
    and others; common practice). Lower bound: M. Frank and P. Wolfe, "An algorithm
    for quadratic programming", Naval Research Logistics Quarterly 3 (1956), 95-110.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations
from math import comb
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

_COUNTED_AT_MOST = 250_000
"""Choices of parents that are counted out."""
_ALIKE = 1e-12
_STEPS = 300


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
    def pairs_at_most(self) -> int:
        """How many pairs can be made at one time."""
        return int(self.allowed[_matched((~self.allowed).astype(np.float64))].sum())

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


@dataclass(frozen=True)
class Season:
    """A set of pairs."""

    pairs: Pairs
    mean_kinship: float
    """Of the young among themselves."""
    mean_inbreeding: float
    bound: float
    """No set of as many pairs has a lower mean kinship than this."""

    @property
    def is_best(self) -> bool:
        """It is proved that no set of as many pairs is better."""
        return self.mean_kinship <= self.bound + _ALIKE


def plan(question: Question, pairs: int | None = None) -> Season:
    """The set of pairs whose young share the fewest genes.

    Args:
        question: Who can breed.
        pairs: How many pairs; None: as many as can be. More than can be are not
            made.
    """
    most = question.pairs_at_most
    count = most if pairs is None else max(0, min(pairs, most))
    if not count:
        return Season((), 0.0, 0.0, 0.0)
    c, h = question.allowed.shape
    if comb(c, count) * comb(h, count) <= _COUNTED_AT_MOST:
        chosen = _counted_out(question, count)
        return _season(question, chosen, question.mean_kinship(chosen))
    starts = [greedy(question, count).pairs, least_inbred(question, count).pairs]
    found = [_exchanged(question, start) for start in starts]
    best = min(found, key=lambda it: (question.mean_kinship(it), _sum(question, it)))
    return _season(question, best, _bound(question, count))


def greedy(question: Question, pairs: int) -> Season:
    """The pair with the least kinship to all candidates first, and so on.

    For comparison: it never takes a pair that would make `pairs` pairs impossible.
    """
    of_cock = question.of_cocks.sum(1) + question.between.sum(1)
    of_hen = question.of_hens.sum(1) + question.between.sum(0)
    cost = of_cock[:, None] + of_hen[None, :]
    left = question.allowed.copy()
    chosen: list[tuple[int, int]] = []
    for place in np.argsort(cost, axis=None, kind="stable"):
        cock, hen = (int(it) for it in np.unravel_index(place, cost.shape))
        if len(chosen) == pairs or not left[cock, hen]:
            continue
        after = left.copy()
        after[cock], after[:, hen] = False, False
        still = after[_matched((~after).astype(np.float64))].sum()
        if still >= pairs - len(chosen) - 1:
            chosen.append((cock, hen))
            left = after
    return _season(question, tuple(sorted(chosen)), 0.0)


def least_inbred(question: Question, pairs: int) -> Season:
    """The set of pairs with the least mean F, whatever their kinship to all."""
    c, h = question.allowed.shape
    # Rows and columns that stand for staying single take what is not to be paired.
    cost = np.full((c + h - pairs, c + h - pairs), 0.0)
    cost[:c, :h] = np.where(question.allowed, question.between, c + h + 1.0)
    cost[c:, h:] = (c + h + 1.0) ** 2
    chosen = [
        (int(cock), int(hen))
        for cock, hen in zip(*_matched(cost), strict=True)
        if cock < c and hen < h and question.allowed[cock, hen]
    ]
    return _season(question, tuple(chosen), 0.0)


def with_pair(question: Question, cock: int, hen: int, pairs: int) -> Season | None:
    """The best set of as many pairs that has this one; None where there is none.

    Only where the choices can be counted out.
    """
    c, h = question.allowed.shape
    if comb(c, pairs) * comb(h, pairs) > _COUNTED_AT_MOST:
        return None
    allowed = question.allowed.copy()
    allowed[cock], allowed[:, hen] = False, False
    allowed[cock, hen] = True
    forced = Question(
        question.of_cocks, question.of_hens, question.between, allowed, question.young
    )
    chosen = _counted_out(forced, pairs, must=(cock, hen))
    if not chosen:
        return None
    return _season(question, chosen, question.mean_kinship(chosen))


def _season(question: Question, pairs: Pairs, bound: float) -> Season:
    mean = question.mean_kinship(pairs)
    return Season(pairs, mean, question.mean_inbreeding(pairs), bound)


def _matched(
    cost: NDArray[np.float64],
) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    from scipy.optimize import linear_sum_assignment

    rows, columns = linear_sum_assignment(cost)
    return rows, columns


def _paired(question: Question, cocks: list[int], hens: list[int]) -> Pairs | None:
    """All of these, paired for the least mean F; None where that cannot be."""
    between = question.between[np.ix_(cocks, hens)]
    allowed = question.allowed[np.ix_(cocks, hens)]
    rows, columns = _matched(np.where(allowed, between, len(cocks) + 1.0))
    if not allowed[rows, columns].all():
        return None
    return tuple(
        sorted((cocks[i], hens[j]) for i, j in zip(rows, columns, strict=True))
    )


def _sum(question: Question, pairs: Pairs) -> float:
    return sum(float(question.between[pair]) for pair in pairs)


def _counted_out(
    question: Question, count: int, must: tuple[int, int] | None = None
) -> Pairs:
    """Every choice of parents from the best on, until one can be paired."""
    best: Pairs = ()
    mean = np.inf
    for value, cocks, hens in _choices(question, count, must):
        if best and value > mean + _ALIKE:
            break
        pairs = _paired(question, cocks, hens)
        if pairs is None:
            continue
        if not best or _sum(question, pairs) < _sum(question, best):
            best, mean = pairs, min(value, mean)
    return best


def _choices(
    question: Question, count: int, must: tuple[int, int] | None
) -> Iterator[tuple[float, list[int], list[int]]]:
    """M of every choice of parents, and the choice, the least first."""
    c, h = question.allowed.shape
    own_c = (1 - np.diagonal(question.of_cocks)) / question.young
    own_h = (1 - np.diagonal(question.of_hens)) / question.young
    cocks = _subsets(c, count, None if must is None else must[0])
    hens = _subsets(h, count, None if must is None else must[1])
    of_cocks = np.einsum("si,ij,sj->s", cocks, question.of_cocks, cocks) + cocks @ own_c
    of_hens = np.einsum("si,ij,sj->s", hens, question.of_hens, hens) + hens @ own_h
    values = of_cocks[:, None] + of_hens[None, :]
    values += 2 * (cocks @ question.between @ hens.T)
    values /= (2 * count) ** 2
    for place in np.argsort(values, axis=None, kind="stable"):
        i, j = np.unravel_index(place, values.shape)
        chosen = np.flatnonzero(cocks[i]).tolist(), np.flatnonzero(hens[j]).tolist()
        yield float(values[i, j]), *chosen


def _subsets(n: int, count: int, must: int | None) -> NDArray[np.float64]:
    """(s, n) every choice of `count` of n, as ones and zeros."""
    chosen = [
        some for some in combinations(range(n), count) if must is None or must in some
    ]
    subsets = np.zeros((len(chosen), n))
    for row, some in enumerate(chosen):
        subsets[row, list(some)] = 1.0
    return subsets


def _exchanged(question: Question, start: Pairs) -> Pairs:
    """Put one bird in another's place as long as that lowers M."""
    pairs = start
    while True:
        better = _best_exchange(question, pairs)
        if better is None:
            break
        pairs = better
    return pairs


def _best_exchange(question: Question, pairs: Pairs) -> Pairs | None:
    mean = question.mean_kinship(pairs)
    cocks = [cock for cock, _ in pairs]
    hens = [hen for _, hen in pairs]
    tried: list[tuple[float, list[int], list[int]]] = []
    c, h = question.allowed.shape
    for out in cocks:
        for new in sorted(set(range(c)) - set(cocks)):
            chosen = sorted({*cocks, new} - {out})
            tried.append((question.mean_of(chosen, hens), chosen, hens))
    for out in hens:
        for new in sorted(set(range(h)) - set(hens)):
            chosen = sorted({*hens, new} - {out})
            tried.append((question.mean_of(cocks, chosen), cocks, chosen))
    for value, some_cocks, some_hens in sorted(tried, key=lambda it: it[0]):
        if value >= mean - _ALIKE:
            break
        found = _paired(question, some_cocks, some_hens)
        if found is not None:
            return found
    again = _paired(question, cocks, hens)
    if again and _sum(question, again) < _sum(question, pairs) - _ALIKE:
        return again
    return None


def _bound(question: Question, count: int) -> float:
    """A mean kinship that no choice beats: parts of birds may be chosen, too."""
    c, h = question.allowed.shape
    kinship = np.block(
        [[question.of_cocks, question.between], [question.between.T, question.of_hens]]
    )
    own = (1 - np.diagonal(kinship)) / question.young
    part = np.concatenate([np.full(c, count / c), np.full(h, count / h)])
    bound = 0.0
    for _ in range(_STEPS):
        slope = 2 * kinship @ part + own
        corner = np.zeros(c + h)
        corner[np.argsort(slope[:c], kind="stable")[:count]] = 1.0
        corner[c + np.argsort(slope[c:], kind="stable")[:count]] = 1.0
        way = corner - part
        value = part @ kinship @ part + own @ part
        bound = max(bound, value + slope @ way)
        curve = way @ kinship @ way
        if slope @ way > -1e-12:
            break
        part = part + way * (1.0 if curve <= 0 else min(1, -slope @ way / (2 * curve)))
    return float(bound) / (2 * count) ** 2
