"""Inbreeding and kinship against printed figures and other programs."""

from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pedigrees import (
    as_parents,
    names,
    published,
    random_places,
    tabular_kinship,
)

from ledger.errors import LineageError
from ledger.lineage.founders import RelatedFounders
from ledger.lineage.inbreeding import inbreeding, kinship_of_pairs, own_part
from ledger.lineage.kinship import kinship_between, mean_kinship
from ledger.lineage.shares import by_shares
from ledger.lineage.table import ParentTable
from ledger.lineage.tabular import Plan, tabular


def all_kinship(table):
    every = np.arange(len(table))
    return kinship_between(table, every, every, inbreeding(table))


def kinship_of(parents, a, b):
    table = ParentTable.of(parents)
    (found,) = kinship_of_pairs(
        table, table.places([a]), table.places([b]), inbreeding(table)
    )
    return found


# --- published pedigrees ---


def test_relationship_matrix__is_that_of_mrode():
    # Mrode 2005, pp. 26-27.
    printed = [
        [1, 0, 0.5, 0.5, 0.5, 0.25],
        [0, 1, 0.5, 0, 0.25, 0.625],
        [0.5, 0.5, 1, 0.25, 0.625, 0.5625],
        [0.5, 0, 0.25, 1, 0.625, 0.3125],
        [0.5, 0.25, 0.625, 0.625, 1.125, 0.6875],
        [0.25, 0.625, 0.5625, 0.3125, 0.6875, 1.125],
    ]
    table = ParentTable.of(published("mrode2")[0])
    assert (2 * all_kinship(table) == printed).all()
    # The Mendelian part, same pages.
    assert own_part(table, inbreeding(table)).tolist() == [
        1,
        1,
        0.5,
        0.75,
        0.5,
        0.46875,
    ]


@pytest.mark.parametrize("way", ["chosen", "tabular", "shares"])
@pytest.mark.parametrize("name", names())
def test_inbreeding__is_as_published(name, way):
    parents, expected = published(name)
    table = ParentTable.of(parents)
    found = {
        "chosen": lambda: inbreeding(table),
        "tabular": lambda: tabular(table, Plan.of(table)),
        "shares": lambda: by_shares(table, Plan.of(table).last),
    }[way]()
    # The file has nine printed digits at most.
    assert found == pytest.approx(list(expected.values()), abs=5e-10)


def test_inbreeding__of_darwins_children_is_that_of_berra():
    # Berra, Alvarez and Ceballos 2010, abstract: .0630 and .1255.
    table = ParentTable.of(published("darwin_wedgwood")[0])
    found = inbreeding(table)
    assert round(found[table.place("William Erasmus Darwin")], 4) == 0.0630
    assert round(found[table.place("Louisa Frances Wedgwdood")], 4) == 0.1255


def test_inbreeding__of_wrays_pedigree():
    # Wray 1990 via nadiv: diagonal of A.
    table = ParentTable.of(published("wray90")[0])
    diagonal = 2 * np.diagonal(all_kinship(table))
    assert diagonal.tolist() == [1, 1, 1, 1, 1.25, 1.25, 1.3125, 1.375]


def test_kinship__of_kinship2s_second_pedigree():
    # kinship2, tests/test.kinX.Rout.save; without its identical twins.
    parents, _ = published("kinship2_ped2")
    assert kinship_of(parents, "10", "10") == 0.53125


def test_kinship__of_kinship2s_sample_of_55_people():
    # kinship2's own output: sum of the matrix, and single cells of it.
    table = ParentTable.of(published("kinship2_sample")[0])
    kinship = all_kinship(table)
    assert kinship.sum() == 143.625
    assert not inbreeding(table).any()
    for a, b, printed in [
        ("101", "121", 0.125),
        ("103", "138", 0.25),
        ("110", "138", 0.125),
        ("121", "139", 0.03125),
        ("125", "127", 0.125),
        ("125", "130", 0.0625),
        ("210", "212", 0.0625),
        ("101", "201", 0),
    ]:
        assert kinship[table.place(a), table.place(b)] == printed


# --- relationships: R package ribd, basicRelationships; Lange, Applied Probability,
# Table 5.1 ---

FAMILY = {
    "gs": (None, None),
    "gd": (None, None),
    "other": (None, None),
    "a": ("gs", "gd"),
    "b": ("gs", "gd"),
    "half": ("gs", "other"),
    "ma": (None, None),
    "mb": (None, None),
    "mh": (None, None),
    "ca": ("a", "ma"),
    "cb": ("b", "mb"),
    "ch": ("half", "mh"),
    "na": (None, None),
    "nb": (None, None),
    "sa": ("ca", "na"),
    "sb": ("cb", "nb"),
    # Double first cousins: two brothers with two sisters.
    "x1": (None, None),
    "x2": (None, None),
    "p": ("x1", "x2"),
    "q": ("x1", "x2"),
    "d1": ("a", "p"),
    "d2": ("b", "q"),
}


@pytest.mark.parametrize(
    ("first", "second", "printed"),
    [
        ("gs", "a", 0.25),  # parent and young
        ("a", "b", 0.25),  # full siblings
        ("a", "half", 0.125),  # half siblings
        ("a", "cb", 0.125),  # uncle and nephew
        ("gs", "ca", 0.125),  # grandparent
        ("d1", "d2", 0.125),  # double first cousins
        ("ca", "cb", 0.0625),  # first cousins
        ("ca", "ch", 0.03125),  # half first cousins
        ("sa", "sb", 0.015625),  # second cousins
        ("gs", "gd", 0),
    ],
)
def test_kinship__of_known_relationships(first, second, printed):
    assert kinship_of(FAMILY, first, second) == printed
    assert kinship_of(FAMILY, second, first) == printed


def brother_and_sister(generations):
    """Full sibs mated, generation after generation."""
    parents = {"c0": (None, None), "h0": (None, None)}
    for i in range(1, generations + 1):
        before = (f"c{i - 1}", f"h{i - 1}")
        parents |= {f"c{i}": before, f"h{i}": before}
    return parents


def test_inbreeding__of_brother_and_sister_matings():
    # .25, .375, .5: rockinjlnl.com table; then F" = (1 + 2 F' + F) / 4 by recursion.
    table = ParentTable.of(brother_and_sister(21))
    found = [inbreeding(table)[table.place(f"c{i}")] for i in range(22)]
    assert found[:5] == [0, 0, 0.25, 0.375, 0.5]
    for before, last, now in zip(found, found[1:], found[2:], strict=False):
        assert now == (1 + 2 * last + before) / 4
    assert found[11] == pytest.approx(0.88623, abs=5e-6)


def test_inbreeding__of_backcrosses_to_one_sire():
    # 0, .25, .375, .4375, .46875: computed, each half of the way to 1/2.
    parents = {"sire": (None, None), "0": (None, None), "1": ("sire", "0")}
    parents |= {str(i): ("sire", str(i - 1)) for i in range(2, 6)}
    table = ParentTable.of(parents)
    found = inbreeding(table)
    assert [found[table.place(str(i))] for i in range(1, 6)] == [
        0, 0.25, 0.375, 0.4375, 0.46875,
    ]  # fmt: skip


def test_inbreeding__of_selfing():
    # 0, .5, .75, .875: R package purgeR, tests. No bird does this; the sums must.
    self_bred = np.array([-1, 0, 1, 2])
    table = ParentTable.of_places(self_bred, self_bred)
    assert inbreeding(table).tolist() == [0, 0.5, 0.75, 0.875]


# --- random pedigrees ---

PEDIGREES = st.builds(
    lambda seed, n, founders, unknown, back, same: random_places(
        np.random.default_rng(seed),
        n,
        min(founders, n),
        unknown=unknown,
        back=back,
        same=same,
    ),
    st.integers(0, 2**32 - 1),
    st.integers(1, 40),
    st.integers(1, 8),
    st.sampled_from([0.0, 0.1, 0.5]),
    st.sampled_from([None, 2, 6]),
    st.booleans(),
)


@given(PEDIGREES)
@settings(deadline=None)
def test_kinship__all_ways_agree_with_the_textbook(pedigree):
    table = ParentTable.of_places(*pedigree)
    slow = tabular_kinship(as_parents(*pedigree))
    n = len(table)
    matrix = np.array([[slow[str(i), str(j)] for j in range(n)] for i in range(n)])
    expected = 2 * np.diagonal(matrix) - 1
    plan = Plan.of(table)
    assert tabular(table, plan) == pytest.approx(expected, abs=1e-13)
    assert by_shares(table, plan.last) == pytest.approx(expected, abs=1e-13)
    found = inbreeding(table)
    assert found == pytest.approx(expected, abs=1e-13)
    assert all_kinship(table) == pytest.approx(matrix, abs=1e-13)
    pairs = np.array(list(product(range(n), range(n)))).T
    single = kinship_of_pairs(table, *pairs, found)
    assert single == pytest.approx(matrix.ravel(), abs=1e-13)
    group = np.arange(0, n, 2)
    of_all = mean_kinship(table, group, found, of=np.arange(n))
    assert of_all == pytest.approx(matrix[:, group].mean(axis=1), abs=1e-13)


@given(PEDIGREES, st.randoms())
@settings(deadline=None)
def test_inbreeding__does_not_depend_on_the_order_of_entry(pedigree, random):
    parents = as_parents(*pedigree)
    shuffled = list(parents)
    random.shuffle(shuffled)
    table, other = (
        ParentTable.of_places(*pedigree),
        ParentTable.of_places(
            *(
                np.array(
                    [
                        shuffled.index(parents[bird][side])
                        if parents[bird][side] is not None
                        else -1
                        for bird in shuffled
                    ]
                )
                for side in (0, 1)
            )
        ),
    )
    there = inbreeding(other)
    assert inbreeding(table) == pytest.approx(
        [there[shuffled.index(bird)] for bird in parents], abs=1e-13
    )


@given(PEDIGREES)
@settings(deadline=None, max_examples=40)
def test_inbreeding__agrees_with_sgkit(pedigree):
    # sgkit 0.10, pedigree_kinship with the method for diploids: an independent
    # program. Needs the extra "oracle".
    sgkit = pytest.importorskip("sgkit")
    xarray = pytest.importorskip("xarray")
    sire, dam = pedigree
    told = xarray.Dataset()
    told["parent"] = ["samples", "parents"], np.stack([sire, dam], axis=1)
    told = sgkit.pedigree_kinship(told, method="diploid", allow_half_founders=True)
    expected = told.stat_pedigree_kinship.values
    table = ParentTable.of_places(sire, dam)
    assert all_kinship(table) == pytest.approx(expected, abs=1e-12)


def test_kinship__of_twenty_generations_of_full_sibs_stays_below_one():
    parents = brother_and_sister(20)
    found = inbreeding(ParentTable.of(parents))
    assert found.max() < 1
    assert kinship_of(parents, "c20", "h20") < 1


def test_inbreeding__of_a_long_line_and_of_nothing():
    line = np.arange(-1, 2999)
    table = ParentTable.of_places(line, np.full(3000, -1))
    assert not inbreeding(table).any()
    nobody = ParentTable.of({})
    assert inbreeding(nobody).shape == (0,)


@pytest.mark.parametrize("shape", ["closed", "open"])
def test_inbreeding__of_thousands_is_the_same_both_ways(shape):
    random = np.random.default_rng(7)
    back = 60 if shape == "closed" else None
    table = ParentTable.of_places(*random_places(random, 4000, 50, back=back))
    plan = Plan.of(table)
    first, second = tabular(table, plan), by_shares(table, plan.last)
    assert first.max() > 0
    assert first == pytest.approx(second, abs=1e-12)


# --- founders that are kin ---


def test_related_founders__act_like_the_parents_that_make_them_kin():
    # The same book with and without its first page.
    whole = {
        "s": (None, None),
        "d": (None, None),
        "a": ("s", "d"),
        "b": ("s", "d"),
        "c": (None, None),
        "x": ("a", "b"),
        "y": ("a", "c"),
        "z": ("x", "y"),
    }
    short = {b: p for b, p in whole.items() if b not in "sd"}
    short |= {"a": (None, None), "b": (None, None)}
    table = ParentTable.of(short)
    related = RelatedFounders.of(table, {("a", "b"): 0.25})
    long_table = ParentTable.of(whole)
    expected = [inbreeding(long_table)[long_table.place(bird)] for bird in short]
    plan = Plan.of(table)
    assert inbreeding(table, related).tolist() == expected
    assert tabular(table, plan, related).tolist() == expected
    assert by_shares(table, plan.last, related).tolist() == expected
    every = np.arange(len(table))
    matrix = kinship_between(table, every, every, np.array(expected), related)
    textbook = tabular_kinship(short, {("a", "b"): 0.25})
    for a, b in product(short, short):
        assert matrix[table.place(a), table.place(b)] == textbook[a, b]
        (single,) = kinship_of_pairs(
            table, table.places([a]), table.places([b]), np.array(expected), related
        )
        assert single == textbook[a, b]


@pytest.mark.parametrize(
    "kinships",
    [
        {("x", "a"): 0.25},
        {("a", "a"): 0.4},
        {("a", "b"): -0.1},
        {("a", "b"): 0.5, ("a", "c"): 0.5, ("b", "c"): 0.0},
        {("a", "nobody"): 0.25},
    ],
)
def test_related_founders__that_cannot_be_are_refused(kinships):
    table = ParentTable.of(
        {"a": (None, None), "b": (None, None), "c": (None, None), "x": ("a", "b")}
    )
    with pytest.raises(LineageError) as refused:
        RelatedFounders.of(table, kinships)
    assert refused.value.hint
