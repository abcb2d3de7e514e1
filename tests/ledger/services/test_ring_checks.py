"""A look under the rings: stored, alerting, sending to a vet; and tasks."""

import datetime as dt

import pytest
from builders import a_bird, a_person, a_ring

from ledger.care.due import DueKind, due_of_bird
from ledger.care.leg_findings import Found, LegFinding
from ledger.domain import EventKind, FlockSettings, Put, RingState, TaskKind
from ledger.errors import RuleError
from ledger.services import book, history, tasks
from ledger.services.card import as_text, emergency_card
from ledger.services.ring_checks import check_rings
from ledger.store import open_store

DAY = dt.date(2026, 3, 1)
NEXT = dt.date(2026, 3, 2)
WELL = Found(LegFinding.WELL)
SWOLLEN = Found(LegFinding.SWELLING)
THINGS = (
    FlockSettings(name="Tidewrack Aviaries", vet="h0001"),
    a_person("h0001", "Una Keogh", role="vet", phone="+353 1 555 0100"),
    a_bird(species="Psittacus erithacus", hatched="2015", location="Aviary 3"),
    a_ring("r0001", bird="b0001", leg="left", size_mm=11.5, put_on="2015-05-01"),
    a_ring("r0002", "SQ 7", bird="b0001", leg="right", put_on="2016"),
    a_bird("b0002", "Juno"),
)


@pytest.fixture
def ledger(tmp_path):
    with open_store(tmp_path, create=True) as store:
        store.commit([Put(thing) for thing in THINGS], author="t", what="set up")
    with book.open_ledger(tmp_path) as ledger:
        yield ledger


def alerts(ledger, today=DAY):
    return emergency_card(ledger.flock, "b0001", today).alerts


def due(ledger, today=DAY):
    return due_of_bird(ledger.flock, ledger.flock.birds["b0001"], today)


def vets(ledger, today=DAY):
    return [one for one in due(ledger, today) if one.kind is DueKind.VET]


def test_all_well__is_kept_for_every_ring_in_one_act(ledger):
    before = len(list(ledger.acts()))
    checked = check_rings(ledger, "b0001", WELL, DAY, "Nora")
    assert len(list(ledger.acts())) == before + 1
    assert [event.ring for event in checked.events] == ["r0001", "r0002"]
    assert {event.finding for event in checked.events} == {
        "leg under the ring: all well"
    }
    assert (checked.vet, checked.said, alerts(ledger)) == (None, "", ())


def test_a_sore__alerts_on_the_card_and_sends_to_a_vet_today(ledger):
    checked = check_rings(
        ledger, "b0001", SWOLLEN, DAY, "Nora", ring_id="r0001", text="above the ring"
    )
    assert checked.vet.kind is TaskKind.SEE_VET
    assert str(checked.vet.due) == "2026-03-01"
    assert checked.vet.because == checked.events[0].id
    (alert,) = alerts(ledger)
    assert "swelling" in alert
    assert "avian vet today" in alert
    assert "!! ALERT" in as_text(emergency_card(ledger.flock, "b0001", DAY))
    assert [one.task for one in vets(ledger)] == [checked.vet.id]
    assert ledger.flock.birds["b0001"].alerts == ()


def test_a_sore__found_again_is_neither_alerted_nor_set_down_twice(ledger):
    first = check_rings(ledger, "b0001", SWOLLEN, DAY, "Nora", ring_id="r0001")
    second = check_rings(
        ledger, "b0001", Found(LegFinding.RED), NEXT, "Nora", ring_id="r0001"
    )
    assert second.vet.id == first.vet.id
    assert str(second.vet.due) == "2026-03-01"  # the sooner day stays
    assert len(alerts(ledger, NEXT)) == 1
    assert len(vets(ledger, NEXT)) == 1


def test_sores__under_two_rings_are_two(ledger):
    for ring in ("r0001", "r0002"):
        check_rings(ledger, "b0001", SWOLLEN, DAY, "Nora", ring_id=ring)
    assert len(alerts(ledger)) == 2
    assert len(vets(ledger)) == 2


def test_vet__done_takes_it_off_today_and_the_alert_stays_until_all_is_well(ledger):
    vet = check_rings(ledger, "b0001", SWOLLEN, DAY, "Nora", ring_id="r0001").vet
    tasks.finish(ledger, vet.id, DAY, "Nora", "Cleaned; ring turns again.")
    assert vets(ledger) == []
    (alert,) = alerts(ledger)
    assert "Seen by a vet 2026-03-01; look again." in alert
    newest = ledger.flock.events_of("b0001")[0]
    assert (newest.kind, newest.text) == (
        EventKind.EXAMINED, "Cleaned; ring turns again.",
    )  # fmt: skip
    assert DueKind.RING_CHECK in {one.kind for one in due(ledger, NEXT)}
    check_rings(ledger, "b0001", WELL, NEXT, "Nora")
    assert alerts(ledger, NEXT) == ()


def test_vet__cannot_be_done_without_saying_what_was_found(ledger):
    vet = check_rings(ledger, "b0001", SWOLLEN, DAY, "Nora", ring_id="r0001").vet
    with pytest.raises(RuleError, match="not said what the vet found"):
        tasks.finish(ledger, vet.id, DAY, "Nora", " ")
    assert ledger.flock.tasks[vet.id].done is None


def test_vet__today_cannot_be_put_off(ledger):
    check_rings(ledger, "b0001", SWOLLEN, DAY, "Nora", ring_id="r0001")
    (vet,) = vets(ledger)
    with pytest.raises(
        RuleError, match="Pip cannot wait: it is for an avian vet today"
    ):
        tasks.put_off(ledger, vet, NEXT, "no time", "Nora", DAY)


def test_check__of_a_bird_without_a_ring_is_refused(ledger):
    with pytest.raises(RuleError, match="Juno wears no ring"):
        check_rings(ledger, "b0002", WELL, DAY, "Nora")
    with pytest.raises(RuleError, match="Pip does not wear this ring"):
        check_rings(ledger, "b0001", WELL, DAY, "Nora", ring_id="r0009")
    with pytest.raises(RuleError, match="not said what was found"):
        check_rings(ledger, "b0001", Found(), DAY, "Nora")


def test_check__does_the_task_that_asked_for_it(ledger):
    tasks.set_task(ledger, "b0001", TaskKind.RING_CHECK, DAY, "", "Nora", DAY)
    check_rings(ledger, "b0001", WELL, DAY, "Nora")
    assert all(task.done for task in ledger.flock.tasks_of("b0001"))


def test_alert__ends_when_the_ring_is_taken_off(ledger):
    check_rings(ledger, "b0001", SWOLLEN, DAY, "Nora", ring_id="r0001")
    book.remove_ring_with_chip(
        ledger, "r0001", DAY, "Nora", reason="swelling", removed_by="Una Keogh"
    )
    assert ledger.flock.rings["r0001"].state is RingState.REMOVED
    assert alerts(ledger) == ()


def test_check__taken_back_takes_alert_and_task_with_it(ledger):
    check_rings(ledger, "b0001", SWOLLEN, DAY, "Nora", ring_id="r0001")
    history.undo(ledger, "Nora")
    assert alerts(ledger) == ()
    assert vets(ledger) == []


# --- tasks ---


def test_task__set_by_hand_comes_and_is_done(ledger):
    task = tasks.set_task(
        ledger, "b0002", TaskKind.FOLLOW_UP, NEXT, "look again", "Nora", DAY
    )
    bird = ledger.flock.birds["b0002"]
    (one,) = due_of_bird(ledger.flock, bird, NEXT)
    assert (one.task, one.why) == (task.id, "look again")
    tasks.finish(ledger, task.id, NEXT, "Nora", "all well")
    assert due_of_bird(ledger.flock, bird, NEXT) == []
    with pytest.raises(RuleError, match="It was done 2026-03-02"):
        tasks.finish(ledger, task.id, NEXT, "Nora")


@pytest.mark.parametrize(
    ("text", "day", "said"),
    [("", NEXT, "not said what is to be done"), ("x", dt.date(2026, 2, 1), "is past")],
)
def test_task__that_makes_no_sense_is_refused(ledger, text, day, said):
    with pytest.raises(RuleError, match=said):
        tasks.set_task(ledger, "b0002", TaskKind.OTHER, day, text, "Nora", DAY)


def test_put_off__of_a_task_moves_it_and_keeps_the_reason(ledger):
    task = tasks.set_task(ledger, "b0002", TaskKind.OTHER, DAY, "x", "Nora", DAY)
    (one,) = due_of_bird(ledger.flock, ledger.flock.birds["b0002"], DAY)
    tasks.put_off(ledger, one, dt.date(2026, 4, 1), "rain", "Nora", DAY)
    kept = ledger.flock.tasks[task.id]
    assert str(kept.due) == "2026-04-01"
    assert "rain" in kept.notes
    assert len(ledger.flock.tasks) == 1


def test_put_off__of_a_rule_is_one_task_however_often(ledger):
    (one,) = [x for x in due(ledger) if x.kind is DueKind.RING_CHECK]
    for day in (dt.date(2026, 4, 1), dt.date(2026, 5, 1)):
        tasks.put_off(ledger, one, day, "moult", "Nora", DAY)
    (task,) = ledger.flock.tasks.values()
    assert (task.puts_off, str(task.due)) == (one.key, "2026-05-01")
    assert due(ledger) == []


@pytest.mark.parametrize(
    ("day", "reason", "said"),
    [
        (NEXT, " ", "No reason is given"),
        (DAY, "moult", "no day to wait for"),
        (dt.date(2028, 1, 1), "moult", "no day to wait for"),
    ],
)
def test_put_off__needs_a_reason_and_a_day(ledger, day, reason, said):
    (one,) = [x for x in due(ledger) if x.kind is DueKind.RING_CHECK]
    with pytest.raises(RuleError, match=said):
        tasks.put_off(ledger, one, day, reason, "Nora", DAY)
