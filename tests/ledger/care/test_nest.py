"""What is due in the nests, day by day, on an invented pair of cockatiels."""

import datetime as dt
from dataclasses import replace

import pytest
from builders import a_bird, a_date, a_flock, a_ring, an_event

from ledger.care.nest import NestWork, Urgency, due_in_nests
from ledger.domain import Clutch, Egg, EggFate, EventKind, Pair

LAID = dt.date(2026, 4, 1)
PARENTS = (
    a_bird("b0001", "Rook", sex="cock", species="Cockatiel", location="Meadow 1"),
    a_bird("b0002", "Wren", sex="hen", species="Cockatiel", location="Meadow 1"),
    Pair("p0001", "b0001", "b0002", formed=a_date("2026-01-20")),
)
EGG = Egg(1, a_date(str(LAID)))
CHICK = a_bird(
    "b0003",
    "Bit",
    species="Cockatiel",
    hatched="2026-04-22",
    sire="b0001",
    dam="b0002",
    location="Meadow 1",
)
HATCHED = Egg(1, a_date(str(LAID)), EggFate.HATCHED, a_date("2026-04-22"), "b0003")


def a_nest(*eggs, more=()):
    clutch = Clutch("k0001", "p0001", laid=a_date(str(LAID)), eggs=eggs)
    return a_flock(*PARENTS, clutch, *more)


def due(flock, day):
    return [(str(duty.work), str(duty.urgency)) for duty in due_in_nests(flock, day)]


@pytest.mark.parametrize(
    ("day", "expected"),
    [
        ("2026-04-07", []),
        ("2026-04-08", [("candle", "now")]),
        ("2026-04-12", [("candle", "late")]),
        # 20 to 20.5 days (breeding table): 20 to 25 April, told three days ahead.
        ("2026-04-17", [("hatch expected", "soon"), ("candle", "late")]),
        ("2026-04-20", [("hatch expected", "now")]),
        ("2026-04-25", [("hatch expected", "now")]),
        ("2026-04-26", [("hatch overdue", "late")]),
    ],
)
def test_egg__is_candled_expected_and_overdue(day, expected):
    found = due(a_nest(EGG), dt.date.fromisoformat(day))
    assert sorted(found) == sorted(expected)


def test_egg__found_fertile_is_not_candled_again():
    fertile = replace(EGG, fate=EggFate.FERTILE, candled=a_date("2026-04-08"))
    assert due(a_nest(fertile), dt.date(2026, 4, 13)) == []


@pytest.mark.parametrize("fate", ["clear", "died in shell", "broken", "lost"])
def test_egg__that_is_gone_is_not_waited_for(fate):
    gone = replace(EGG, fate=EggFate(fate))
    assert due(a_nest(gone), dt.date(2026, 4, 30)) == []


def test_egg__of_a_year_ago_is_no_egg_in_a_nest():
    assert due(a_nest(EGG), LAID + dt.timedelta(365)) == []


def test_overdue__says_how_long_and_not_to_help_it_out():
    (duty,) = due_in_nests(a_nest(EGG), dt.date(2026, 4, 27))
    assert "2 days over" in duty.said
    assert "never help a chick out" in duty.said
    assert "Amniote" in duty.source
    assert (duty.clutch, duty.egg, duty.location) == ("k0001", 1, "Meadow 1")


@pytest.mark.parametrize(
    ("age", "urgency", "window"),
    [
        (3, None, None),
        (4, "soon", "not yet"),
        (7, "now", "open"),
        (12, "now", "open"),
        (13, "late", "late"),
        (19, "late", "missed"),
        (120, "late", "missed"),
        (121, None, None),
    ],
)
def test_chick__is_to_be_ringed_in_its_days_and_told_when_they_are_missed(
    age, urgency, window
):
    # Cockatiel: day 7 to 12, common practice, no source.
    flock = a_nest(HATCHED, more=(CHICK,))
    day = dt.date(2026, 4, 22) + dt.timedelta(age)
    rings = [it for it in due_in_nests(flock, day) if it.work is NestWork.RING]
    told = [(str(it.urgency), str(it.window)) for it in rings]
    assert told == ([(urgency, window)] if urgency else [])


def test_chick__with_a_ring_is_done():
    ring = a_ring(bird="b0003", put_on="2026-05-01")
    flock = a_nest(HATCHED, more=(CHICK, ring))
    assert due(flock, dt.date(2026, 5, 3)) == []


def test_chick__that_lost_weight_is_weighed_again():
    weights = [
        an_event("e0001", "b0003", EventKind.WEIGHED, "2026-04-27", weight_g=20.0),
        an_event("e0002", "b0003", EventKind.WEIGHED, "2026-04-28", weight_g=18.0),
    ]
    flock = a_nest(HATCHED, more=(CHICK, *weights))
    first = due_in_nests(flock, dt.date(2026, 4, 29))[0]
    assert (first.work, first.urgency, first.bird) == ("weigh again", "late", "b0003")
    assert "avian vet" in first.said


def test_chick__is_expected_to_fledge_and_then_out_of_the_nest():
    # 27 to 35 days (AnAge; Australian Parrots), three days more either way.
    ring = a_ring(bird="b0003", put_on="2026-05-01")
    flock = a_nest(HATCHED, more=(CHICK, ring))
    assert due(flock, dt.date(2026, 5, 15)) == []
    assert due(flock, dt.date(2026, 5, 16)) == [("fledging expected", "now")]
    assert due(flock, dt.date(2026, 5, 31)) == [("fledging expected", "late")]
    fledged = an_event("e0009", "b0003", EventKind.FLEDGED, "2026-05-28")
    flock = a_nest(HATCHED, more=(CHICK, ring, fledged))
    assert due(flock, dt.date(2026, 5, 31)) == []


def test_dead_chick__wants_nothing():
    flock = a_nest(HATCHED, more=(replace(CHICK, status="dead"),))
    assert due(flock, dt.date(2026, 5, 3)) == []


def test_duties__come_by_urgency_then_by_aviary():
    other = (
        replace(PARENTS[0], id="b0011", location="Alder 1"),
        replace(PARENTS[1], id="b0012", location="Alder 1"),
        replace(PARENTS[2], id="p0011", cock="b0011", hen="b0012"),
        Clutch("k0011", "p0011", laid=a_date("2026-04-20"), eggs=(Egg(1),)),
    )
    flock = a_nest(EGG, replace(EGG, number=2, laid=a_date("2026-04-07")), more=other)
    duties = due_in_nests(flock, dt.date(2026, 4, 29))
    assert [duty.urgency for duty in duties] == [
        Urgency.LATE,
        Urgency.NOW,
        Urgency.NOW,
    ]
    assert [duty.location for duty in duties[1:]] == ["Alder 1", "Meadow 1"]
