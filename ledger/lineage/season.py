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
from typing import TYPE_CHECKING

import numpy as np

from ledger.lineage.season_question import (
    ALIKE,
    Pairs,
    Question,
    matched,
    paired,
    sum_of_f,
)
from ledger.lineage.season_search import bound, exchanged

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from numpy.typing import NDArray


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
        return self.mean_kinship <= self.bound + ALIKE


def plan(
    question: Question,
    pairs: int | None = None,
    step: Callable[[], None] = lambda: None,
) -> Season:
    """The set of pairs whose young share the fewest genes.

    Args:
        question: Who can breed.
        pairs: How many pairs; None: as many as can be. More than can be are not
            made.
        step: Called between steps; what it raises ends the search.
    """
    most = question.pairs_at_most
    count = most if pairs is None else max(0, min(pairs, most))
    if not count:
        return Season((), 0.0, 0.0, 0.0)
    if question.is_counted_out(count):
        chosen = _counted_out(question, count)
        return _season(question, chosen, question.mean_kinship(chosen))
    starts = [greedy(question, count).pairs, least_inbred(question, count).pairs]
    found = [exchanged(question, start, step) for start in starts]
    best = min(
        found, key=lambda it: (question.mean_kinship(it), sum_of_f(question, it))
    )
    return _season(question, best, bound(question, count))


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
        still = after[matched((~after).astype(np.float64))].sum()
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
        for cock, hen in zip(*matched(cost), strict=True)
        if cock < c and hen < h and question.allowed[cock, hen]
    ]
    return _season(question, tuple(chosen), 0.0)


def with_pair(question: Question, cock: int, hen: int, pairs: int) -> Season | None:
    """The best set of as many pairs that has this one; None where there is none.

    Only where the choices can be counted out.
    """
    if not question.is_counted_out(pairs):
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


def _counted_out(
    question: Question, count: int, must: tuple[int, int] | None = None
) -> Pairs:
    """Every choice of parents from the best on, until one can be paired."""
    best: Pairs = ()
    mean = np.inf
    for value, cocks, hens in _choices(question, count, must):
        if best and value > mean + ALIKE:
            break
        pairs = paired(question, cocks, hens)
        if pairs is None:
            continue
        if not best or sum_of_f(question, pairs) < sum_of_f(question, best):
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
