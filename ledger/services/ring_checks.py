"""A look under a bird's rings: what was found, and the vet where it is bad."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from ledger.care.leg_alerts import leg_alerts
from ledger.care.leg_findings import Found, LegFinding, verdict
from ledger.care.ring_check import worn_rings
from ledger.domain.change import Put
from ledger.domain.event import Event, EventKind
from ledger.domain.kind import Kind
from ledger.domain.partial_date import PartialDate
from ledger.domain.ring import Leg
from ledger.domain.task import Task, TaskKind
from ledger.errors import RuleError
from ledger.services.ledger import bird_of, date_of
from ledger.services.tasks import closed, open_tasks

if TYPE_CHECKING:
    from ledger.domain.change import Change
    from ledger.domain.flock import Flock
    from ledger.domain.ring import Ring
    from ledger.services.ledger import Ledger, When


@dataclass(frozen=True)
class Checked:
    """What was stored."""

    events: tuple[Event, ...]
    vet: Task | None
    """The task to see a vet, where the finding is bad."""
    said: str
    """What to do, as sentences; "" where all is well."""


def check_rings(
    ledger: Ledger,
    bird_id: str,
    what: Found,
    on: When,
    author: str,
    *,
    ring_id: str | None = None,
    text: str = "",
    weight_g: float | None = None,
) -> Checked:
    """Enter a look under the rings of a bird.

    A bad finding sets down a task to see an avian vet, one for each ring however
    often it is found; the alert on the card follows from the finding itself.

    Args:
        ledger: An open ledger.
        bird_id: The bird.
        what: What was found.
        on: When.
        author: Who looked.
        ring_id: The ring under which it was found; None: the same under all it wears.
        text: In words.
        weight_g: If it was weighed.

    Raises:
        NotFoundError: there is no such bird.
        RuleError: it wears no ring, or not this one; or nothing was found or said.
    """
    flock = ledger.flock
    bird = bird_of(flock, bird_id)
    worn = worn_rings(flock.rings_of(bird_id))
    rings = [ring for ring in worn if ring_id in (None, ring.id)]
    if not rings:
        raise RuleError(
            f"{bird.title} does not wear this ring."
            if worn
            else f"{bird.title} wears no ring.",
            "Look at its page; write a note where something else was found.",
        )
    if not what.as_finding:
        raise RuleError("It is not said what was found.", "Choose a finding.")
    events = [
        Event(
            flock.next_id(Kind.EVENT, after=number),
            bird_id,
            EventKind.RING_CHECKED,
            date_of(on),
            text=text.strip(),
            weight_g=weight_g if number == 0 else None,
            by=author,
            at=bird.location,
            ring=ring.id,
            finding=what.as_finding,
        )
        for number, ring in enumerate(rings)
    ]
    changes: list[Change] = [Put(event) for event in events]
    changes += closed(flock, bird_id, TaskKind.RING_CHECK, on)
    asked = verdict(what)
    vet = None
    if asked.vet_within_days is not None:
        vet = _vet_task(flock, events[0], rings[0], what)
        changes.append(Put(vet))
    told = what.in_words or str(LegFinding.WELL)
    ledger.commit(changes, author=author, what=f"{bird.title}: ring check, {told}")
    return Checked(tuple(events), vet, asked.said)


def alerts_of(flock: Flock, bird_id: str) -> tuple[str, ...]:
    """What the card must say of a bird's legs, besides what the keeper entered."""
    alerts = leg_alerts(flock.rings_of(bird_id), flock.events_of(bird_id))
    return tuple(alert.said for alert in alerts)


def called_place(ring: Ring) -> str:
    """A ring as one finds it on the bird: inscription and leg."""
    name = f"“{ring.inscription}”" if ring.inscription else ring.id
    return name if ring.leg is Leg.UNKNOWN else f"{name}, {ring.leg} leg"


def _vet_task(flock: Flock, event: Event, ring: Ring, what: Found) -> Task:
    """A new task, or the open one about the same ring, brought up to date."""
    asked = verdict(what)
    due = event.on.latest + dt.timedelta(days=asked.vet_within_days or 0)
    known = [
        task
        for task in open_tasks(flock, event.bird)
        if task.kind is TaskKind.SEE_VET
        and not task.puts_off
        and (of := flock.events.get(task.because or "")) is not None
        and of.kind is EventKind.RING_CHECKED
        and of.ring == ring.id
    ]
    text = f"{what.in_words} at ring {called_place(ring)}. {asked.said}"
    if known:
        before = known[0].due
        sooner = min(due, before.earliest) if before else due
        return replace(
            known[0],
            due=PartialDate.of(sooner),
            text=text,
            because=event.id,
            set_on=event.on,
        )
    return Task(
        flock.next_id(Kind.TASK),
        event.bird,
        TaskKind.SEE_VET,
        PartialDate.of(due),
        text,
        because=event.id,
        set_on=event.on,
    )
