"""What is due for one bird by rule: trial rings, legs, weight. Nothing is kept."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from typing import TYPE_CHECKING

from ledger.care.duty import AHEAD_DAYS, Due, DueKind, Press
from ledger.care.leg_alerts import leg_alerts
from ledger.care.leg_findings import PRACTICE
from ledger.care.ring_check import ring_check
from ledger.care.trial import TrialStep, called, trial_of
from ledger.domain.event import EventKind
from ledger.domain.task import TaskKind

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from ledger.domain.bird import Bird
    from ledger.domain.event import Event
    from ledger.domain.flock import Flock
    from ledger.domain.task import Task

LOSS_TO_WEIGH_AGAIN = 0.05
"""Between two weighings: significant (birdsnways.com, thesprucepets.com)."""
LOSS_FOR_VET = 0.10
"""Between two weighings: to a vet (birdchannel.com)."""
_BETWEEN_WEIGHINGS_DAYS = 200
_WEIGH_AGAIN_DAYS = 7
_STALE_DAYS = 120
"""A loss so long ago says nothing of today."""
_IN_NEST_DAYS = 150


def due_by_rule(
    flock: Flock,
    bird: Bird,
    events: Sequence[Event],
    tasks: Sequence[Task],
    today: dt.date,
) -> Iterator[Due]:
    """What follows from what is entered about one bird that lives here.

    Args:
        flock: The flock.
        bird: The bird.
        events: Of it, newest first.
        tasks: Of it, those that are open.
        today: The day in question.
    """
    rings = flock.rings_of(bird.id)
    trial = trial_of(bird, rings, events, tasks) if rings else None
    if trial is not None:
        is_off = trial.step is TrialStep.DECIDED
        sizes = " and ".join(called(ring) for ring in trial.rings)
        what = "to come off" if is_off else "on trial"
        yield from _when(
            Due(
                f"trial {bird.id}",
                DueKind.TAKE_OFF if is_off else DueKind.FIT,
                Press.DUE,
                trial.due or today,
                f"{sizes} {what}: {trial.why}",
                trial.source,
                bird.location,
                bird.id,
                bird.title,
            ),
            today,
        )
    yield from _of_legs(flock, bird, events, tasks, today)
    yield from _of_weight(bird, events, today)


def _of_legs(
    flock: Flock,
    bird: Bird,
    events: Sequence[Event],
    tasks: Sequence[Task],
    today: dt.date,
) -> Iterator[Due]:
    rings = flock.rings_of(bird.id)
    check = ring_check(bird, rings, events, flock.settings, today) if rings else None
    if check is None:
        return
    asked = {task.because for task in tasks if task.kind is TaskKind.SEE_VET}
    for alert in leg_alerts(rings, events):
        if not alert.seen_by_vet and alert.event not in asked:
            yield Due(
                f"vet {alert.event}",
                DueKind.VET,
                Press.NOW if alert.is_for_today else Press.DUE,
                today,
                f"{alert.said} No vet is entered to have seen it.",
                PRACTICE,
                bird.location,
                bird.id,
                bird.title,
            )
    due = Due(
        f"ring check {bird.id}",
        DueKind.RING_CHECK,
        Press.DUE if check.risks else Press.ROUTINE,
        check.due,
        check.why,
        check.source,
        bird.location,
        bird.id,
        bird.title,
    )
    yield from _when(due, today)


def _of_weight(bird: Bird, events: Sequence[Event], today: dt.date) -> Iterator[Due]:
    """A loss between the last two weighings of a bird out of the nest."""
    weighed = (e for e in events if e.weight_g is not None)
    last, before = next(weighed, None), next(weighed, None)
    if last is None or before is None or not last.weight_g or not before.weight_g:
        return
    if (today - last.on.latest).days > _STALE_DAYS:
        return
    if (last.on.earliest - before.on.latest).days > _BETWEEN_WEIGHINGS_DAYS:
        return
    hatched = bird.hatched
    if hatched and (before.on.earliest - hatched.latest).days < _IN_NEST_DAYS:
        return
    loss = round(1 - last.weight_g / before.weight_g, 6)  # 360 of 400 is a tenth
    if loss < LOSS_TO_WEIGH_AGAIN:
        return
    said = (
        f"{last.weight_g:g} g on {last.on}, {loss:.0%} less than {before.weight_g:g} g "
        f"on {before.on}"
    )
    seen = any(
        e.kind in (EventKind.EXAMINED, EventKind.TREATED)
        for e in events
        if e.on.earliest >= last.on.latest
    )
    if loss >= LOSS_FOR_VET and not seen:
        yield Due(
            f"weight {last.id}",
            DueKind.VET,
            Press.NOW,
            last.on.latest,
            f"{said}: call an avian vet",
            "a loss of 10 % or more is for a vet (birdchannel.com)",
            bird.location,
            bird.id,
            bird.title,
        )
        return
    yield from _when(
        Due(
            f"weigh {last.id}",
            DueKind.WEIGH,
            Press.DUE,
            last.on.latest + dt.timedelta(days=_WEIGH_AGAIN_DAYS),
            f"{said}: weigh again",
            "a change of 5 % is significant (birdsnways.com); the week is "
            "common practice",
            bird.location,
            bird.id,
            bird.title,
        ),
        today,
    )


def _when(due: Due, today: dt.date) -> Iterator[Due]:
    """As it is once its day has come, as coming shortly before, else nothing."""
    if due.on <= today:
        yield due
    elif due.on <= today + dt.timedelta(days=AHEAD_DAYS) and due.press < Press.ROUTINE:
        yield replace(due, press=Press.COMING)
