"""What is said before a ring goes on, and that it goes on all the same."""

import datetime as dt

import pytest
from builders import a_bird, a_flock, a_ring

from ledger.domain import RingKind
from ledger.errors import NotFoundError
from ledger.services import book
from ledger.services.ring_warnings import warnings_of_ring

DAY = dt.date(2026, 4, 20)


def a_grey(**fields):
    return a_bird(species="Grey Parrot", hatched="2026-04-02", **fields)


def a_fitting(inscription="IE TWK / 26 0107", **fields):
    return a_ring("", inscription, **{"size_mm": 11.5, "leg": "left", **fields})


def test_warnings__none_where_nothing_speaks_against_it():
    assert warnings_of_ring(a_flock(a_grey()), "b0001", a_fitting(), DAY) == ()


def test_warnings__a_size_that_is_not_the_species_own():
    # BArtSchV Anlage 6: Psittacus erithacus 11.5 mm.
    said = warnings_of_ring(a_flock(a_grey()), "b0001", a_fitting(size_mm=9.5), DAY)
    assert said[0].startswith("A ring of 9.5 mm is 2 mm too small for a Grey Parrot")
    assert "BArtSchV" in said[0]


def test_warnings__a_closed_ring_of_another_year():
    ring = a_fitting("IE TWK / 25 0098")
    said, _ = warnings_of_ring(a_flock(a_grey()), "b0001", ring, DAY)
    assert "shows the year 2025, and Pip hatched 2026-04-02" in said
    split = a_fitting("IE TWK / 25 0098", kind=RingKind.SPLIT)
    assert warnings_of_ring(a_flock(a_grey()), "b0001", split, DAY) == ()


def test_warnings__a_closed_ring_on_a_foot_that_is_too_big():
    # No parrot's closed ring after 4 weeks: papageien.org ringFAQ (a hobby page).
    late = dt.date(2026, 6, 1)
    said, _ = warnings_of_ring(a_flock(a_grey()), "b0001", a_fitting(), late)
    assert "at least 60 days old" in said
    assert "is it a split ring?" in said
    split = a_fitting(kind=RingKind.SPLIT)
    assert warnings_of_ring(a_flock(a_grey()), "b0001", split, late) == ()


def test_warnings__two_rings_on_one_leg():
    # "Causes of Ring-Related Leg Injuries in Birds", PLOS ONE 2012, e51891 (abstract):
    # edges of stacked aluminium rings bent inward.
    worn = a_ring("r0001", "IE TWK / 26 0101", bird="b0001", size_mm=11.5)
    said, _ = warnings_of_ring(a_flock(a_grey(), worn), "b0001", a_fitting(), DAY)
    assert "on its left leg already" in said
    replacing = warnings_of_ring(
        a_flock(a_grey(), worn), "b0001", a_fitting(), coming_off="r0001"
    )
    assert replacing == ()
    other = a_fitting(leg="right")
    assert warnings_of_ring(a_flock(a_grey(), worn), "b0001", other, DAY) == ()


def test_warnings__a_split_ring_on_the_other_sexs_leg():
    # Right leg cock, left leg hen: greenbayvets.co.uk, brookfallsveterinary.com.
    ring = a_fitting("SQ 070", kind=RingKind.SPLIT, leg="right")
    said, _ = warnings_of_ring(a_flock(a_grey(sex="hen")), "b0001", ring, DAY)
    assert "reads as a surgically sexed cock, and Pip is a hen" in said
    assert "weak evidence" in said


def test_warnings__of_a_bird_that_is_not_there():
    with pytest.raises(NotFoundError):
        warnings_of_ring(a_flock(), "b0009", a_fitting(), DAY)


def test_put_on__a_warned_ring_goes_on_all_the_same(tmp_path):
    with book.open_ledger(tmp_path, create=True) as ledger:
        bird = book.register_bird(ledger, a_grey(), "Nora")
        ring = a_fitting(size_mm=9.5)
        assert warnings_of_ring(ledger.flock, bird.id, ring, DAY)
        worn = book.put_on_ring(ledger, bird.id, ring, DAY, "Nora")
        assert ledger.flock.rings_of(bird.id) == (worn,)
