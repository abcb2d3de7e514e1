"""All that is due on a day, by rule and as set down; nothing twice, nothing lost."""

import datetime as dt

import pytest
from builders import a_bird, a_date, a_flock, a_ring, an_event

from ledger.care.due import DueKind, Press, by_aviary, due_in_flock
from ledger.domain import EventKind, Task, TaskKind

TODAY = dt.date(2026, 3, 1)
PIP = a_bird(species="Psittacus erithacus", hatched="2015", location="Aviary 3")
RING = a_ring(bird="b0001", size_mm=11.5, put_on="2015-05-01")
CHECKED = an_event(
    "e0001",
    kind=EventKind.RING_CHECKED,
    on="2026-02-20",
    finding="leg under the ring: all well",
    ring="r0001",
)


def due(*things, today=TODAY):
    return due_in_flock(a_flock(*things), today)


def told(found):
    return [(str(one.kind), one.press, one.on.isoformat()) for one in found]


def a_task(kind=TaskKind.FOLLOW_UP, due="2026-03-01", **fields):
    fields = {"bird": "b0001", "text": "look at it", **fields}
    return Task("t0001", kind=kind, due=a_date(due), **fields)


def weighed(number, on, grams):
    return an_event(f"e{number:04d}", kind=EventKind.WEIGHED, on=on, weight_g=grams)


def test_due__nothing_for_a_bird_that_was_checked():
    assert due(PIP, RING, CHECKED) == []


def test_due__a_yearly_look_is_routine_only():
    found = due(PIP, RING, CHECKED, today=dt.date(2027, 3, 1))
    assert told(found) == [("ring check", Press.ROUTINE, "2027-02-20")]


@pytest.mark.parametrize("status", ["dead", "lost"])
def test_due__nothing_for_a_bird_that_is_gone(status):
    gone = a_bird(species="x", status=status)
    assert due(gone, RING, a_task()) == []


def test_due__of_a_placed_bird_only_what_was_set_down():
    placed = a_bird(species="x", status="placed")
    assert told(due(placed, RING, a_task())) == [("follow up", Press.DUE, "2026-03-01")]


@pytest.mark.parametrize(
    ("day", "press"),
    [
        ("2026-03-01", Press.DUE),
        ("2026-02-01", Press.DUE),
        ("2026-03-08", Press.COMING),
        ("2026-03-09", None),
    ],
)
def test_task__shows_from_a_week_before(day, press):
    found = due(PIP, RING, CHECKED, a_task(due=day))
    assert [one.press for one in found] == ([] if press is None else [press])


def test_task__to_see_a_vet_presses_now():
    (one,) = due(PIP, RING, CHECKED, a_task(TaskKind.SEE_VET))
    assert one.press is Press.NOW
    assert not one.may_wait


def test_task__that_is_done_is_gone():
    assert due(PIP, RING, CHECKED, a_task(done=a_date("2026-02-28"))) == []


@pytest.mark.parametrize(
    ("weighed_on", "due_on", "is_done"),
    [
        ("2026-02-20", "2026-03-01", False),  # that is why it was set
        ("2026-02-25", "2026-03-01", True),
        ("2026-03-01", "2026-03-01", True),
        ("2026-02-20", "2026-02-20", True),
    ],
)
def test_task__to_weigh_is_done_by_a_weighing_since(weighed_on, due_on, is_done):
    task = a_task(TaskKind.WEIGH, due_on, set_on=a_date("2026-02-20"))
    found = due(PIP, RING, CHECKED, weighed(2, weighed_on, 400), task)
    assert (found == []) is is_done


def test_task__of_no_bird_is_due_too():
    (one,) = due(a_task(bird=None))
    assert (one.bird, one.name, one.why) == (None, "", "look at it")


@pytest.mark.parametrize(
    ("grams", "kind", "press"),
    [
        # birdsnways.com: 5 % is significant; birdchannel.com: 10 % or more, to a vet.
        (381, None, None),
        (380, "weigh", Press.DUE),
        (361, "weigh", Press.DUE),
        (360, "see an avian vet", Press.NOW),
    ],
)
def test_weight__a_loss_is_due_by_its_size(grams, kind, press):
    events = [weighed(2, "2026-01-20", 400), weighed(3, "2026-02-20", grams)]
    found = due(PIP, RING, CHECKED, *events)
    assert [(str(one.kind), one.press) for one in found] == (
        [(kind, press)] if kind else []
    )


def test_weight__weighed_again_is_due_no_more():
    events = [
        weighed(2, "2026-01-20", 400),
        weighed(3, "2026-02-20", 378),
        weighed(4, "2026-02-27", 381),
    ]
    assert due(PIP, RING, CHECKED, *events) == []


def test_weight__a_chick_that_slims_before_fledging_is_the_nests_matter():
    chick = a_bird(species="Psittacus erithacus", hatched="2025-12-01")
    events = [weighed(2, "2026-01-20", 450), weighed(3, "2026-02-20", 400)]
    kinds = {one.kind for one in due(chick, RING, CHECKED, *events)}
    assert DueKind.VET not in kinds


SWELLING = an_event(
    "e0005",
    kind=EventKind.RING_CHECKED,
    on="2026-03-01",
    finding="leg under the ring: swelling",
    ring="r0001",
)


def test_alert__without_a_task_is_for_a_vet_now():
    vets = [one for one in due(PIP, RING, SWELLING) if one.kind is DueKind.VET]
    assert [(one.press, one.may_wait) for one in vets] == [(Press.NOW, False)]


def test_alert__with_its_task_stands_once():
    task = a_task(TaskKind.SEE_VET, because="e0005", set_on=a_date("2026-03-01"))
    vets = [one for one in due(PIP, RING, SWELLING, task) if one.kind is DueKind.VET]
    assert [one.task for one in vets] == ["t0001"]


def test_alert__whose_task_was_ticked_off_without_a_vet_comes_back():
    task = a_task(TaskKind.SEE_VET, because="e0005", done=a_date("2026-03-01"))
    vets = [one for one in due(PIP, RING, SWELLING, task) if one.kind is DueKind.VET]
    assert [one.task for one in vets] == [None]


def test_task__to_see_a_vet_is_answered_by_what_the_vet_found():
    task = a_task(TaskKind.SEE_VET, because="e0005", set_on=a_date("2026-03-01"))
    seen = an_event("e0006", kind=EventKind.EXAMINED, on="2026-03-01", text="Salve.")
    found = due(PIP, RING, SWELLING, seen, task)
    assert DueKind.VET not in {one.kind for one in found}


def test_task__to_see_a_vet_is_answered_by_the_ring_that_came_off():
    task = a_task(TaskKind.SEE_VET, because="e0005", set_on=a_date("2026-03-01"))
    off = an_event("e0006", kind=EventKind.RING_REMOVED, on="2026-03-01", ring="r0001")
    gone = a_ring(bird="b0001", state="removed", put_on="2015-05-01")
    assert due(PIP, gone, SWELLING, off, task) == []


def test_trial__is_due_once_though_a_task_sets_its_day():
    pip = a_bird(species="Psittacus erithacus", hatched="2025-12-01")
    rings = [
        a_ring(f"r000{n}", f"IE TWK / 25 {n}", bird="b0001", size_mm=size, leg=leg,
               trial=True, put_on="2025-12-14")
        for n, size, leg in ((1, 11.0, "left"), (2, 11.5, "right"))
    ]  # fmt: skip
    task = a_task(TaskKind.FIT_CHECK, due="2026-03-01")
    fits = [one for one in due(pip, *rings, CHECKED, task) if one.kind is DueKind.FIT]
    assert [one.press for one in fits] == [Press.DUE]


def test_trial__of_a_bird_nobody_knows_the_age_of_is_due_at_once():
    rings = [
        a_ring("r0001", bird="b0001", size_mm=11.0, trial=True),
        a_ring("r0002", "X 2", bird="b0001", size_mm=11.5, leg="right", trial=True),
    ]
    found = due(a_bird(species="Psittacus erithacus"), *rings, CHECKED)
    assert [one.on for one in found if one.kind is DueKind.FIT] == [TODAY]


def put_off(until, key):
    return a_task(TaskKind.RING_CHECK, until, puts_off=key, text="moults")


def test_put_off__waits_until_its_day_and_then_says_why():
    day = dt.date(2027, 3, 1)
    (one,) = due(PIP, RING, CHECKED, today=day)
    later = put_off("2027-04-01", one.key)
    assert due(PIP, RING, CHECKED, later, today=day) == []
    coming = due(PIP, RING, CHECKED, later, today=dt.date(2027, 3, 27))
    assert [(c.press, c.on) for c in coming] == [(Press.COMING, dt.date(2027, 4, 1))]
    (back,) = due(PIP, RING, CHECKED, later, today=dt.date(2027, 4, 1))
    assert back.press is Press.ROUTINE
    assert "put off until 2027-04-01: moults" in back.why


def test_put_off__does_not_hold_what_is_for_a_vet_now():
    (vet, *_) = due(PIP, RING, SWELLING)
    found = due(PIP, RING, SWELLING, put_off("2026-04-01", vet.key))
    assert found[0] == vet


def test_order__by_urgency_or_by_aviary():
    birds = [
        a_bird("b0001", "Pip", location="B"),
        a_bird("b0002", "Juno", location="A"),
    ]
    tasks = [
        Task("t0001", "b0001", TaskKind.SEE_VET, a_date("2026-03-01")),
        Task("t0002", "b0002", TaskKind.OTHER, a_date("2026-02-01"), "x"),
        Task("t0003", None, TaskKind.OTHER, a_date("2026-01-01"), "y"),
    ]
    found = due(*birds, *tasks)
    assert [one.task for one in found] == ["t0001", "t0003", "t0002"]
    by_place = [one.task for one in sorted(found, key=by_aviary)]
    assert by_place == ["t0002", "t0001", "t0003"]
