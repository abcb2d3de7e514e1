"""Trial rings as acts: refused, warned, put on, decided, the other accounted for."""

import datetime as dt

import pytest
from builders import a_bird, a_ring

from ledger.care.due import DueKind, due_of_bird
from ledger.domain import EventKind, Leg, PartialDate, Put, Ring, RingKind, RingState
from ledger.errors import RuleError
from ledger.services import book, trial_decision, trials
from ledger.services.trial_decision import OtherRing
from ledger.store import open_store

DAY = dt.date(2026, 2, 1)
LATER = dt.date(2026, 4, 1)
CHICK = a_bird(species="Psittacus erithacus", hatched="2026-01-15", location="Nest 1")
STOCK = a_ring("r0001", "IE TWK / 26 0001", size_mm=11.0, leg="unknown")
STOCK_2 = a_ring("r0002", "IE TWK / 26 0002", size_mm=11.5, leg="unknown")


@pytest.fixture
def ledger(tmp_path):
    with open_store(tmp_path, create=True) as store:
        things = (CHICK, STOCK, STOCK_2)
        store.commit([Put(thing) for thing in things], author="t", what="set up")
    with book.open_ledger(tmp_path) as ledger:
        yield ledger


def begin(ledger, left=STOCK, right=STOCK_2, **how):
    return trials.begin_trial(ledger, "b0001", left, right, DAY, "Nora", **how)


def due_kinds(ledger, today=LATER):
    bird = ledger.flock.birds["b0001"]
    return [one.kind for one in due_of_bird(ledger.flock, bird, today)]


def test_begin__puts_both_on_in_one_act_and_sets_the_check(ledger):
    before = len(list(ledger.acts()))
    task = begin(ledger, check_on=LATER)
    assert len(list(ledger.acts())) == before + 1
    left, right = (ledger.flock.rings[key] for key in ("r0001", "r0002"))
    assert (left.leg, right.leg) == (Leg.LEFT, Leg.RIGHT)
    assert all(r.trial and r.state is RingState.ON_BIRD for r in (left, right))
    assert task.due.earliest == LATER
    assert DueKind.FIT in due_kinds(ledger)
    kinds = [event.kind for event in ledger.flock.events_of("b0001")]
    assert kinds == [EventKind.RING_PUT_ON] * 2


def test_begin__takes_rings_that_are_not_from_stock(ledger):
    new = Ring("", "AB 1", RingKind.CLOSED, size_mm=11.0)
    other = Ring("", "AB 2", RingKind.CLOSED, size_mm=11.5)
    begin(ledger, new, other)
    worn = ledger.flock.rings_of("b0001")
    assert [ring.id for ring in worn] == ["r0003", "r0004"]


@pytest.mark.parametrize(
    ("left", "right", "said"),
    [
        (STOCK, STOCK, "cannot be on both legs"),
        (STOCK, a_ring("", "X 1", size_mm=11.0), "Both rings measure 11 mm"),
        (STOCK, a_ring("", "X 1"), "one is not entered"),
        (STOCK, a_ring("", "", size_mm=11.5), "has no inscription"),
    ],
)
def test_begin__refuses_what_is_no_trial(ledger, left, right, said):
    with pytest.raises(RuleError, match=said):
        begin(ledger, left, right)
    assert ledger.flock.rings_of("b0001") == ()


def test_begin__refuses_a_leg_that_wears_a_ring(ledger):
    begin(ledger)
    with pytest.raises(RuleError, match=r"wears Ring .* already") as refused:
        begin(ledger, a_ring("", "X 1", size_mm=9), a_ring("", "X 2", size_mm=10))
    assert "Splittgerber" in refused.value.hint


def test_begin__refuses_closed_rings_past_the_days(ledger):
    with pytest.raises(RuleError, match="No closed ring goes on Pip") as refused:
        trials.begin_trial(ledger, "b0001", STOCK, STOCK_2, LATER, "Nora")
    assert "Never force it" in refused.value.hint
    assert "do not prove" in refused.value.hint


def test_begin__refuses_a_bird_that_is_gone(ledger):
    book.record_event(ledger, "b0001", EventKind.DIED, DAY, "Nora")
    with pytest.raises(RuleError, match="gets no trial rings: it is dead"):
        begin(ledger)


def test_warnings__of_sizes_that_are_no_neighbours_and_of_another_year(ledger):
    flock, bird = ledger.flock, ledger.flock.birds["b0001"]
    day = book.add_note(ledger, "b0001", "x", DAY, "Nora").on
    assert trials.trial_warnings(flock, bird, STOCK, STOCK_2, day) == ()
    far = a_ring("", "IE TWK / 24 0009", size_mm=14.0)
    said = trials.trial_warnings(flock, bird, STOCK, far, day)
    assert "no neighbours" in said[0]
    assert "BArtSchV Anlage 6" in said[0]
    assert "is of 2024, and Pip hatched 2026-01-15" in said[-1]


def test_warnings__where_neither_size_is_of_the_species(ledger):
    # BArtSchV Anlage 6: Psittacus erithacus 11.5 mm.
    flock, bird = ledger.flock, ledger.flock.birds["b0001"]
    pair = [a_ring("", f"X {mm:g}", size_mm=mm) for mm in (7.0, 7.5)]
    said = " ".join(trials.trial_warnings(flock, bird, *pair, bird.hatched))
    assert "4.5 mm too small for a Psittacus erithacus" in said
    assert "BArtSchV" in said


def test_suggest__is_of_the_species_size_and_its_neighbour_of_the_hatch_year(ledger):
    usual, beside = trials.suggest_rings(ledger.flock, ledger.flock.birds["b0001"])
    assert (usual.size_mm, beside.size_mm) == (11.5, 11.0)
    older = a_bird(species="Psittacus erithacus", hatched="2025-01-15")
    assert trials.suggest_rings(ledger.flock, older) == (None, None)


def test_decide__with_the_other_off_ends_the_trial_with_the_chain_whole(ledger):
    begin(ledger, check_on=LATER)
    trial_decision.decide(
        ledger, "b0001", "r0002", LATER, "Nora", text="11 mm is tight",
        other=OtherRing("Una Keogh, vet", kept="drawer 2"),
    )  # fmt: skip
    flock = ledger.flock
    off, stays = flock.rings["r0001"], flock.rings["r0002"]
    assert (off.state, off.kept, off.replaced_by) == (
        RingState.REMOVED, "drawer 2", "r0002",
    )  # fmt: skip
    assert not off.trial
    assert not stays.trial
    chain = flock.identity_chain("b0001")
    assert [(link.mark.id, link.is_on) for link in chain] == [
        ("r0001", False),
        ("r0002", True),
    ]
    assert chain[0].replaced_by == stays
    (removal,) = flock.removals_of("b0001")
    assert (removal.ring, removal.vet, removal.ring_kept) == (
        "r0001", "Una Keogh, vet", "drawer 2",
    )  # fmt: skip
    assert {DueKind.FIT, DueKind.TAKE_OFF}.isdisjoint(due_kinds(ledger))
    assert all(task.done for task in flock.tasks_of("b0001"))


def test_decide__first_and_off_later_stands_on_today_until_it_is_off(ledger):
    begin(ledger)
    trial_decision.decide(ledger, "b0001", "r0001", LATER, "Nora")
    assert DueKind.TAKE_OFF in due_kinds(ledger)
    assert DueKind.FIT not in due_kinds(ledger)
    off = trial_decision.take_off(
        ledger, "b0001", LATER, "Nora", OtherRing("Una Keogh, vet")
    )
    assert (off.id, off.state, off.replaced_by) == ("r0002", RingState.REMOVED, "r0001")
    assert DueKind.TAKE_OFF not in due_kinds(ledger)


def test_take_off__without_a_name_is_refused_and_changes_nothing(ledger):
    begin(ledger)
    trial_decision.decide(ledger, "b0001", "r0001", LATER, "Nora")
    with pytest.raises(RuleError, match="only leave the bird with a name") as refused:
        trial_decision.take_off(ledger, "b0001", LATER, "Nora", OtherRing(" "))
    assert "avian vet" in refused.value.hint
    assert ledger.flock.rings["r0002"].state is RingState.ON_BIRD


def test_take_off__a_ring_that_fell_off_is_lost_and_has_no_removal(ledger):
    begin(ledger)
    trial_decision.decide(ledger, "b0001", "r0001", LATER, "Nora")
    trial_decision.take_off(
        ledger, "b0001", LATER, "Nora", OtherRing("", RingState.LOST)
    )
    assert ledger.flock.rings["r0002"].state is RingState.LOST
    assert ledger.flock.removals_of("b0001") == ()
    link = next(x for x in ledger.flock.identity_chain("b0001") if not x.is_on)
    assert link.replaced_by.id == "r0001"


def test_look_again__sets_another_day_and_only_one(ledger):
    begin(ledger, check_on=LATER)
    trial_decision.look_again(
        ledger, "b0001", LATER, dt.date(2026, 5, 1), "Nora", "both turn"
    )
    open_tasks = [t for t in ledger.flock.tasks_of("b0001") if t.done is None]
    assert [str(task.due) for task in open_tasks] == ["2026-05-01"]
    assert DueKind.FIT not in due_kinds(ledger)


def test_neither_fits__is_for_a_vet_at_once(ledger):
    begin(ledger, check_on=LATER)
    with pytest.raises(RuleError, match="not said what is wrong"):
        trial_decision.neither_fits(ledger, "b0001", LATER, "Nora", " ")
    vet = trial_decision.neither_fits(ledger, "b0001", LATER, "Nora", "both above")
    assert "do not turn, cut or take it off at home" in vet.text
    assert DueKind.VET in due_kinds(ledger)


@pytest.mark.parametrize("act", ["decide", "take_off", "look_again"])
def test_acts__without_a_trial_are_refused(ledger, act):
    words = {
        "decide": ("r0001", LATER, "Nora"),
        "take_off": (LATER, "Nora", OtherRing("Una")),
        "look_again": (LATER, dt.date(2026, 5, 1), "Nora"),
    }[act]
    with pytest.raises(RuleError, match="wears no two rings on trial"):
        getattr(trial_decision, act)(ledger, "b0001", *words)


def test_decide__of_another_ring_is_refused(ledger):
    begin(ledger)
    with pytest.raises(RuleError, match="r0009 is not on trial on Pip"):
        trial_decision.decide(ledger, "b0001", "r0009", LATER, "Nora")


def test_check_day__is_the_published_age_then_the_keepers_own(ledger):
    flock, bird = ledger.flock, ledger.flock.birds["b0001"]
    # Handbook of the Birds of the World, via Smeele 2022: fledging at 80 days.
    day, age = trials.check_day(flock, bird, bird.hatched)
    assert (day, age.days) == (dt.date(2026, 4, 5), 80)
    assert "fledging, 80 days" in age.source
    day, _ = trials.check_day(flock, bird, bird.hatched, 100)
    begin(ledger, check_on=day)
    flock = ledger.flock
    next_chick = a_bird("b0002", species="African Grey", hatched="2026-03-01")
    day, age = trials.check_day(flock, next_chick, bird.hatched)
    assert (day, age.days) == (dt.date(2026, 6, 9), 100)
    assert age.source.startswith("your own at the last trial of this species; 80 days")
    other = a_bird("b0003", species="Senegal Parrot", hatched="2026-03-01")
    assert "fledging" in trials.check_day(flock, other, bird.hatched)[1].source


def test_check_day__counts_from_the_ring_where_no_hatching_is_known(ledger):
    bird = a_bird(species="Psittacus erithacus")
    day, _ = trials.check_day(ledger.flock, bird, PartialDate.of(DAY), 30)
    assert day == dt.date(2026, 3, 3)
