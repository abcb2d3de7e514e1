"""A round in figures: who was read, known by sight, not seen; and how long it took."""

from __future__ import annotations

import datetime as dt
import itertools
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from ledger.domain.walk import SeenHow
from ledger.services.walk import first_sightings, needs_a_vet, walk_of
from ledger.services.walk_differences import differences
from ledger.services.walk_plan import worn_ring

if TYPE_CHECKING:
    from collections.abc import Iterator

    from ledger.domain.flock import Flock
    from ledger.domain.walk import Sighting, WalkThrough
    from ledger.services.walk_differences import Difference

BREAK_MINUTES = 15
"""A longer pause between two sightings is a break and not counted as walking. Common
practice, no source."""


@dataclass(frozen=True)
class Line:
    """One bird of a round."""

    aviary: str
    """Where it should be; "" for one that was not expected anywhere."""
    bird: str
    name: str
    ring: str
    sighting: Sighting | None

    @property
    def how(self) -> str:
        """How it was seen, in words."""
        return str(self.sighting.how) if self.sighting else "not seen"


@dataclass(frozen=True)
class Summary:
    """One round."""

    walk: WalkThrough
    lines: tuple[Line, ...]
    """Every bird expected, as one walks."""
    differences: tuple[Difference, ...]
    n_read: int
    """Expected birds whose ring or chip was read."""
    n_by_sight: int
    n_unseen: int
    minutes: float
    """Walked, breaks left out."""
    urgent: tuple[str, ...]
    """What cannot wait, as sentences."""

    @property
    def n_expected(self) -> int:
        """Birds expected."""
        return len(self.lines)

    @property
    def coverage(self) -> str:
        """In one line."""
        part = f"{(self.n_expected - self.n_unseen) / (self.n_expected or 1):.0%}"
        return (
            f"{self.n_expected} expected: {self.n_read} read, {self.n_by_sight} known "
            f"by sight, {self.n_unseen} not seen ({part} seen)"
        )


def summary(flock: Flock, walk_id: str) -> Summary:
    """A round as it stands.

    Raises:
        NotFoundError: there is no such round.
    """
    walk = walk_of(flock, walk_id)
    seen = first_sightings(flock, walk_id)
    lines = tuple(
        Line(
            stop.aviary,
            bird,
            flock.birds[bird].title if bird in flock.birds else bird,
            worn_ring(flock, bird),
            seen.get(bird),
        )
        for stop in walk.stops
        for bird in stop.birds
    )
    found = [line.sighting for line in lines if line.sighting]
    by_sight = sum(one.how is SeenHow.BY_SIGHT for one in found)
    return Summary(
        walk,
        lines,
        differences(flock, walk_id),
        len(found) - by_sight,
        by_sight,
        len(lines) - len(found),
        _minutes(flock, walk),
        tuple(_urgent(flock, walk_id)),
    )


def _urgent(flock: Flock, walk_id: str) -> Iterator[str]:
    for sighting in flock.sightings_in(walk_id):
        if needs_a_vet(sighting):
            name = flock.birds[sighting.bird].title if sighting.bird else sighting.read
            yield f"{name}, {sighting.aviary}: {sighting.states}."


def _minutes(flock: Flock, walk: WalkThrough) -> float:
    """Time walked: from sighting to sighting, longer pauses left out."""
    told = [walk.started, *(s.time for s in flock.sightings_in(walk.id)), walk.ended]
    times = sorted(t for t in map(_time, told) if t is not None)
    longest = BREAK_MINUTES * 60
    steps = [
        (after - before).total_seconds() for before, after in itertools.pairwise(times)
    ]
    return sum(step for step in steps if step <= longest) / 60


def _time(told: str) -> dt.datetime | None:
    try:
        time = dt.datetime.fromisoformat(told)
    except ValueError:
        return None
    return time if time.tzinfo else time.replace(tzinfo=dt.UTC)


def last_before(flock: Flock, walk: WalkThrough) -> WalkThrough | None:
    """The round before this one that has ended."""
    earlier = [
        other
        for other in flock.walks.values()
        if other.ended and other.started < walk.started and other.id != walk.id
    ]
    return max(earlier, key=lambda other: other.started, default=None)


def compared(flock: Flock, walk: WalkThrough) -> list[str]:
    """What is otherwise than in the round before, as sentences."""
    before = last_before(flock, walk)
    if before is None:
        return ["It is the first round; there is none to compare it with."]
    now, then = summary(flock, walk.id), summary(flock, before.id)
    said = [
        f"Round {before.id} of {before.on}: {then.coverage}; "
        f"{len(then.differences)} differences, {then.minutes:.0f} minutes."
    ]
    seen_now = {line.bird for line in now.lines if line.sighting}
    unseen_now = {line.bird for line in now.lines if not line.sighting}
    unseen_then = {line.bird for line in then.lines if not line.sighting}
    still = sorted(unseen_now & unseen_then)
    again = sorted(seen_now & unseen_then)
    new = {line.bird for line in now.lines} - {line.bird for line in then.lines}
    for birds, words in ((still, "Missed in both rounds"), (again, "Seen again")):
        if birds:
            said.append(f"{words}: {_named(flock, birds)}.")
    if new:
        said.append(f"New since then: {len(new)} birds.")
    return said


_MOST_NAMED = 12


def _named(flock: Flock, birds: list[str]) -> str:
    names = [flock.birds[b].title if b in flock.birds else b for b in birds]
    more = len(names) - _MOST_NAMED
    return ", ".join(names[:_MOST_NAMED]) + (f" and {more} more" if more > 0 else "")


def aviaries_left(walk: WalkThrough) -> list[str]:
    """Aviaries that are not closed yet."""
    return [stop.aviary for stop in walk.stops if not stop.done]


def as_plain(flock: Flock, found: Summary) -> dict[str, Any]:
    """A round as plain data."""
    walk = found.walk
    return {
        "round": walk.id,
        "on": str(walk.on or ""),
        "by": walk.by,
        "started": walk.started,
        "ended": walk.ended,
        "applied": walk.applied,
        "minutes": round(found.minutes, 1),
        "coverage": {
            "expected": found.n_expected,
            "read": found.n_read,
            "by_sight": found.n_by_sight,
            "not_seen": found.n_unseen,
        },
        "aviaries": [
            {
                "aviary": stop.aviary,
                "done": stop.done,
                "expected": list(stop.birds),
            }
            for stop in walk.stops
        ],
        "differences": [difference_as_plain(each) for each in found.differences],
        "urgent": list(found.urgent),
        "compared": compared(flock, walk),
    }


def difference_as_plain(each: Difference) -> dict[str, Any]:
    """A difference as plain data."""
    return {
        "kind": each.kind.value,
        "aviary": each.aviary,
        "bird": each.bird,
        "name": each.name,
        "said": each.said,
        "settled": each.settled,
        "proposal": each.proposal,
        "sighting": each.sighting,
    }
