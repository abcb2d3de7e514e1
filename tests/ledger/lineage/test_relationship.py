"""Kin in words; the words are those of any dictionary."""

import pytest
from test_kinship import FAMILY, brother_and_sister

from ledger.lineage.relationship import relationship
from ledger.lineage.table import ParentTable


def words(parents, first, second, sex="unknown"):
    table = ParentTable.of(parents)
    return relationship(table, table.place(first), table.place(second)).words(sex)


@pytest.mark.parametrize(
    ("first", "second", "sex", "said"),
    [
        ("gs", "a", "cock", "sire"),
        ("gd", "a", "hen", "dam"),
        ("a", "gs", "cock", "son"),
        ("a", "gs", "unknown", "young"),
        ("gs", "ca", "cock", "grandsire through its sire"),
        ("ca", "gs", "hen", "granddaughter through her sire"),
        ("gs", "sa", "cock", "great-grandsire through its sire"),
        ("a", "b", "hen", "full sister"),
        ("a", "b", "unknown", "full sibling"),
        ("half", "a", "cock", "half brother through his sire"),
        ("a", "cb", "cock", "uncle"),
        ("cb", "a", "hen", "niece"),
        ("half", "ca", "hen", "half aunt"),
        ("a", "sb", "cock", "great-uncle"),
        ("ca", "cb", "hen", "first cousins"),
        ("ca", "ch", "hen", "half first cousins"),
        ("sa", "sb", "hen", "second cousins"),
        ("sa", "cb", "hen", "first cousins once removed"),
        ("d1", "d2", "hen", "first cousins twice over"),
        ("gs", "gd", "cock", ""),
        ("a", "a", "cock", "the same bird"),
    ],
)
def test_words(first, second, sex, said):
    assert words(FAMILY, first, second, sex) == said


def test_words__half_sister_through_her_dam():
    parents = {"s": (None, None), "t": (None, None), "d": (None, None)}
    parents |= {"a": ("s", "d"), "b": ("t", "d")}
    assert words(parents, "a", "b", "hen") == "half sister through her dam"


def test_words__tell_a_second_kind_of_kin():
    parents = {**FAMILY, "y": ("ca", "cb")}
    assert words(parents, "gs", "y", "cock") == "great-grandsire twice over"
    both = {"s": (None, None), "d": (None, None), "a": ("s", "d"), "b": ("s", "a")}
    assert words(both, "s", "b", "cock") == "sire, also grandsire through its dam"


def test_words__of_many_ways_end():
    said = words(brother_and_sister(8), "c8", "h8", "cock")
    assert said.startswith("full brother, also ")
    assert said.endswith("kin in more ways")


def test_shared__are_the_nearest_common_ancestors():
    table = ParentTable.of(FAMILY)
    found = relationship(table, table.place("d1"), table.place("d2"))
    assert {table.ids[place] for place in found.shared} == {"gs", "gd", "x1", "x2"}
