"""Everything that is due on a day: what was set down, and what follows by rule.

Nothing of the second kind is kept: it is worked out anew from the flock, so that it
cannot be forgotten nor stand twice. What the keeper put off is a task that names it.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from typing import TYPE_CHECKING

from ledger.care.due_rules import due_by_rule
from ledger.care.duty import (
    AHEAD_DAYS,
    PRESS_WORDS,
    Due,
    DueKind,
    Press,
    by_aviary,
    by_urgency,
)
from ledger.care.nest import NestWork, Urgency, due_in_nests
from ledger.domain.bird import Status
from ledger.domain.event import EventKind
from ledger.domain.kind import id_number
from ledger.domain.task import TaskKind

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from ledger.care.nest import NestDuty
    from ledger.domain.bird import Bird
    from ledger.domain.event import Event
    from ledger.domain.flock import Flock
    from ledger.domain.task import Task

__all__ = [
    "PRESS_WORDS",
    "Due",
    "DueKind",
    "Press",
    "by_aviary",
    "by_urgency",
    "due_beside_birds",
    "due_in_flock",
    "due_of_bird",
]


def due_in_flock(flock: Flock, today: dt.date) -> list[Due]:
    """All that is due or comes within a week, the most pressing first."""
    found = list(due_beside_birds(flock, today))
    for bird in flock.birds.values():
        found += due_of_bird(flock, bird, today)
    return sorted(found, key=by_urgency)


def due_of_bird(flock: Flock, bird: Bird, today: dt.date) -> list[Due]:
    """What is due for one bird, the nest apart; nothing for a dead or lost one."""
    if bird.status in (Status.DEAD, Status.LOST):
        return []
    tasks = [task for task in flock.tasks_of(bird.id) if task.done is None]
    if bird.status is not Status.ALIVE:
        return [_of_task(t, bird, today) for t in tasks if _shows(t, today)]
    events = flock.events_of(bird.id)
    rules = list(due_by_rule(flock, bird, events, tasks, today))
    said = {due.kind for due in rules if due.kind in (DueKind.FIT, DueKind.TAKE_OFF)}
    own = [
        _of_task(task, bird, today)
        for task in tasks
        if _shows(task, today)
        and not _is_answered(task, events)
        and not (task.kind is TaskKind.FIT_CHECK and said)
    ]
    set_down = {due.kind for due in own if due.press <= Press.DUE}
    by_rule = [due for due in rules if due.kind not in set_down]
    return [*own, *_put_off(by_rule, tasks, today)]


def due_beside_birds(flock: Flock, today: dt.date) -> Iterator[Due]:
    """Tasks of no bird, and all that is due in the nests."""
    tasks = [task for task in flock.tasks.values() if task.done is None]
    nests = [_of_nest(flock, duty, today) for duty in due_in_nests(flock, today)]
    yield from _put_off(nests, tasks, today)
    for task in tasks:
        if task.bird is None and _shows(task, today):
            yield _of_task(task, None, today)


_OF_TASK = {
    TaskKind.SEE_VET: DueKind.VET,
    TaskKind.FOLLOW_UP: DueKind.FOLLOW_UP,
    TaskKind.WEIGH: DueKind.WEIGH,
    TaskKind.FIT_CHECK: DueKind.FIT,
    TaskKind.RING_CHECK: DueKind.RING_CHECK,
    TaskKind.OTHER: DueKind.OTHER,
}


def _shows(task: Task, today: dt.date) -> bool:
    """A task of its own whose day has come or comes within a week."""
    if task.puts_off:
        return False
    soon = today + dt.timedelta(days=AHEAD_DAYS)
    return task.due is None or task.due.earliest <= soon


def _of_task(task: Task, bird: Bird | None, today: dt.date) -> Due:
    on = task.due.earliest if task.due else today
    kind = _OF_TASK[task.kind]
    press = Press.COMING if on > today else Press.DUE
    if kind is DueKind.VET and press is Press.DUE:
        press = Press.NOW
    return Due(
        f"task {task.id}",
        kind,
        press,
        on,
        task.text or str(task.kind),
        "",
        bird.location if bird else "",
        bird.id if bird else None,
        bird.title if bird else "",
        task.id,
    )


def _is_answered(task: Task, events: Sequence[Event]) -> bool:
    """What it asks for was entered since, by another way."""
    if task.kind is TaskKind.SEE_VET and task.because:
        return any(
            e.kind in _AT_THE_VETS
            and id_number(e.id) > id_number(task.because)
            and (task.set_on is None or e.on.latest >= task.set_on.earliest)
            for e in events
        )
    if task.set_on is None:
        return False
    day = task.due.earliest if task.due else task.set_on.latest
    since = [e for e in events if e.on.is_after(task.set_on) or e.on.earliest >= day]
    if task.kind is TaskKind.WEIGH:
        return any(e.weight_g is not None for e in since)
    if task.kind is TaskKind.RING_CHECK:
        return any(e.kind is EventKind.RING_CHECKED for e in since)
    return False


_AT_THE_VETS = {EventKind.EXAMINED, EventKind.TREATED, EventKind.RING_REMOVED}
_OF_NEST = {
    NestWork.RING: DueKind.RING,
    NestWork.WEIGH: DueKind.WEIGH,
    NestWork.CANDLE: DueKind.CANDLE,
    NestWork.HATCH: DueKind.HATCH,
    NestWork.OVERDUE: DueKind.HATCH,
    NestWork.FLEDGE: DueKind.FLEDGE,
}


def _of_nest(flock: Flock, duty: NestDuty, today: dt.date) -> Due:
    press = {
        Urgency.LATE: Press.NOW,
        Urgency.NOW: Press.DUE,
        Urgency.SOON: Press.COMING,
    }[duty.urgency]
    closes = duty.work is NestWork.RING and duty.until <= today
    if press is Press.DUE and closes:
        press = Press.NOW  # the last day of its window
    bird = flock.birds.get(duty.bird or "")
    egg = f" {duty.egg}" if duty.egg is not None else ""
    return Due(
        f"{duty.work} {duty.bird or duty.clutch}{egg}",
        _OF_NEST[duty.work],
        press,
        duty.since,
        duty.said,
        duty.source,
        duty.location,
        duty.bird,
        bird.title if bird else _parents(flock, duty.clutch),
        None,
        duty.clutch,
        duty.egg,
    )


def _parents(flock: Flock, clutch_id: str | None) -> str:
    clutch = flock.clutches.get(clutch_id or "")
    pair = flock.pairs.get(clutch.pair or "") if clutch else None
    birds = (
        [flock.birds.get(key or "") for key in (pair.cock, pair.hen)] if pair else []
    )
    return " x ".join(bird.title for bird in birds if bird)


def _put_off(
    due: Sequence[Due], tasks: Sequence[Task], today: dt.date
) -> Iterator[Due]:
    """Leave out what the keeper put off, until its day; say so shortly before."""
    waits = {task.puts_off: task for task in tasks if task.puts_off and task.due}
    for one in due:
        task = waits.get(one.key)
        until = task.due.earliest if task and task.due else None
        if task is None or until is None or not one.may_wait:
            yield one
            continue
        said = f"{one.why} (put off until {until}: {task.text})"
        if until <= today:
            yield replace(one, why=said)
        elif until <= today + dt.timedelta(days=AHEAD_DAYS):
            yield replace(one, press=Press.COMING, on=until, why=said)
