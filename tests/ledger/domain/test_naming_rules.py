"""Tasks, removals, walk-throughs and enquiries name what is there."""

import pytest
from builders import a_bird, a_date

from ledger.domain import (
    Drop,
    Enquiry,
    Flock,
    Kind,
    Put,
    Removal,
    RingSeries,
    Sighting,
    Stop,
    Task,
    WalkThrough,
)
from ledger.domain.finding import Severity
from ledger.domain.rules import check, errors_caused_by


@pytest.mark.parametrize(
    ("thing", "said"),
    [
        (RingSeries("s0001", "IE TWK 26"), "where the serial stands"),
        (Task("t0001", bird="b0009"), "names bird b0009"),
        (Task("t0001", bird="b0001", because="e0009"), "names event e0009"),
        (Removal("x0001", "b0001", "r0009"), "names ring r0009"),
        (Removal("x0001", chip="c0009"), "names chip c0009"),
        (Enquiry("q0001", bird="b0009"), "names bird b0009"),
        (Sighting("g0001", walk="w0009"), "names walk-through w0009"),
    ],
)
def test_check__names_what_is_not_there(thing, said):
    found = check(Flock.of([a_bird(), thing]))
    (finding,) = [it for it in found if it.subject_id == thing.id]
    assert finding.severity is Severity.ERROR
    assert said in finding.message


@pytest.mark.parametrize(
    "thing",
    [
        WalkThrough("w0001", stops=(Stop("Aviary 1", ("b0009",)),)),
        Sighting("g0001", bird="b0009"),
    ],
)
def test_check__a_walk_through_may_outlive_a_bird_that_was_dropped(thing):
    (finding,) = check(Flock.of([thing]))
    assert finding.severity is Severity.WARNING


@pytest.mark.parametrize(
    "thing",
    [
        Task("t0001", bird="b0001"),
        Removal("x0001", "b0001"),
        Enquiry("q1", bird="b0001"),
    ],
)
def test_errors_caused_by__a_bird_that_something_names_is_not_dropped(thing):
    flock = Flock.of([a_bird(hatched=a_date("2020")), thing])
    _, errors = errors_caused_by(flock, [Drop(Kind.BIRD, "b0001")])
    assert [error.subject_id for error in errors] == [thing.id]
    _, none = errors_caused_by(flock, [Put(a_bird())])
    assert none == []
