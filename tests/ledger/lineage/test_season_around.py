"""What another pair costs: exact where counted out, an upper bound elsewhere."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from test_season import a_question, every_plan

from ledger.lineage import season_question
from ledger.lineage.season import plan
from ledger.lineage.season_around import around, rough_cost


@given(st.integers(0, 2**32 - 1), st.integers(1, 4))
@settings(deadline=None, max_examples=25)
def test_around__is_the_best_of_all_plans_with_the_pair(seed, count):
    question, _, _ = a_question(seed)
    best = plan(question, count)
    for cock, hen in np.argwhere(question.allowed).tolist():
        found = around(question, best, cock, hen)
        means = [
            question.mean_kinship(pairs)
            for pairs in every_plan(question, len(best.pairs))
            if (cock, hen) in pairs
        ]
        assert (found is None) == (not means)
        if found is not None:
            assert (cock, hen) in found.pairs
            assert found.mean_kinship == pytest.approx(min(means), abs=1e-12)


@given(st.integers(0, 2**32 - 1), st.integers(1, 4))
@settings(deadline=None, max_examples=25)
def test_around__by_exchange_is_a_plan_with_the_pair_and_no_better(seed, count):
    question, _, _ = a_question(seed)
    best = plan(question, count)
    exact = {
        (cock, hen): around(question, best, cock, hen)
        for cock, hen in np.argwhere(question.allowed).tolist()
    }
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(season_question, "COUNTED_AT_MOST", 0)
        for pair, least in exact.items():
            found = around(question, best, *pair)
            if found is None or least is None:
                assert found is None
                continue
            assert pair in found.pairs
            assert len(found.pairs) == len(best.pairs)
            assert all(question.allowed[it] for it in found.pairs)
            assert found.mean_kinship >= least.mean_kinship - 1e-12


def test_around__of_a_pair_over_the_limit_is_none():
    question, _, _ = a_question(1, limit=0.0)
    best = plan(question)
    for cock, hen in np.argwhere(~question.allowed).tolist():
        assert around(question, best, cock, hen) is None


@given(st.integers(0, 2**32 - 1))
@settings(deadline=None, max_examples=25)
def test_rough_cost__is_endless_for_pairs_planned_or_not_allowed(seed):
    question, _, _ = a_question(seed)
    best = plan(question)
    cost = rough_cost(question, best)
    taken = ~question.allowed
    if best.pairs:
        taken[tuple(np.array(best.pairs).T)] = True
        assert np.array_equal(np.isinf(cost), taken)
    else:
        assert np.isinf(cost).all()
