"""Choices of parents too many to count out: exchange by exchange, and a bound."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from ledger.lineage.season_question import ALIKE, paired, sum_of_f

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    from ledger.lineage.season_question import Pairs, Question

_STEPS = 300


def exchanged(
    question: Question, start: Pairs, step: Callable[[], None] = lambda: None
) -> Pairs:
    """Put one bird in another's place as long as that lowers M."""
    pairs = start
    while True:
        step()
        better = _best_exchange(question, pairs)
        if better is None:
            break
        pairs = better
    return pairs


def _best_exchange(question: Question, pairs: Pairs) -> Pairs | None:
    cocks = [cock for cock, _ in pairs]
    hens = [hen for _, hen in pairs]
    c = len(question.of_cocks)
    gains = gains_of_exchanges(question, cocks, hens)
    for place in np.argsort(gains, axis=None, kind="stable"):
        out, new = (int(it) for it in np.unravel_index(place, gains.shape))
        if gains[out, new] > -ALIKE * (2 * len(pairs)) ** 2:
            break
        if new < c:
            chosen = sorted({*cocks, new} - {cocks[out]}), hens
        else:
            chosen = cocks, sorted({*hens, new - c} - {hens[out - len(cocks)]})
        found = paired(question, *chosen)
        if found is not None:
            return found
    again = paired(question, cocks, hens)
    if again and sum_of_f(question, again) < sum_of_f(question, pairs) - ALIKE:
        return again
    return None


def gains_of_exchanges(
    question: Question, cocks: list[int], hens: list[int]
) -> NDArray[np.float64]:
    """What each exchange adds to the sum in M; infinite where it cannot be.

    Returns:
        (parents, candidates) cocks before hens in both.
    """
    c = len(question.of_cocks)
    kinship = question.of_all
    parents = np.array([*cocks, *(c + hen for hen in hens)])
    to_all = kinship[:, parents].sum(axis=1)
    own = np.diagonal(kinship)
    alone = own + (1 - own) / question.young
    gains: NDArray[np.float64] = (
        (own - (1 - own) / question.young - 2 * to_all)[parents, None]
        + (2 * to_all + alone)[None, :]
        - 2 * kinship[parents]
    )
    is_cock = np.arange(len(kinship)) < c
    gains[is_cock[parents][:, None] != is_cock[None, :]] = np.inf
    gains[:, parents] = np.inf
    return gains


def bound(question: Question, count: int) -> float:
    """A mean kinship that no choice beats: parts of birds may be chosen, too."""
    c, h = question.allowed.shape
    kinship = question.of_all
    own = (1 - np.diagonal(kinship)) / question.young
    part = np.concatenate([np.full(c, count / c), np.full(h, count / h)])
    to_part = kinship @ part
    bound = 0.0
    for _ in range(_STEPS):
        slope = 2 * to_part + own
        corner = np.zeros(c + h)
        corner[np.argsort(slope[:c], kind="stable")[:count]] = 1.0
        corner[c + np.argsort(slope[c:], kind="stable")[:count]] = 1.0
        way, to_way = corner - part, kinship @ corner - to_part
        value = part @ to_part + own @ part
        bound = max(bound, value + slope @ way)
        curve = way @ to_way
        if slope @ way > -1e-12:
            break
        far = 1.0 if curve <= 0 else min(1, -slope @ way / (2 * curve))
        part, to_part = part + way * far, to_part + to_way * far
    return float(bound) / (2 * count) ** 2
