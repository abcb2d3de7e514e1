"""A fit check of trial rings: which one stays, and where the other one goes."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from ledger.care.leg_findings import RED_LINE, Found
from ledger.care.trial import STAYS, TrialStep, called, trial_of
from ledger.domain.change import Put
from ledger.domain.event import Event, EventKind
from ledger.domain.kind import Kind
from ledger.domain.mark_rules import called_ring
from ledger.domain.removal import Removal
from ledger.domain.ring import RingState
from ledger.domain.task import Task, TaskKind
from ledger.errors import RuleError
from ledger.services.ledger import bird_of, date_of
from ledger.services.tasks import closed
from ledger.services.trials import fit_task

if TYPE_CHECKING:
    from ledger.care.trial import Trial
    from ledger.domain.bird import Bird
    from ledger.domain.change import Change
    from ledger.domain.flock import Flock
    from ledger.domain.partial_date import PartialDate
    from ledger.domain.ring import Ring
    from ledger.services.ledger import Ledger, When


@dataclass(frozen=True)
class OtherRing:
    """How the ring that does not stay came off."""

    by: str
    """Who took it off: an avian vet, or whom the local rules allow."""
    state: RingState = RingState.REMOVED
    """REMOVED, or LOST where it fell off and is gone."""
    kept: str = ""
    """Where it is kept; "" where it is not."""


def decide(
    ledger: Ledger,
    bird_id: str,
    stays_id: str,
    on: When,
    author: str,
    *,
    text: str = "",
    leg_mm: float | None = None,
    other: OtherRing | None = None,
) -> None:
    """Enter which of two trial rings stays; the other comes off now or later.

    Args:
        ledger: An open ledger.
        bird_id: The bird.
        stays_id: The ring that stays.
        on: When the fit was checked.
        author: Who looked.
        text: Why this one.
        leg_mm: Diameter of the leg at mid-length, where it was measured.
        other: How the other came off, where it did so at once; else it stands on
            Today until it is off.

    Raises:
        NotFoundError: there is no such bird.
        RuleError: no two rings are on trial, this is none of them, or it is not said
            who took the other off.
    """
    flock = ledger.flock
    bird = bird_of(flock, bird_id)
    trial = _trial(flock, bird, TrialStep.ON_TRIAL)
    stays = next((ring for ring in trial.rings if ring.id == stays_id), None)
    if stays is None:
        raise RuleError(
            f"{stays_id} is not on trial on {bird.title}.",
            "Choose one of its two rings.",
        )
    event = Event(
        flock.next_id(Kind.EVENT),
        bird.id,
        EventKind.FIT_CHECKED,
        date_of(on),
        text=text.strip(),
        by=author,
        at=bird.location,
        ring=stays.id,
        finding="; ".join(
            filter(None, [f"{STAYS}: {called(stays)}", Found(leg_mm=leg_mm).as_finding])
        ),
    )
    changes: list[Change] = [Put(event), Put(replace(stays, trial=False))]
    changes += closed(flock, bird_id, TaskKind.FIT_CHECK, on)
    if other is not None:
        (off,) = (ring for ring in trial.rings if ring.id != stays.id)
        changes += _taken_off(flock, bird, off, stays, date_of(on), other, after=1)
    what = f"{bird.title}: fit check, {called(stays)} stays"
    ledger.commit(changes, author=author, what=what)


def take_off(
    ledger: Ledger, bird_id: str, on: When, author: str, other: OtherRing
) -> Ring:
    """Enter that the ring that does not stay came off, and where it is.

    Returns:
        The ring as stored.

    Raises:
        NotFoundError: there is no such bird.
        RuleError: nothing was decided, or it is not said who took it off.
    """
    flock = ledger.flock
    bird = bird_of(flock, bird_id)
    trial = _trial(flock, bird, TrialStep.DECIDED)
    if trial.stays is None:
        raise RuleError("It is not decided which ring stays.", "Check the fit first.")
    off = trial.rings[0]
    changes = _taken_off(flock, bird, off, trial.stays, date_of(on), other)
    after = ledger.commit(
        changes, author=author, what=f"{called_ring(off)} taken off {bird.title}"
    )
    return after.rings[off.id]


def look_again(
    ledger: Ledger, bird_id: str, on: When, again: dt.date, author: str, text: str = ""
) -> Task:
    """Enter that the fit was checked and nothing is decided; and when to look again.

    Raises:
        NotFoundError: there is no such bird.
        RuleError: no two rings are on trial, or the day is not later.
    """
    flock = ledger.flock
    bird = bird_of(flock, bird_id)
    _trial(flock, bird, TrialStep.ON_TRIAL)
    day = date_of(on)
    if again <= day.latest:
        raise RuleError(
            f"{again} is not after {on}.", "Give the day of the next fit check."
        )
    event = _fit_event(flock, bird, day, author, "not decided", text)
    task = fit_task(flock, bird, again, day, text.strip() or "not decided before")
    closing = closed(flock, bird_id, TaskKind.FIT_CHECK, on)
    ledger.commit(
        [Put(event), *closing, Put(task)],
        author=author,
        what=f"{bird.title}: fit check, again on {again}",
    )
    return task


def neither_fits(
    ledger: Ledger, bird_id: str, on: When, author: str, text: str
) -> Task:
    """Enter that neither trial ring fits: a vet must see it.

    Returns:
        The task to see an avian vet, due at once.

    Raises:
        NotFoundError: there is no such bird.
        RuleError: no two rings are on trial, or it is not said what is wrong.
    """
    flock = ledger.flock
    bird = bird_of(flock, bird_id)
    _trial(flock, bird, TrialStep.ON_TRIAL)
    if not text.strip():
        raise RuleError("It is not said what is wrong.", "Say how they sit.")
    day = date_of(on)
    event = _fit_event(flock, bird, day, author, "neither fits", text)
    vet = Task(
        flock.next_id(Kind.TASK, after=1),
        bird.id,
        TaskKind.SEE_VET,
        day,
        f"Neither trial ring fits: {text.strip()}. An avian vet today. {RED_LINE}",
        because=event.id,
        set_on=day,
    )
    again = fit_task(
        flock, bird, day.latest + dt.timedelta(days=7), day, "neither fitted"
    )
    closing = closed(flock, bird_id, TaskKind.FIT_CHECK, on)
    ledger.commit(
        [Put(event), *closing, Put(again), Put(vet)],
        author=author,
        what=f"{bird.title}: fit check, neither ring fits",
    )
    return vet


def _trial(flock: Flock, bird: Bird, step: TrialStep) -> Trial:
    trial = trial_of(
        bird,
        flock.rings_of(bird.id),
        flock.events_of(bird.id),
        flock.tasks_of(bird.id),
    )
    if trial is None or trial.step is not step:
        decided = trial is not None and trial.step is TrialStep.DECIDED
        raise RuleError(
            f"{bird.title} wears no two rings on trial."
            if not decided
            else f"{bird.title}'s trial is decided: {trial.why if trial else ''}.",
            "Look at its page.",
        )
    return trial


def _fit_event(
    flock: Flock, bird: Bird, on: PartialDate, author: str, finding: str, text: str
) -> Event:
    return Event(
        flock.next_id(Kind.EVENT),
        bird.id,
        EventKind.FIT_CHECKED,
        on,
        text=text.strip(),
        by=author,
        at=bird.location,
        finding=finding,
    )


def _taken_off(
    flock: Flock,
    bird: Bird,
    off: Ring,
    stays: Ring,
    on: PartialDate,
    other: OtherRing,
    *,
    after: int = 0,
) -> list[Change]:
    """The ring off and accounted for, its event, and its removal with who did it."""
    lost = other.state is RingState.LOST
    by = other.by.strip()
    if not by and not lost:
        raise RuleError(
            f"{called_ring(off)} can only leave the bird with a name.",
            "Say who took it off: an avian vet, or whom your local rules allow, with "
            "the proper cutter. Never by force at home.",
        )
    why = f"trial over: {called(stays)} stays"
    ring = replace(
        off,
        state=other.state,
        removed=on,
        removed_reason=why,
        removed_by=by,
        replaced_by=stays.id,
        trial=False,
        kept="" if lost else other.kept.strip(),
    )
    how = "fell off and is lost" if lost else f"taken off by {by}"
    kept = f"; kept: {ring.kept}" if ring.kept else ""
    event = Event(
        flock.next_id(Kind.EVENT, after=after),
        bird.id,
        EventKind.RING_REMOVED,
        on,
        text=f"{off.inscription} {how}: {why}{kept}",
        by=by,
        ring=off.id,
    )
    if lost:
        return [Put(ring), Put(event)]
    removal = Removal(
        flock.next_id(Kind.REMOVAL),
        bird.id,
        off.id,
        on,
        why,
        by,
        ring_kept=ring.kept,
        notes=f"{called_ring(stays)} stays and carries the identity on.",
    )
    return [Put(ring), Put(event), Put(removal)]
