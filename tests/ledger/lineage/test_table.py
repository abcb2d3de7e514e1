"""Tables of parents: order, loops, wrong parents, ancestors, what is known."""

import numpy as np
import pytest

from ledger.errors import LineageError, LoopError
from ledger.lineage.ancestry import (
    ancestors,
    completeness,
    descendants,
    generations_known,
)
from ledger.lineage.table import ParentTable

NONE = (None, None)
FAMILY = {
    "chick": ("sire", "dam"),
    "dam": ("grandsire", None),
    "sire": ("grandsire", "granddam"),
    "grandsire": NONE,
    "granddam": NONE,
    "stranger": NONE,
}


def names(table, places):
    return [table.ids[place] for place in places]


def test_levels__are_the_longest_ways_to_a_founder():
    table = ParentTable.of(FAMILY)
    assert dict(zip(table.ids, table.level.tolist(), strict=True)) == {
        "chick": 2, "dam": 1, "sire": 1, "grandsire": 0, "granddam": 0, "stranger": 0,
    }  # fmt: skip
    assert [len(level) for level in table.by_level] == [3, 2, 1]


def test_ancestors_and_descendants():
    table = ParentTable.of(FAMILY)
    up = names(table, ancestors(table, table.place("chick")))
    assert set(up) == {"sire", "dam", "grandsire", "granddam"}
    assert set(up[:2]) == {"grandsire", "granddam"}
    down = names(table, descendants(table, table.place("grandsire")))
    assert set(down) == {"sire", "dam", "chick"}
    assert down[-1] == "chick"
    assert not len(descendants(table, table.place("stranger")))


def test_generations_known__counts_gaps_in_part():
    table = ParentTable.of(FAMILY)
    known = dict(zip(table.ids, generations_known(table).tolist(), strict=True))
    assert known["grandsire"] == 0
    assert known["sire"] == 1
    assert known["dam"] == 0.5
    assert known["chick"] == 1 + 0.75
    parts = completeness(table, 3)
    assert parts[table.place("chick")].tolist() == [1, 0.75, 0]


@pytest.mark.parametrize(
    ("parents", "loop"),
    [
        ({"a": ("a", None)}, ("a",)),
        ({"a": ("b", None), "b": (None, "a")}, ("a", "b")),
        (
            {"x": NONE, "a": ("c", "x"), "b": ("a", "x"), "c": ("b", "x")},
            ("a", "c", "b"),
        ),
    ],
)  # fmt: skip
def test_loop__is_named_in_the_order_of_its_parents(parents, loop):
    with pytest.raises(LoopError) as refused:
        ParentTable.of(parents)
    assert refused.value.loop == loop
    assert refused.value.hint
    for bird in loop:
        assert bird in str(refused.value)


@pytest.mark.parametrize(
    ("parents", "sexes", "said"),
    [
        ({"a": ("b", None)}, None, "b"),
        ({"a": ("b", "b"), "b": NONE}, None, "same bird"),
        ({"a": ("b", None), "b": NONE}, {"b": "hen"}, "which is a hen"),
        ({"a": (None, "b"), "b": NONE}, {"b": "cock"}, "which is a cock"),
        (
            {"a": ("b", None), "c": (None, "b"), "b": NONE},
            {"b": "unknown"},
            "sire of a and the dam of c",
        ),
    ],
)
def test_wrong_parents__are_refused(parents, sexes, said):
    with pytest.raises(LineageError, match=said) as refused:
        ParentTable.of(parents, sexes=sexes)
    assert refused.value.hint


def test_missing_parent__can_be_taken_in_as_a_founder():
    table = ParentTable.of({"a": ("b", None)}, unlisted="founder")
    assert table.unlisted == ("b",)
    assert table.ids == ("a", "b")
    assert table.level.tolist() == [1, 0]


def test_unknown_bird__is_refused():
    table = ParentTable.of(FAMILY)
    with pytest.raises(LineageError, match="nobody"):
        table.place("nobody")
    assert "nobody" not in table
    assert "chick" in table


def test_many_birds__are_ordered():
    n = 20_000
    sire = np.arange(n) - 7
    sire[sire < 0] = -1
    table = ParentTable.of_places(sire[::-1].copy() * 0 - 1, np.full(n, -1))
    assert table.depth == 0
    table = ParentTable.of_places(sire, np.full(n, -1))
    assert table.depth == (n - 1) // 7
