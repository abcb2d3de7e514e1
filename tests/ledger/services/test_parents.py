"""Entering parents in words: known, in doubt, or kin of other founders."""

import pytest
from builders import TODAY, a_bird

from ledger.domain.change import Put
from ledger.domain.people import FounderKin
from ledger.errors import LineageError, NotFoundError, RuleError
from ledger.services import book, lineage
from ledger.services.lineage_limits import Limits
from ledger.services.lineage_mates import mates_of
from ledger.services.lineage_pairing import set_limits
from ledger.services.parents import enter_parents, kin_words, parent_words
from ledger.store import open_store

BIRDS = (
    a_bird("b0001", "Rook", sex="cock", hatched="2010"),
    a_bird("b0002", "Ash, the grey", sex="cock", hatched="2010"),
    a_bird("b0003", "Wren", sex="hen", hatched="2010"),
    a_bird("b0004", "Pip", sex="hen", hatched="2018"),
    a_bird("b0005", "", sex="cock", hatched="2010"),
    a_bird("b0006", "Rook", sex="cock", hatched="2011"),
)


@pytest.fixture
def ledger(tmp_path):
    with open_store(tmp_path / "ledger", create=True) as store:
        store.commit([Put(bird) for bird in BIRDS], author="test", what="set up")
    with book.open_ledger(tmp_path / "ledger") as opened:
        yield opened


def enter(ledger, sire="", dam="", kin="", bird="b0004"):
    return enter_parents(ledger, bird, sire, dam, kin, "Nora")


def test_parents__that_are_known(ledger):
    told = enter(ledger, "b0001", "Wren")
    assert (told.sire, told.dam) == ("b0001", "b0003")
    assert ledger.flock.birds["b0004"] == told


def test_parents__with_a_comma_in_the_name(ledger):
    assert enter(ledger, "Ash, the grey").sire == "b0002"


def test_parents__one_of_two_cocks_share_the_chance(ledger):
    told = enter(ledger, "b0001 or b0005")
    assert told.sire is None
    assert told.sire_may_be == (("b0001", 0.5), ("b0005", 0.5))


def test_parents__with_chances_and_one_that_is_not_entered(ledger):
    told = enter(ledger, "Rook (b0001) 60%, b0005 30 %, ? 10%")
    assert dict(told.sire_may_be) == pytest.approx(
        {"b0001": 0.6, "b0005": 0.3, "": 0.1}
    )


def test_parents__those_without_a_chance_share_what_is_left(ledger):
    told = enter(ledger, "b0001 50%; b0005; ?")
    assert [chance for _, chance in told.sire_may_be] == [0.5, 0.25, 0.25]


@pytest.mark.parametrize(
    "words",
    [
        "Rook (b0001) or b0005",
        "Rook (b0001) or b0005 or ?",
        "Rook (b0001) 60%, b0005 30%, ? 10%",
        "Rook (b0001)",
        "",
    ],
)
def test_parents__are_told_as_they_are_entered(ledger, words):
    bird = enter(ledger, words)
    assert parent_words(ledger.flock, bird, "sire") == words
    assert enter(ledger, parent_words(ledger.flock, bird, "sire")) == bird


@pytest.mark.parametrize(
    ("words", "error", "said"),
    [
        ("Rook", NotFoundError, "may be one of 2 birds"),
        ("Nobody", NotFoundError, "No bird has"),
        ("Wren", RuleError, "which is a hen"),
        ("b0001 or Wren", RuleError, "may be Wren, which is a hen"),
        ("b0001 60%, b0005 30%", RuleError, "sum to 90%"),
        ("b0001 100%, b0005", RuleError, "sum to 100%"),
        ("b0001 or b0001", RuleError, "stands twice"),
        ("Pip or b0001", RuleError, "Pip"),
    ],
)
def test_parents__that_cannot_be_are_refused_and_nothing_is_stored(
    ledger, words, error, said
):
    before = ledger.flock
    with pytest.raises(error, match=said):
        enter(ledger, words)
    assert ledger.flock is before


def test_parents__of_no_change_store_nothing(ledger):
    before = ledger.flock
    enter(ledger)
    assert ledger.flock is before


def test_founders__are_kin_by_word_or_number(ledger):
    enter(ledger, kin="Wren full sibling, b0005 0.125", bird="b0001")
    assert ledger.flock.settings.founder_kin == (
        FounderKin("b0001", "b0003", 0.25),
        FounderKin("b0001", "b0005", 0.125),
    )
    assert kin_words(ledger.flock, ledger.flock.birds["b0003"]) == "Rook (b0001) 0.25"
    # Full siblings: their young are as inbred as those of any (Wright 1922).
    enter(ledger, "b0001", "b0003")
    assert lineage.of_bird(ledger.flock, "b0004").inbreeding == 0.25


def test_founders__are_kin_no_longer_once_the_words_are_gone(ledger):
    enter(ledger, kin="Wren half sibling", bird="b0001")
    enter(ledger, kin="", bird="b0003")
    assert ledger.flock.settings.founder_kin == ()


@pytest.mark.parametrize(
    ("kin", "error", "said"),
    [
        ("Wren", RuleError, "How close a kin is"),
        ("b0001 0.25", RuleError, "no kin of itself"),
        ("Pip 0.25", RuleError, "Pip has a parent entered"),
        ("Wren 1, b0005 1", LineageError, "contradict each other"),
    ],
)
def test_founders__kin_that_cannot_be_is_refused(ledger, kin, error, said):
    enter(ledger, "b0001", "b0003")
    with pytest.raises(error, match=said):
        enter(ledger, kin=kin, bird="b0001")
    assert ledger.flock.settings.founder_kin == ()


def test_limits__hold_from_the_moment_they_are_set(ledger):
    enter(ledger, "b0001", "b0003")
    found = mates_of(ledger.flock, "b0001", TODAY)
    assert [bool(mate.over_limit) for mate in found.mates if mate.bird == "b0004"] == [
        True
    ]
    set_limits(ledger, Limits(0.25, 1.0), "Nora")
    assert Limits.of(ledger.flock) == Limits(0.25, 1.0)
    found = mates_of(ledger.flock, "b0001", TODAY)
    assert [bool(mate.over_limit) for mate in found.mates if mate.bird == "b0004"] == [
        False
    ]
    with pytest.raises(RuleError, match="F lies between 0 and 1"):
        set_limits(ledger, Limits(25.0, 1.0), "Nora")
