"""Taking a round into the ledger: one act, so that one undo takes all of it back."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from ledger.care.leg_findings import LEG_SCALE
from ledger.domain.bird import Status
from ledger.domain.change import Drop, Put
from ledger.domain.event import Event, EventKind
from ledger.domain.kind import Kind
from ledger.domain.partial_date import PartialDate
from ledger.domain.walk import SeenHow, Settled
from ledger.errors import RuleError
from ledger.services.walk import first_sightings, walk_of

if TYPE_CHECKING:
    import datetime as dt

    from ledger.domain.bird import Bird
    from ledger.domain.change import Change
    from ledger.domain.flock import Flock
    from ledger.domain.walk import Sighting, WalkThrough
    from ledger.services.ledger import Ledger


@dataclass(frozen=True)
class Applied:
    """What a round brought into the ledger."""

    moved: int = 0
    back: int = 0
    """Came back, found again, alive after all."""
    lost: int = 0
    weighed: int = 0
    noted: int = 0
    """Notes, and states of ring and leg."""
    seen: int = 0

    @property
    def said(self) -> str:
        """In words."""
        parts = [
            f"{number} {word}"
            for number, word in (
                (self.seen, "seen"),
                (self.moved, "moved"),
                (self.back, "back"),
                (self.lost, "lost"),
                (self.weighed, "weighed"),
                (self.noted, "notes"),
            )
            if number
        ]
        return ", ".join(parts) or "nothing to take over"


@dataclass
class _Act:
    """The changes of one act, as they come together."""

    flock: Flock
    walk: WalkThrough
    author: str
    changes: list[Change] = field(default_factory=list)
    counts: dict[str, int] = field(default_factory=dict)
    _events: int = 0

    def count(self, what: str) -> None:
        self.counts[what] = self.counts.get(what, 0) + 1

    def event(self, kind: EventKind, sighting: Sighting, **fields: object) -> None:
        """An event of the bird that was seen, on the day it was seen."""
        event = Event(
            self.flock.next_id(Kind.EVENT, after=self._events),
            sighting.bird or "",
            kind,
            _day(sighting.time, self.walk),
            by=self.author,
        )
        self._events += 1
        self.changes.append(Put(replace(event, **fields)))  # type: ignore[arg-type]


def apply(ledger: Ledger, walk_id: str, now: dt.datetime, author: str) -> Applied:
    """Take a round over: moves, birds that are back, weights, states and notes.

    Only what is settled is taken over; what is open stays open. Every bird seen gets
    its sighting.

    Args:
        ledger: An open ledger.
        walk_id: A round that has ended.
        now: The time where the keeper is.
        author: Who says so.

    Raises:
        NotFoundError: there is no such round.
        RuleError: it goes on, was applied already, or a rule of the flock says no.
        StoreError: it could not be stored.
    """
    flock = ledger.flock
    walk = walk_of(flock, walk_id)
    if not walk.ended:
        raise RuleError(f"Round {walk.id} still goes on.", "End it first.")
    if walk.applied:
        raise RuleError(
            f"Round {walk.id} was taken into the ledger already.",
            "`flock-ledger undo` takes that back.",
        )
    act = _Act(flock, walk, author)
    lasting = _lasting(flock, walk_id)
    for bird_id, sighting in lasting.items():
        bird = flock.birds.get(bird_id)
        if bird is not None:
            _take_over(act, bird, sighting)
    for sighting in flock.sightings_in(walk_id):
        bird = flock.birds.get(sighting.bird or "")
        if bird is not None and sighting.settled != Settled.READ_WRONGLY:
            _observations(act, bird, sighting)
    for absence in walk.absences:
        bird = flock.birds.get(absence.bird)
        if absence.settled == Settled.LOST and bird and bird.status is Status.ALIVE:
            _enter_as_lost(act, bird)
    done = replace(walk, applied=now.isoformat(timespec="seconds"))
    act.changes.append(Put(done))
    applied = Applied(**act.counts)
    ledger.commit(
        act.changes, author=author, what=f"Round {walk.id} taken over: {applied.said}"
    )
    return applied


def _lasting(flock: Flock, walk_id: str) -> dict[str, Sighting]:
    """By bird the sighting that says where it lives: one settled so, else the first."""
    found = dict(first_sightings(flock, walk_id))
    for sighting in flock.sightings_in(walk_id):
        if sighting.bird and sighting.settled == Settled.LIVES_HERE:
            found[sighting.bird] = sighting
    return found


_BACK = {
    Settled.CAME_BACK: (Status.PLACED, EventKind.RETURNED),
    Settled.FOUND: (Status.LOST, EventKind.FOUND),
    Settled.ALIVE: (Status.DEAD, None),
}


def _take_over(act: _Act, bird: Bird, sighting: Sighting) -> None:
    """What the sighting means for where the bird stands with us."""
    where = sighting.aviary
    if sighting.settled == Settled.LIVES_HERE and bird.status is Status.ALIVE:
        if bird.location != where:
            act.changes.append(Put(replace(bird, location=where)))
            act.event(EventKind.MOVED, sighting, at=where, text=f"From {bird.location}")
            act.count("moved")
        return
    status, kind = _BACK.get(sighting.settled, (None, None))  # type: ignore[call-overload]
    if status is None or bird.status is not status:
        return
    act.changes.append(
        Put(replace(bird, status=Status.ALIVE, location=where, owner=None))
        if status is Status.PLACED
        else Put(replace(bird, status=Status.ALIVE, location=where))
    )
    if status is Status.PLACED:
        for placement in act.flock.placements_of(bird.id):
            if placement.returned is None:
                back = _day(sighting.time, act.walk)
                act.changes.append(Put(replace(placement, returned=back)))
    if status is Status.DEAD:
        for event in act.flock.events_of(bird.id):
            if event.kind is EventKind.DIED:
                act.changes.append(Drop(Kind.EVENT, event.id))
        text = "Seen alive on a walk-through; its death was taken out."
        act.event(EventKind.NOTE, sighting, text=text)
    elif kind is not None:
        act.event(kind, sighting, at=where, text="Seen on a walk-through")
    act.count("back")


def _observations(act: _Act, bird: Bird, sighting: Sighting) -> None:
    """Sighting, weight, ring, leg and note of one bird."""
    back = sighting.settled in (Settled.CAME_BACK, Settled.FOUND, Settled.ALIVE)
    if bird.status is Status.DEAD and not back:
        return  # nothing happens to a dead bird but what is said of it
    how = (
        "Known by sight on a walk-through; no ring was read"
        if sighting.how is SeenHow.BY_SIGHT
        else f"Walk-through: {sighting.how} “{sighting.read}”"
    )
    act.event(
        EventKind.SIGHTED,
        sighting,
        text=how,
        at=sighting.aviary,
        ring=sighting.ring,
        photos=sighting.photos,
    )
    act.count("seen")
    if sighting.weight_g is not None:
        act.event(EventKind.WEIGHED, sighting, weight_g=sighting.weight_g)
        act.count("weighed")
    if sighting.states:
        said = sighting.states
        act.event(
            EventKind.RING_CHECKED,
            sighting,
            text=f"{said[:1].upper()}{said[1:]}",
            ring=sighting.ring,
            finding=f"{LEG_SCALE}: {sighting.leg_state}" if sighting.leg_state else "",
        )
        act.count("noted")
    if sighting.notes:
        act.event(EventKind.NOTE, sighting, text=sighting.notes)
        act.count("noted")


def _enter_as_lost(act: _Act, bird: Bird) -> None:
    event = Event(
        act.flock.next_id(Kind.EVENT, after=act._events),
        bird.id,
        EventKind.LOST,
        act.walk.on or PartialDate.parse(act.walk.started[:10]),
        text="Not seen on a walk-through",
        by=act.author,
    )
    act._events += 1
    act.changes += [Put(replace(bird, status=Status.LOST, location="")), Put(event)]
    act.count("lost")


def _day(time: str, walk: WalkThrough) -> PartialDate:
    return PartialDate.parse(time[:10]) if time else walk.on or _begun(walk)


def _begun(walk: WalkThrough) -> PartialDate:
    return PartialDate.parse(walk.started[:10])
