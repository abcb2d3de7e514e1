"""What it costs to have another pair in a season: the best plan found around it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from ledger.lineage.season import Season, with_pair
from ledger.lineage.season_question import Question, paired
from ledger.lineage.season_search import gains_of_exchanges

if TYPE_CHECKING:
    from numpy.typing import NDArray

_TRIES = 5
"""Birds that may make room for another one, the best first."""


def around(question: Question, plan: Season, cock: int, hen: int) -> Season | None:
    """The best set of as many pairs that has this one.

    Where the choices can be counted out no set is better. Else the plan is kept and
    as few birds exchanged as can be: an upper bound of what the pair costs.

    Args:
        question: Who can breed.
        plan: The season's.
        cock: Place among the cocks.
        hen: Place among the hens.

    Returns:
        None where no such set was found.
    """
    count = len(plan.pairs)
    if not count or not question.allowed[cock, hen]:
        return None
    if question.is_counted_out(count):
        return with_pair(question, cock, hen, count)
    forced = _forced(question, cock, hen)
    for cocks, hens in _parents_with(question, plan, cock, hen):
        pairs = paired(forced, cocks, hens)
        if pairs is not None:
            mean = question.mean_kinship(pairs)
            return Season(pairs, mean, question.mean_inbreeding(pairs), plan.bound)
    return None


def rough_cost(question: Question, plan: Season) -> NDArray[np.float64]:
    """How much higher M is about with each pair, to tell which to look at.

    Returns:
        (c, h) 0 where both are in the plan; infinite where the pair is not allowed
        or is in the plan.
    """
    cocks, hens = _parents(plan)
    c = len(question.of_cocks)
    if not cocks:
        return np.full(question.allowed.shape, np.inf)
    more = gains_of_exchanges(question, cocks, hens).min(axis=0, initial=np.inf)
    more[[*cocks, *(c + hen for hen in hens)]] = 0.0
    cost: NDArray[np.float64] = more[:c, None] + more[None, c:]
    cost[~question.allowed] = np.inf
    cost[cocks, hens] = np.inf
    return cost / (2 * len(cocks)) ** 2


def _forced(question: Question, cock: int, hen: int) -> Question:
    """The question in which these two can have each other only."""
    allowed = question.allowed.copy()
    allowed[cock], allowed[:, hen] = False, False
    allowed[cock, hen] = True
    return Question(
        question.of_cocks, question.of_hens, question.between, allowed, question.young
    )


def _parents(plan: Season) -> tuple[list[int], list[int]]:
    return [cock for cock, _ in plan.pairs], [hen for _, hen in plan.pairs]


def _parents_with(
    question: Question, plan: Season, cock: int, hen: int
) -> list[tuple[list[int], list[int]]]:
    """Choices of as many parents with these two, the least M first."""
    cocks, hens = _parents(plan)
    c = len(question.of_cocks)
    gains = gains_of_exchanges(question, cocks, hens)
    with_cock = _replaced(cocks, cock, gains[: len(cocks), cock])
    with_hen = _replaced(hens, hen, gains[len(cocks) :, c + hen])
    choices = [(one, other) for one in with_cock for other in with_hen]
    return sorted(choices, key=lambda it: question.mean_of(*it))


def _replaced(
    birds: list[int], new: int, gains: NDArray[np.float64]
) -> list[list[int]]:
    """The birds with the new one in the place of another, the best first."""
    if new in birds:
        return [birds]
    outs = [birds[place] for place in np.argsort(gains, kind="stable")[:_TRIES]]
    return [sorted({*birds, new} - {out}) for out in outs]
