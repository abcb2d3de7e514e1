"""What is left of the founders' variety."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pedigrees import published, random_places

from ledger.errors import LineageError
from ledger.lineage.diversity import HalfKnown, contributions, diversity
from ledger.lineage.inbreeding import inbreeding
from ledger.lineage.kinship import kinship_between
from ledger.lineage.retention import retention
from ledger.lineage.table import ParentTable

NONE = (None, None)


def of_group(parents, living, **options):
    table = ParentTable.of(parents)
    return diversity(table, table.places(living), inbreeding(table), **options)


@pytest.mark.parametrize(
    ("n", "mean", "by_kinship", "genomes"),
    [
        (1, 0.5, 1, 1),
        (2, 0.375, 4 / 3, 1.5),
        (3, 1 / 3, 1.5, 1.75),
        (4, 0.3125, 1.6, 1.875),
        (10, 0.275, 20 / 11, 1.998047),
    ],
)
def test_diversity__of_full_siblings_whose_parents_are_dead(
    n, mean, by_kinship, genomes
):
    # Lacy 1989, Zoo Biology 8:111: fe = 1 / sum p^2, fg = 1 / sum p^2 / r. With
    # r = 1 - (1/2)^n the numbers are computed by hand.
    living = [f"y{i}" for i in range(n)]
    found = of_group({"s": NONE, "d": NONE} | dict.fromkeys(living, ("s", "d")), living)
    assert found.mean_kinship == pytest.approx([mean] * n, abs=1e-15)
    assert found.gene_diversity == pytest.approx(1 - mean, abs=1e-15)
    assert found.founder_equivalents == pytest.approx(2)
    assert found.retention.is_exact.all()
    assert found.retention.of_founder == pytest.approx([1 - 0.5**n] * 2)
    assert found.founder_genome_equivalents == pytest.approx(genomes, abs=5e-7)
    assert found.genome_equivalents_by_kinship == pytest.approx(by_kinship)


def test_diversity__of_unrelated_birds_is_that_of_their_number():
    # n unrelated birds: mean kinship 1 / 2n, fe = fg = n; by definition.
    found = of_group(dict.fromkeys("abcde", NONE), "abcde")
    assert found.gene_diversity == pytest.approx(0.9)
    assert found.founder_equivalents == pytest.approx(5)
    assert found.founder_genome_equivalents == pytest.approx(5)
    assert found.genome_equivalents_by_kinship == pytest.approx(5)


def test_diversity__of_nobody():
    found = of_group({"a": NONE}, [])
    assert found.gene_diversity == 0
    assert found.founder_equivalents == 0
    assert found.founder_genome_equivalents == 0
    assert found.genome_equivalents_by_kinship == 0


def test_half_known__counts_as_the_keeper_says():
    parents = {"s": NONE, "a": ("s", None), "b": (None, "a")}
    as_founder = of_group(parents, ["b"])
    assert as_founder.policy is HalfKnown.FOUNDER
    assert len(as_founder.half_known) == 2
    assert sorted(as_founder.contributions) == [0.25, 0.25, 0.5]
    left_out = of_group(parents, ["b"], half_known=HalfKnown.LEFT_OUT)
    assert left_out.contributions.tolist() == [0.25]
    assert left_out.founder_equivalents == 16
    assert left_out.gene_diversity == as_founder.gene_diversity
    with pytest.raises(LineageError, match="a, b") as refused:
        of_group(parents, ["b"], half_known=HalfKnown.REFUSE)
    assert refused.value.hint


@given(st.integers(0, 2**32 - 1), st.integers(2, 30))
@settings(deadline=None, max_examples=50)
def test_contributions__of_founders_sum_to_one(seed, n):
    random = np.random.default_rng(seed)
    table = ParentTable.of_places(*random_places(random, n, 2, unknown=0.0))
    given_by = contributions(table, np.arange(n // 2, n))
    assert given_by[table.is_founder].sum() == pytest.approx(1)


def test_retention__by_gene_dropping_agrees_with_counting():
    table = ParentTable.of(published("jicaque")[0])
    living = table.places(["Son1", "Son2"])
    founders = np.flatnonzero(table.is_founder)
    exact = retention(table, founders, living)
    assert exact.is_exact.any()
    assert "exactly" in exact.how or "drops" in exact.how
    dropped = retention(table, founders, living, drops=40_000, seed=3)
    from ledger.lineage import retention as module

    counted = module._COUNTED_AT_MOST
    try:
        module._COUNTED_AT_MOST = -1
        dropped = retention(table, founders, living, drops=40_000, seed=3)
        again = retention(table, founders, living, drops=40_000, seed=3)
    finally:
        module._COUNTED_AT_MOST = counted
    assert not dropped.is_exact.any()
    assert "40,000 gene drops, seed 3" in dropped.how
    assert (dropped.of_founder == again.of_founder).all()
    both = exact.is_exact
    assert dropped.of_founder[both] == pytest.approx(
        exact.of_founder[both], abs=5 * 0.5 / 40_000**0.5
    )


def test_retention__of_one_young_of_inbred_parents():
    # By hand: founder s gives a gene to a and to b with chance 1/2 each; the young
    # of a and b has it from a with 1/4, from b with 1/4, from both with 1/16.
    parents = {"s": NONE, "d": NONE, "a": ("s", "d"), "b": ("s", "d"), "y": ("a", "b")}
    found = of_group(parents, ["y"])
    assert found.retention.of_founder.tolist() == [0.4375, 0.4375]


@given(st.integers(0, 2**32 - 1))
@settings(deadline=None, max_examples=30)
def test_gene_diversity__is_that_of_the_kinship_matrix(seed):
    random = np.random.default_rng(seed)
    table = ParentTable.of_places(*random_places(random, 25, 4))
    inbred = inbreeding(table)
    group = np.unique(random.integers(0, 25, 8))
    found = diversity(table, group, inbred, drops=50)
    matrix = kinship_between(table, group, group, inbred)
    assert found.gene_diversity == pytest.approx(1 - matrix.mean())
    assert (found.retention.of_founder > 0).all()
    assert (found.retention.of_founder <= 1).all()
