"""The season's pairs: never worse than two simpler ways, and exact where counted."""

from itertools import combinations, permutations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pedigrees import random_places

from ledger.lineage import season_question
from ledger.lineage.inbreeding import inbreeding
from ledger.lineage.kinship import kinship_between
from ledger.lineage.season import greedy, least_inbred, plan, with_pair
from ledger.lineage.season_question import Question
from ledger.lineage.table import ParentTable


def a_question(seed, c=4, h=5, limit=0.1, n=40):
    random = np.random.default_rng(seed)
    table = ParentTable.of_places(*random_places(random, n, 6, unknown=0.05))
    birds = random.permutation(np.arange(n // 2, n))[: c + h]
    kinship = kinship_between(table, birds, birds, inbreeding(table))
    between = kinship[:c, c:]
    return (
        Question(kinship[:c, :c], kinship[c:, c:], between, between <= limit),
        table,
        birds,
    )


def young_of(question, pairs, table, birds):
    """M by the book: enter the young, and take the mean of their kinship matrix."""
    c = len(question.of_cocks)
    cocks = np.array([birds[i] for i, _ in pairs for _ in range(question.young)])
    hens = np.array([birds[c + j] for _, j in pairs for _ in range(question.young)])
    wider = ParentTable.of_places(
        np.concatenate([table.sire, cocks]), np.concatenate([table.dam, hens])
    )
    young = np.arange(len(table), len(wider))
    inbred = inbreeding(wider)
    return kinship_between(wider, young, young, inbred).mean(), inbred[young].mean()


def every_plan(question, count):
    c, h = question.allowed.shape
    for cocks in combinations(range(c), count):
        for hens in permutations(range(h), count):
            pairs = tuple(zip(cocks, hens, strict=True))
            if all(question.allowed[pair] for pair in pairs):
                yield pairs


@given(st.integers(0, 2**32 - 1))
@settings(deadline=None, max_examples=25)
def test_mean_kinship__is_that_of_the_young_entered_in_the_book(seed):
    question, table, birds = a_question(seed)
    best = plan(question)
    if best.pairs:
        mean, inbred = young_of(question, best.pairs, table, birds)
        assert best.mean_kinship == pytest.approx(mean, abs=1e-12)
        assert best.mean_inbreeding == pytest.approx(inbred, abs=1e-12)


@given(st.integers(0, 2**32 - 1), st.integers(1, 4))
@settings(deadline=None, max_examples=25)
def test_plan__is_the_best_of_all(seed, count):
    question, _, _ = a_question(seed)
    best = plan(question, count)
    all_plans = list(every_plan(question, min(count, question.pairs_at_most)))
    if not question.pairs_at_most:
        assert best.pairs == ()
        return
    assert best.pairs in all_plans
    assert best.is_best
    means = [question.mean_kinship(pairs) for pairs in all_plans]
    assert best.mean_kinship == pytest.approx(min(means), abs=1e-12)
    alike = [
        question.mean_inbreeding(pairs)
        for pairs, mean in zip(all_plans, means, strict=True)
        if mean < min(means) + 1e-12
    ]
    assert best.mean_inbreeding == pytest.approx(min(alike), abs=1e-12)


@given(st.integers(0, 2**32 - 1), st.booleans())
@settings(deadline=None, max_examples=25)
def test_plan__is_never_worse_than_greedy_or_least_inbred(seed, by_exchange):
    question, _, _ = a_question(seed, c=7, h=9, n=60)
    counted = season_question.COUNTED_AT_MOST
    try:
        season_question.COUNTED_AT_MOST = 0 if by_exchange else counted
        best = plan(question, 5)
    finally:
        season_question.COUNTED_AT_MOST = counted
    count = len(best.pairs)
    for other in (greedy(question, count), least_inbred(question, count)):
        assert len(other.pairs) == count
        assert all(question.allowed[pair] for pair in other.pairs)
        assert best.mean_kinship <= other.mean_kinship + 1e-12
        assert best.bound <= other.mean_kinship + 1e-12
    assert best.bound <= best.mean_kinship + 1e-12
    assert best.mean_kinship <= 1


@given(st.integers(0, 2**32 - 1))
@settings(deadline=None, max_examples=15)
def test_plan__by_exchange_is_near_its_bound(seed):
    question, _, _ = a_question(seed, c=7, h=9, n=60)
    exact = plan(question, 4)
    counted = season_question.COUNTED_AT_MOST
    try:
        season_question.COUNTED_AT_MOST = 0
        found = plan(question, 4)
    finally:
        season_question.COUNTED_AT_MOST = counted
    assert found.bound <= exact.mean_kinship + 1e-12
    assert exact.mean_kinship <= found.mean_kinship + 1e-12


def test_least_inbred__is_the_least_of_all():
    question, _, _ = a_question(11)
    for count in range(1, question.pairs_at_most + 1):
        found = least_inbred(question, count)
        least = min(map(question.mean_inbreeding, every_plan(question, count)))
        assert found.mean_inbreeding == pytest.approx(least, abs=1e-12)


def test_with_pair__costs_what_it_costs():
    question, _, _ = a_question(5)
    best = plan(question, 3)
    every = list(every_plan(question, 3))
    for pair in zip(*np.nonzero(question.allowed), strict=True):
        found = with_pair(question, *pair, 3)
        means = [question.mean_kinship(it) for it in every if pair in it]
        if not means:
            assert found is None
            continue
        assert pair in found.pairs
        assert found.mean_kinship == pytest.approx(min(means), abs=1e-12)
        assert found.mean_kinship >= best.mean_kinship - 1e-12


def test_plan__of_nobody():
    nobody = Question(
        np.zeros((0, 0)), np.zeros((2, 2)), np.zeros((0, 2)), np.zeros((0, 2), bool)
    )
    assert plan(nobody).pairs == ()
