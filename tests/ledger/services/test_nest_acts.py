"""A clutch from the first egg to weaned young, on a real ledger in a folder."""

import datetime as dt

import pytest
from builders import a_bird, a_date, a_ring

from ledger.domain import (
    EggFate,
    EventKind,
    Kind,
    Leg,
    OwnSize,
    Pair,
    Put,
    Ring,
    RingKind,
    RingState,
    Status,
)
from ledger.errors import NotFoundError, RuleError
from ledger.services import book, chicks, nest
from ledger.services.checking import check

HATCHED = dt.date(2026, 4, 22)


@pytest.fixture
def ledger(tmp_path):
    with book.open_ledger(tmp_path / "ledger", create=True) as opened:
        settings = opened.flock.settings
        size = OwnSize("Cockatiel", 5.5)
        things = (
            a_bird("b0001", "Rook", sex="cock", species="Cockatiel", location="M 1"),
            a_bird("b0002", "Wren", sex="hen", species="Cockatiel", location="M 1"),
            a_ring("r0001", "IE TWK / 20 0001", bird="b0001"),
            a_ring("r0002", "IE TWK / 20 0052", bird="b0002"),
            Pair("p0001", "b0001", "b0002", formed=a_date("2026-01-20")),
            type(settings)(own_sizes=(size,)),
            *(
                Ring(f"r001{n}", f"IE TWK / 26 001{n}", RingKind.CLOSED, size_mm=5.5)
                for n in (7, 4)
            ),
            Ring("r0020", "TWK S 3", RingKind.SPLIT, size_mm=5.5),
        )
        opened.commit([Put(it) for it in things], author="test", what="set up")
        yield opened


@pytest.fixture
def clutch(ledger):
    return nest.lay_egg(ledger, "p0001", dt.date(2026, 4, 1), "Nora")


@pytest.fixture
def chick(ledger, clutch):
    return nest.hatch(ledger, clutch.id, 1, HATCHED, "Nora", name="Bit", weight_g=4.5)


def days(number):
    return HATCHED + dt.timedelta(number)


def acts(ledger):
    return len(list(ledger.acts()))


def test_life__from_egg_to_weaned_leaves_nothing_to_mend(ledger, clutch, chick):
    for day, grams in ((3, 9.0), (6, 21.0), (9, 44.0)):
        _, loss = chicks.weigh_chick(ledger, chick.id, grams, days(day), "Nora")
        assert loss is None
    proposal = chicks.propose_ring(ledger.flock, chick.id, days(9))
    assert proposal.ring.inscription == "IE TWK / 26 0014"
    ring = chicks.ring_chick(ledger, chick.id, proposal.ring, days(9), "Nora")
    assert (ring.state, ring.bird) == (RingState.ON_BIRD, chick.id)
    chicks.fledge(ledger, chick.id, days(33), "Nora", weight_g=92.0)
    chicks.wean(ledger, chick.id, days(50), "Nora")
    bird = ledger.flock.birds[chick.id]
    assert (bird.species, bird.sire, bird.dam) == ("Cockatiel", "b0001", "b0002")
    assert (bird.location, str(bird.hatched)) == ("M 1", "2026-04-22")
    assert [str(event.kind) for event in ledger.flock.events_of(chick.id)] == [
        "weaned",
        "fledged",
        "ring put on",
        *["weighed"] * 4,
    ]
    assert check(ledger) == []


def test_lay__begins_a_clutch_and_goes_on_with_it(ledger, clutch):
    assert (clutch.number, str(clutch.laid), len(clutch.eggs)) == (1, "2026-04-01", 1)
    more = nest.lay_egg(
        ledger, "p0001", dt.date(2026, 4, 3), "Nora", clutch_id=clutch.id
    )
    assert [egg.number for egg in more.eggs] == [1, 2]
    assert more.id == clutch.id
    second = nest.lay_egg(ledger, "p0001", dt.date(2026, 7, 1), "Nora")
    assert (second.id != clutch.id, second.number) == (True, 2)


def test_lay__each_egg_is_one_act(ledger, clutch):
    before = acts(ledger)
    nest.lay_egg(ledger, "p0001", dt.date(2026, 4, 3), "Nora", clutch_id=clutch.id)
    assert acts(ledger) == before + 1


def test_lay__of_a_pair_that_was_parted_is_refused(ledger):
    nest.part_pair(ledger, "p0001", dt.date(2026, 3, 1), "Nora")
    with pytest.raises(RuleError, match="Rook and Wren were parted 2026-03-01"):
        nest.lay_egg(ledger, "p0001", dt.date(2026, 4, 1), "Nora")
    with pytest.raises(RuleError, match="were parted"):
        nest.part_pair(ledger, "p0001", dt.date(2026, 3, 2), "Nora")


def test_lay__of_no_pair_or_in_no_clutch(ledger):
    with pytest.raises(NotFoundError):
        nest.lay_egg(ledger, "p0009", dt.date(2026, 4, 1), "Nora")
    with pytest.raises(NotFoundError):
        nest.lay_egg(ledger, "p0001", dt.date(2026, 4, 1), "Nora", clutch_id="k0009")


@pytest.mark.parametrize("fate", ["fertile", "in nest", "clear", "died in shell"])
def test_candle__keeps_what_light_showed_and_when(ledger, clutch, fate):
    egg = nest.candle(
        ledger, clutch.id, 1, EggFate(fate), dt.date(2026, 4, 9), "Nora", notes="veins"
    )
    assert (egg.fate, str(egg.candled), egg.notes) == (fate, "2026-04-09", "veins")
    assert (egg.ended is not None) == (fate in ("clear", "died in shell"))
    assert ledger.flock.clutches[clutch.id].eggs == (egg,)


def test_candle__before_it_was_laid_is_refused_and_nothing_stored(ledger, clutch):
    before = acts(ledger)
    with pytest.raises(RuleError, match="before it was laid"):
        nest.candle(ledger, clutch.id, 1, EggFate.FERTILE, dt.date(2026, 3, 9), "Nora")
    assert acts(ledger) == before


def test_candle__what_light_cannot_show_is_refused(ledger, clutch):
    with pytest.raises(RuleError, match="Light does not show"):
        nest.candle(ledger, clutch.id, 1, EggFate.LOST, dt.date(2026, 4, 9), "Nora")


def test_egg__that_is_spent_takes_no_more(ledger, clutch):
    nest.end_egg(ledger, clutch.id, 1, EggFate.BROKEN, dt.date(2026, 4, 9), "Nora")
    with pytest.raises(RuleError, match="entered as broken"):
        nest.hatch(ledger, clutch.id, 1, HATCHED, "Nora")
    second = nest.lay_egg(ledger, "p0001", dt.date(2026, 6, 1), "Nora")
    with pytest.raises(RuleError, match="is no end of an egg"):
        nest.end_egg(ledger, second.id, 1, EggFate.HATCHED, dt.date(2026, 6, 9), "Nora")
    with pytest.raises(NotFoundError, match="has no egg 7"):
        nest.candle(ledger, clutch.id, 7, EggFate.CLEAR, dt.date(2026, 4, 9), "Nora")


def test_hatch__before_it_was_laid_is_refused_whole(ledger, clutch):
    with pytest.raises(RuleError, match="before it was laid"):
        nest.hatch(ledger, clutch.id, 1, dt.date(2026, 3, 1), "Nora")
    assert len(ledger.flock.all_of(Kind.BIRD)) == 2
    assert ledger.flock.clutches[clutch.id].eggs[0].fate is EggFate.IN_NEST


def test_weigh__a_loss_is_told_at_once(ledger, chick):
    chicks.weigh_chick(ledger, chick.id, 20.0, days(5), "Nora")
    _, loss = chicks.weigh_chick(ledger, chick.id, 18.0, days(6), "Nora")
    assert "2 g less than on 2026-04-27" in loss.said


@pytest.mark.parametrize(
    ("age", "words"),
    [(4, "not yet"), (9, ""), (14, "must not be forced"), (30, "missed")],
)
def test_warnings__of_a_closed_ring_are_by_its_age(ledger, chick, age, words):
    ring = ledger.flock.rings["r0014"]
    said = chicks.warnings_of_ring(ledger.flock, chick.id, ring, days(age))
    assert bool(said) is bool(words)
    assert words in " ".join(said)


def test_warnings__of_a_size_name_whose_it_is(ledger, chick):
    ring = Ring("", "X 1", RingKind.CLOSED, size_mm=7.5)
    said = chicks.warnings_of_ring(ledger.flock, chick.id, ring, days(9))
    assert "2 mm too large" in said[0]
    assert "your own size" in said[0]


def test_ring__with_its_days_missed_only_split_or_chip_is_offered(ledger, chick):
    proposal = chicks.propose_ring(ledger.flock, chick.id, days(30))
    assert proposal.is_missed
    assert proposal.ring.inscription == "TWK S 3"
    said = " ".join(proposal.said)
    # Regulation (EC) 865/2006, Article 66(2): the closed ring of captive-bred birds.
    assert "865/2006" in said
    assert "neither proves any more" in said


def test_ring__closed_after_its_days_needs_a_word_and_stays_a_finding(ledger, chick):
    ring = ledger.flock.rings["r0014"]
    with pytest.raises(RuleError, match="missed") as refused:
        chicks.ring_chick(ledger, chick.id, ring, days(30), "Nora")
    assert "split ring" in refused.value.hint
    assert ledger.flock.rings["r0014"].state is RingState.IN_STOCK
    worn = chicks.ring_chick(
        ledger, chick.id, ring, days(30), "Nora", although="Stunted, foot small."
    )
    assert worn.notes == "Put on after its days. Stunted, foot small."
    (finding,) = check(ledger)
    assert "at least 30 days old" in finding.message


def test_ring__split_after_the_days_is_taken_from_stock_by_what_it_reads(ledger, chick):
    typed = Ring("", "twk s 3", RingKind.SPLIT, leg=Leg.RIGHT)
    worn = chicks.ring_chick(ledger, chick.id, typed, days(30), "Nora")
    assert (worn.id, worn.leg, worn.size_mm) == ("r0020", Leg.RIGHT, 5.5)
    assert check(ledger) == []


def test_propose__of_another_year_or_with_no_size_has_no_ring(ledger, chick):
    old = book.register_bird(
        ledger, a_bird("", "Old", species="Cockatiel", hatched="2025-06-01"), "Nora"
    )
    proposal = chicks.propose_ring(ledger.flock, old.id, dt.date(2025, 6, 10))
    assert proposal.ring is None
    assert "No closed ring of 5.5 mm of 2025 is in stock" in " ".join(proposal.said)
    odd = book.register_bird(ledger, a_bird("", "Odd", species="unicorn"), "Nora")
    proposal = chicks.propose_ring(ledger.flock, odd.id, dt.date(2025, 6, 10))
    assert proposal.ring is None
    assert "No ring size" in " ".join(proposal.said)


@pytest.mark.parametrize("act", [chicks.fledge, chicks.wean])
def test_growing__happens_once_and_to_a_chick(ledger, chick, act):
    act(ledger, chick.id, days(33), "Nora")
    with pytest.raises(RuleError, match="on 2026-05-25 already"):
        act(ledger, chick.id, days(34), "Nora")
    grown = book.register_bird(ledger, a_bird("", "Old", hatched="2020"), "Nora")
    with pytest.raises(RuleError, match="is no chick"):
        act(ledger, grown.id, days(34), "Nora")
    clutch = nest.lay_egg(ledger, "p0001", dt.date(2026, 6, 1), "Nora")
    other = nest.hatch(ledger, clutch.id, 1, dt.date(2026, 6, 22), "Nora")
    with pytest.raises(RuleError, match="before it hatched"):
        act(ledger, other.id, dt.date(2026, 6, 20), "Nora")


def test_chick__that_dies_is_out_of_the_nest(ledger, chick):
    chicks.chick_died(ledger, chick.id, days(5), "Nora", "Cold, crop empty.")
    assert ledger.flock.birds[chick.id].status is Status.DEAD
    event = ledger.flock.events_of(chick.id)[0]
    assert (event.kind, event.text) == (EventKind.DIED, "Cold, crop empty.")
