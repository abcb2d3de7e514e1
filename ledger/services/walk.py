"""A walk-through under way: every sighting is stored at once, one act each."""

from __future__ import annotations

from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import TYPE_CHECKING

from ledger.care.leg_findings import LEG_VERDICTS, RED_LINE, LegFinding
from ledger.domain.change import Drop, Put
from ledger.domain.kind import Kind
from ledger.domain.ring import compact
from ledger.domain.walk import SeenHow, Settled, Sighting, Stop, WalkThrough
from ledger.errors import NotFoundError, RuleError
from ledger.services.ledger import refuse_if_read_only
from ledger.services.photos import keep_photos

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Mapping, Sequence
    from pathlib import Path

    from ledger.domain.change import Change
    from ledger.domain.flock import Flock
    from ledger.services.ledger import Ledger

RING_WELL, LEG_WELL = "well", str(LegFinding.WELL)
RING_STATES = (RING_WELL, "worn, hard to read", "bent or broken")
"""What a keeper can say of a ring at a glance."""
_SEEN_IN_PASSING = (
    LegFinding.WELL,
    LegFinding.RED,
    LegFinding.SORE,
    LegFinding.SWELLING,
    LegFinding.STUCK,
)
LEG_STATES = tuple(str(grade) for grade in _SEEN_IN_PASSING)
"""Grades of the scale of ring checks that one sees in passing."""
CALL_A_VET = f"An avian vet today. {RED_LINE}"
_SERIOUS = frozenset(
    str(grade) for grade in _SEEN_IN_PASSING if LEG_VERDICTS[grade].vet_within_days == 0
)


def needs_a_vet(sighting: Sighting) -> bool:
    """Whether what was seen of ring and leg cannot wait."""
    return sighting.leg_state in _SERIOUS


@dataclass(frozen=True)
class At:
    """Where a round stands: an aviary, and the bird to look at next there."""

    stop: int
    """Place in the round, from 0."""
    bird: str | None
    """Bird id; None where nobody is left to be seen."""


def walk_of(flock: Flock, walk_id: str) -> WalkThrough:
    """The round with this id.

    Raises:
        NotFoundError: there is none.
    """
    walk = flock.walks.get(walk_id)
    if walk is None:
        raise NotFoundError(
            f"There is no round {walk_id} in this ledger.",
            "`flock-ledger walk` lists them.",
        )
    return walk


def counted(flock: Flock, walk_id: str) -> list[Sighting]:
    """The sightings of a round that count: those read wrongly do not."""
    return [
        sighting
        for sighting in flock.sightings_in(walk_id)
        if sighting.settled != Settled.READ_WRONGLY
    ]


class _First:
    """First sightings in the round asked for last; a flock never changes."""

    def __init__(self) -> None:
        self._at_hand: tuple[Flock, str, Mapping[str, Sighting]] | None = None

    def of(self, flock: Flock, walk_id: str) -> Mapping[str, Sighting]:
        at_hand = self._at_hand  # one look: photos are sorted in a thread
        if at_hand and at_hand[0] is flock and at_hand[1] == walk_id:
            return at_hand[2]
        found: dict[str, Sighting] = {}
        for sighting in counted(flock, walk_id):
            if sighting.bird is not None:
                found.setdefault(sighting.bird, sighting)
        self._at_hand = (flock, walk_id, MappingProxyType(found))
        return self._at_hand[2]


_first = _First()


def first_sightings(flock: Flock, walk_id: str) -> Mapping[str, Sighting]:
    """By bird, its first sighting that counts, wherever it was."""
    return _first.of(flock, walk_id)


def seen_at(flock: Flock, walk_id: str, aviary: str) -> dict[str, Sighting]:
    """By bird, its last sighting in this aviary."""
    here = compact(aviary)
    return {
        sighting.bird: sighting
        for sighting in counted(flock, walk_id)
        if sighting.bird is not None
        and (sighting.aviary == aviary or compact(sighting.aviary) == here)
    }


def resume_at(flock: Flock, walk_id: str) -> At:
    """Where to go on after a break or a crash: at the very bird.

    That is the aviary of the last sighting while it is open, else the first open one;
    and there the first bird not seen yet, counted from the last one seen.
    """
    walk = walk_of(flock, walk_id)
    seen = first_sightings(flock, walk_id)
    last = next(reversed(flock.sightings_in(walk_id)), None)
    still_open = [i for i, stop in enumerate(walk.stops) if not stop.done]
    if not still_open:
        return At(len(walk.stops) - 1, None)
    here = still_open[0]
    for i in still_open:
        if last and compact(walk.stops[i].aviary) == compact(last.aviary):
            here = i
    after = last.bird if last is not None else None
    return At(here, next_unseen(walk.stops[here], seen, after))


def next_unseen(
    stop: Stop, seen: Mapping[str, Sighting], after: str | None = None
) -> str | None:
    """The next bird of an aviary that was not seen yet, going round from `after`."""
    birds = stop.birds
    start = birds.index(after) + 1 if after in birds else 0
    return next((b for b in birds[start:] + birds[:start] if b not in seen), None)


def see(
    ledger: Ledger,
    walk_id: str,
    aviary: str,
    now: dt.datetime,
    author: str,
    *,
    bird_id: str | None,
    ring_id: str | None = None,
    how: SeenHow = SeenHow.TYPED,
    read: str = "",
    photos: Sequence[Path] = (),
    settled: str = "",
) -> Sighting:
    """Store that a bird, or a ring nobody knows, was seen: one act.

    Args:
        ledger: An open ledger.
        walk_id: The round.
        aviary: Where it was seen.
        now: The time where the keeper is.
        author: Who saw it.
        bird_id: None while nobody knows which bird it is.
        ring_id: Its ring that was read; None for one known by sight.
        how: What tells that it is this bird.
        read: What was read or typed.
        photos: Copies are kept.
        settled: How a difference that it raises was settled at once.

    Raises:
        NotFoundError: there is no such round, bird or photo.
        RuleError: the round has ended.
        StoreError: it could not be stored.
    """
    flock = ledger.flock
    _refuse_if_ended(walk_of(flock, walk_id))
    bird = flock.birds.get(bird_id or "")
    if bird_id is not None and bird is None:
        raise NotFoundError(f"There is no bird {bird_id} in this ledger.")
    refuse_if_read_only(ledger)
    kept = keep_photos(ledger, photos, bird_id=bird_id, ring_id=ring_id, taken=None)
    sighting = Sighting(
        flock.next_id(Kind.SIGHTING),
        walk_id,
        aviary,
        bird_id,
        ring_id,
        how,
        read,
        tuple(photo.id for photo in kept),
        now.isoformat(timespec="seconds"),
        settled=settled,
    )
    changes: list[Change] = [Put(p) for p in kept if p.id not in flock.photos]
    who = bird.title if bird else f"unknown ring “{read}”"
    ledger.commit(
        [*changes, Put(sighting)],
        author=author,
        what=f"Round {walk_id}, {aviary}: {who} seen",
    )
    return sighting


def change_sighting(ledger: Ledger, sighting: Sighting, author: str) -> Sighting:
    """Store a sighting with other fields: ring, leg, weight, note, how it was settled.

    Raises:
        NotFoundError: there is no such sighting.
        RuleError: the round was applied already.
        StoreError: it could not be stored.
    """
    flock = ledger.flock
    if sighting.id not in flock.walk_sightings:
        raise NotFoundError("This sighting was taken back already.")
    _refuse_if_applied(walk_of(flock, sighting.walk or ""))
    who = flock.birds[sighting.bird].title if sighting.bird else sighting.read
    ledger.commit(
        [Put(sighting)],
        author=author,
        what=f"Round {sighting.walk}, {sighting.aviary}: {who} noted",
    )
    return sighting


def take_back(ledger: Ledger, sighting_id: str, author: str) -> None:
    """Take a sighting out, as if the key had not been pressed.

    Raises:
        NotFoundError: there is no such sighting.
        RuleError: the round was applied already.
        StoreError: it could not be stored.
    """
    sighting = ledger.flock.walk_sightings.get(sighting_id)
    if sighting is None:
        raise NotFoundError("This sighting was taken back already.")
    _refuse_if_applied(walk_of(ledger.flock, sighting.walk or ""))
    ledger.commit(
        [Drop(Kind.SIGHTING, sighting.id)],
        author=author,
        what=f"Round {sighting.walk}, {sighting.aviary}: sighting taken back",
    )


def close_aviary(
    ledger: Ledger, walk_id: str, stop: int, author: str, *, done: bool = True
) -> WalkThrough:
    """Say that an aviary is done, or open it again.

    Raises:
        NotFoundError: there is no such round.
        RuleError: the round has ended.
        StoreError: it could not be stored.
    """
    walk = walk_of(ledger.flock, walk_id)
    _refuse_if_ended(walk)
    stops = list(walk.stops)
    stops[stop] = replace(stops[stop], done=done)
    after = replace(walk, stops=tuple(stops))
    said = "closed" if done else "opened again"
    ledger.commit(
        [Put(after)],
        author=author,
        what=f"Round {walk_id}: {stops[stop].aviary} {said}",
    )
    return after


def end(ledger: Ledger, walk_id: str, now: dt.datetime, author: str) -> WalkThrough:
    """End a round; aviaries that were not closed stay told as not walked.

    Raises:
        NotFoundError: there is no such round.
        RuleError: it has ended already.
        StoreError: it could not be stored.
    """
    walk = walk_of(ledger.flock, walk_id)
    _refuse_if_ended(walk)
    after = replace(walk, ended=now.isoformat(timespec="seconds"))
    ledger.commit([Put(after)], author=author, what=f"Round {walk_id} ended")
    return after


def _refuse_if_ended(walk: WalkThrough) -> None:
    if walk.ended:
        raise RuleError(
            f"Round {walk.id} has ended.", "Begin a new one to see birds again."
        )


def _refuse_if_applied(walk: WalkThrough) -> None:
    if walk.applied:
        raise RuleError(
            f"Round {walk.id} was taken into the ledger already.",
            "Take that back first: `flock-ledger history` names the change.",
        )
