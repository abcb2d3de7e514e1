"""A few signs typed in an aviary: whose serial ends so, and who should be there."""

import pytest
from builders import a_bird, a_flock, a_ring

from ledger.domain import Put, Sighting, WalkThrough
from ledger.rings.evidence import Expectation
from ledger.rings.index import index_of
from ledger.rings.last_signs import ending_of, is_short, rank_endings, tails_of

FLOCK = a_flock(
    a_bird("b0001"),
    a_bird("b0002"),
    a_bird("b0003", status="dead"),
    a_bird("b0004"),
    a_ring("r0001", "IE TWK / 19 0174", bird="b0001"),
    a_ring("r0002", "IE TWK / 20 0274", bird="b0002"),
    a_ring("r0003", "IE TWK / 21 0374", bird="b0003"),
    a_ring("r0004", "UYX 670 19", bird="b0004"),
    a_ring("r0005", "IE TWK / 22 0474"),
)
NOBODY = Expectation(frozenset(), frozenset(), 1.0, 1.0)


def ranked(typed, expected=NOBODY):
    endings, stranger = rank_endings(FLOCK, typed, expected)
    assert sum(e.probability for e in endings) + stranger == pytest.approx(1.0)
    return [ending.ring.bird for ending in endings]


@pytest.mark.parametrize(
    ("inscription", "end"),
    [
        ("IE TWK / 19 0174", "74"),
        ("24 IE 0084 TWK", "84"),
        ("UYX 670 19", "70"),
        ("TWK 7", "7"),
        ("", ""),
    ],
)
def test_ending__is_that_of_the_serial(inscription, end):
    assert ending_of(inscription) == end


@pytest.mark.parametrize(
    ("typed", "short"),
    [("7", True), ("0174", True), ("o174", True), ("01745", False), ("?4", False),
     ("", False), (" ", False), ("19/4", False)],
)  # fmt: skip
def test_short__is_up_to_four_plain_signs(typed, short):
    assert is_short(typed) is short


def test_rank__who_should_be_here_comes_first_and_the_dead_behind():
    assert ranked("74")[:3] == ["b0001", "b0002", "b0003"]
    for bird in ("b0001", "b0002"):
        assert (
            ranked("74", Expectation(frozenset({bird}), frozenset(), 0.01))[0] == bird
        )


def test_rank__who_was_seen_already_comes_behind():
    seen = Expectation(frozenset({"b0001", "b0002"}), frozenset({"b0001"}), 0.01, 0.02)
    assert ranked("74", seen)[:2] == ["b0002", "b0001"]


def test_rank__a_serials_end_before_a_ring_year():
    assert ranked("70")[0] == "b0004"
    assert ranked("o174")[0] == "b0001"


def test_rank__nobody_bears_it():
    endings, stranger = rank_endings(FLOCK, "ZZ", NOBODY)
    assert endings == ()
    assert stranger == 1.0


def test_rings_made_ready__serve_on_after_a_sighting():
    index, tails = index_of(FLOCK), tails_of(FLOCK)
    walk = WalkThrough("w0001")
    later = FLOCK.changed([Put(walk), Put(Sighting("g0001", "w0001"))])
    assert index_of(later) is index
    assert tails_of(later) is tails
    renamed = later.changed([Put(a_bird("b0001", "Other"))])
    assert index_of(renamed) is not index
