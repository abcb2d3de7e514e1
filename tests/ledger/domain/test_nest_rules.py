"""What `check` says of nests and of the age at ringing."""

import datetime as dt

import pytest
from builders import a_bird, a_date, a_flock, a_ring, an_event

from ledger.domain import (
    Clutch,
    Egg,
    EggFate,
    EventKind,
    FlockSettings,
    OwnWindow,
    Pair,
    RingKind,
)
from ledger.domain.age_rules import last_day_for_closed_ring
from ledger.domain.rules import check

PARENTS = (
    a_bird("b0001", "Rook", sex="cock", species="Cockatiel", hatched="2020"),
    a_bird("b0002", "Wren", sex="hen", species="Cockatiel", hatched="2020"),
    a_ring("r0001", "IE TWK / 20 0001", bird="b0001"),
    a_ring("r0002", "IE TWK / 20 0052", bird="b0002"),
)


def a_nest(*eggs, formed="2026-01", parted=None):
    pair = Pair(
        "p0001",
        "b0001",
        "b0002",
        formed=a_date(formed),
        parted=a_date(parted) if parted else None,
    )
    return a_flock(*PARENTS, pair, Clutch("k0001", "p0001", eggs=eggs))


def an_egg(number=1, laid="2026-04-01", fate="in nest", **days):
    dates = {name: a_date(day) for name, day in days.items()}
    return Egg(number, a_date(laid), EggFate(fate), **dates)


def said(flock):
    return [finding.message for finding in check(flock)]


def test_nest__in_order_has_no_findings():
    # 20 to 20.5 days of incubation (Amniote database; Handbook).
    egg = an_egg(fate="hatched", candled="2026-04-08", hatched="2026-04-21")
    assert said(a_nest(egg, an_egg(2, "2026-04-03", "clear", ended="2026-04-11"))) == []


@pytest.mark.parametrize(
    ("flock", "words"),
    [
        (a_nest(an_egg(), an_egg()), "more than one egg 1"),
        (a_nest(an_egg(candled="2026-03-30")), "candled 2026-03-30, before it was"),
        (a_nest(an_egg(fate="broken", ended="2026-03-30")), "broken 2026-03-30"),
        (a_nest(an_egg(hatched="2026-04-21")), "is still said to be in nest"),
        (
            a_nest(an_egg(fate="hatched", hatched="2026-04-11")),
            "would have hatched 10 days after it was laid; published are 20 to 20.5",
        ),
        (a_nest(an_egg(fate="hatched", hatched="2026-05-06")), "hatched 35 days"),
        (a_nest(an_egg(), formed="2026-05"), "before its pair was formed 2026-05"),
        (a_nest(an_egg(), parted="2026-01-20"), "long after its pair was parted"),
    ],
)
def test_nest__out_of_order_is_one_finding(flock, words):
    (message,) = said(flock)
    assert words in message


def test_nest__a_date_that_is_vague_is_not_doubted():
    assert said(a_nest(an_egg(laid="2026", fate="hatched", hatched="2026-05"))) == []


def test_nest__egg_and_chick_that_hatched_on_other_days():
    chick = a_bird("b0003", "Bit", hatched="2026-04-25", species="Cockatiel")
    egg = Egg(1, None, EggFate.HATCHED, a_date("2026-04-21"), "b0003")
    ring = a_ring("r0003", "IE TWK / 26 0007", bird="b0003")
    flock = a_flock(*PARENTS, chick, ring, Clutch("k0001", eggs=(egg,)))
    (message,) = said(flock)
    assert "hatched 2026-04-21, and its chick Bit 2026-04-25" in message


def test_growing__leaves_the_nest_once_and_before_it_is_weaned():
    def of(*events):
        bird = a_bird(hatched="2026-04-21")
        return said(a_flock(bird, a_ring(bird="b0001"), *events))

    fledged = an_event("e0001", kind=EventKind.FLEDGED, on="2026-05-25")
    again = an_event("e0002", kind=EventKind.FLEDGED, on="2026-05-27")
    weaned = an_event("e0003", kind=EventKind.WEANED, on="2026-05-20")
    assert of(fledged) == []
    assert "has fledged 2 times" in of(fledged, again)[0]
    assert "weaned 2026-05-20, before it fledged" in of(fledged, weaned)[0]


@pytest.mark.parametrize(
    ("day", "is_doubted"), [("2026-05-02", True), ("2026-05-21", False)]
)
def test_growing__far_too_young_to_fledge_is_doubted(day, is_doubted):
    # AnAge: 27 days to fledging in the cockatiel; Australian Parrots: 35.
    bird = a_bird(hatched="2026-04-21", species="Cockatiel")
    fledged = an_event("e0001", kind=EventKind.FLEDGED, on=day)
    found = said(a_flock(bird, a_ring(bird="b0001"), fledged))
    assert bool(found) is is_doubted
    assert all("fledged at 11 days; published are 27 and more" in it for it in found)


@pytest.mark.parametrize(
    ("species", "days"),
    [
        ("Cockatiel", 24),  # twice 12 days: common practice, no source
        ("Budgerigar", 20),  # twice 10 days: bcsa.com.au, doubled by practice
        ("Grey Parrot", 28),  # papageien.org ringFAQ (hobby page): not after 4 weeks
        ("unicorn", 42),  # common practice, no source
    ],
)
def test_closed_ring__is_doubted_after_a_day_that_the_species_gives(species, days):
    assert last_day_for_closed_ring(species) == days
    hatched = dt.date(2026, 5, 1)
    bird = a_bird(hatched=str(hatched), species=species)

    def put_on(age, kind=RingKind.CLOSED):
        day = str(hatched + dt.timedelta(age))
        return said(a_flock(bird, a_ring(bird=bird.id, put_on=day, kind=kind)))

    assert put_on(days) == []
    assert f"at least {days + 1} days old" in put_on(days + 1)[0]
    assert put_on(days + 1, RingKind.SPLIT) == []


def test_closed_ring__within_the_keepers_own_days_is_not_doubted():
    own = FlockSettings(own_windows=(OwnWindow("Cockatiel", 20, 30),))
    bird = a_bird(hatched="2026-05-01", species="Cockatiel")
    ring = a_ring(bird=bird.id, put_on="2026-05-30")
    assert said(a_flock(own, bird, ring)) == []
