"""What a walk-through found otherwise than the ledger has it, and how it is settled."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import Enum
from typing import TYPE_CHECKING

from ledger.domain.bird import Status
from ledger.domain.change import Put
from ledger.domain.ring import compact
from ledger.domain.walk import Absence, SeenHow, Settled, Sighting, WalkThrough
from ledger.errors import NotFoundError, RuleError
from ledger.services.walk import change_sighting, counted, first_sightings, walk_of
from ledger.services.walk_find import expected_at

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from ledger.domain.flock import Flock
    from ledger.services.ledger import Ledger


class Differs(Enum):
    """How a bird or a ring differs from what the ledger has."""

    WRONG_AVIARY = "wrong aviary"
    UNKNOWN_RING = "unknown ring"
    SEEN_TWICE = "seen twice"
    DEAD = "recorded dead"
    PLACED = "recorded placed"
    LOST = "recorded lost"
    MISSING = "missing"
    NOT_WALKED = "not walked"
    """Not seen, and its aviary was not closed when the round ended."""


_ABSENT = (
    (Settled.LOST, "lost: flown or stolen"),
    (Settled.ACCOUNTED_FOR, "I know where it is"),
)

CHOICES: dict[Differs, tuple[tuple[Settled, str], ...]] = {
    Differs.WRONG_AVIARY: (
        (Settled.LIVES_HERE, "it lives here now: propose the move"),
        (Settled.CARRIED_BACK, "it goes back to where it belongs"),
        (Settled.READ_WRONGLY, "read wrongly: it does not count"),
    ),
    Differs.UNKNOWN_RING: (
        (Settled.NOT_OURS, "a stranger's bird: find its owner"),
        (Settled.READ_WRONGLY, "read wrongly: it does not count"),
    ),
    Differs.SEEN_TWICE: (
        (Settled.COUNTED_ONCE, "the same bird: it counts once"),
        (Settled.READ_WRONGLY, "read wrongly: it does not count"),
    ),
    Differs.DEAD: (
        (Settled.ALIVE, "it is alive: take its death out of the ledger"),
        (Settled.READ_WRONGLY, "read wrongly: it does not count"),
    ),
    Differs.PLACED: (
        (Settled.CAME_BACK, "it came back"),
        (Settled.READ_WRONGLY, "read wrongly: it does not count"),
    ),
    Differs.LOST: (
        (Settled.FOUND, "it was found again"),
        (Settled.READ_WRONGLY, "read wrongly: it does not count"),
    ),
    Differs.MISSING: _ABSENT,
    Differs.NOT_WALKED: _ABSENT,
}
"""How each kind can be settled, with the words for it; or it is kept open."""

_BY_STATUS = {
    Status.DEAD: Differs.DEAD,
    Status.PLACED: Differs.PLACED,
    Status.LOST: Differs.LOST,
}


@dataclass(frozen=True)
class Difference:
    """One bird or ring that is otherwise than the ledger has it."""

    kind: Differs
    aviary: str
    """Where it was seen; for a missing bird: where it should be."""
    bird: str | None
    name: str
    """Of the bird, or what was read on a ring nobody knows."""
    said: str
    """As a sentence."""
    settled: str
    """A `Settled` or other words; "" while it is open."""
    sighting: str | None = None
    """Sighting id; None for a bird that was not seen."""

    @property
    def key(self) -> str:
        """What it stands for: a sighting, else a bird."""
        return self.sighting or self.bird or ""

    @property
    def proposal(self) -> str:
        """What applying the round does about it, as a phrase; "" for nothing."""
        match self.settled:
            case Settled.LIVES_HERE:
                return f"move to {self.aviary}"
            case Settled.CAME_BACK | Settled.FOUND | Settled.ALIVE:
                return f"alive, in {self.aviary}"
            case Settled.LOST:
                return "enter as lost"
            case "" if self.kind is Differs.WRONG_AVIARY:
                return f"move to {self.aviary}, once settled"
            case _:
                return ""


def differences(flock: Flock, walk_id: str) -> tuple[Difference, ...]:
    """All of them: first what was seen, as it came; then the missing, as one walks.

    A bird is missing when its aviary is closed, or the round has ended, and it was
    seen nowhere.
    """
    walk = walk_of(flock, walk_id)
    return (*_of_sightings(flock, walk), *_of_missing(flock, walk))


def _of_sightings(flock: Flock, walk: WalkThrough) -> Iterator[Difference]:
    first: dict[str, Sighting] = {}
    for sighting in counted(flock, walk.id):
        bird = flock.birds.get(sighting.bird or "")
        if bird is None:
            yield _difference(
                Differs.UNKNOWN_RING,
                sighting,
                f"“{sighting.read}”",
                f"The ring “{sighting.read}” in {sighting.aviary} is none of ours.",
            )
            continue
        before = first.setdefault(bird.id, sighting)
        should = expected_at(flock, walk.id, bird.id)
        if before is not sighting:
            yield _difference(
                Differs.SEEN_TWICE,
                sighting,
                bird.title,
                f"{bird.title} was seen in {before.aviary} at {before.time[11:16]} and "
                f"in {sighting.aviary} at {sighting.time[11:16]}.",
            )
        elif should:
            if compact(should) != compact(sighting.aviary):
                yield _moved(sighting, bird.title, should)
        elif sighting.settled in _REVIVED or bird.status in _BY_STATUS:
            kind = _REVIVED.get(sighting.settled) or _BY_STATUS[bird.status]
            yield _difference(
                kind,
                sighting,
                bird.title,
                f"{bird.title} is {kind.value}, and was seen in {sighting.aviary}.",
            )
        elif sighting.settled or compact(bird.location) != compact(sighting.aviary):
            yield _moved(sighting, bird.title, bird.location)


_REVIVED: dict[str, Differs] = {
    Settled.ALIVE: Differs.DEAD,
    Settled.CAME_BACK: Differs.PLACED,
    Settled.FOUND: Differs.LOST,
}
"""After the round was applied the bird's own status tells nothing any more."""


def _moved(sighting: Sighting, name: str, should: str) -> Difference:
    where = f"should be in {should}" if should else "has no aviary entered"
    return _difference(
        Differs.WRONG_AVIARY,
        sighting,
        name,
        f"{name} {where}, and was seen in {sighting.aviary}.",
    )


def _difference(kind: Differs, sighting: Sighting, name: str, said: str) -> Difference:
    by_sight = sighting.how is SeenHow.BY_SIGHT and kind is not Differs.UNKNOWN_RING
    return Difference(
        kind,
        sighting.aviary,
        sighting.bird,
        name,
        f"{said} Known by sight: no ring was read." if by_sight else said,
        sighting.settled,
        sighting.id,
    )


def _of_missing(flock: Flock, walk: WalkThrough) -> Iterator[Difference]:
    seen = first_sightings(flock, walk.id)
    settled = {absence.bird: absence.settled for absence in walk.absences}
    for stop in walk.stops:
        if not (stop.done or walk.ended):
            continue
        for bird_id in stop.birds:
            bird = flock.birds.get(bird_id)
            if bird is not None and bird_id not in seen:
                yield Difference(
                    Differs.MISSING if stop.done else Differs.NOT_WALKED,
                    stop.aviary,
                    bird_id,
                    bird.title,
                    f"{bird.title} should be in {stop.aviary}, and was not seen."
                    if stop.done
                    else f"{stop.aviary} was not walked to its end: {bird.title} was "
                    "not seen.",
                    settled.get(bird_id, ""),
                )


def settle(
    ledger: Ledger, walk_id: str, difference: Difference, settled: str, author: str
) -> None:
    """Say how a difference is settled; "" keeps it open.

    Args:
        ledger: An open ledger.
        walk_id: The round.
        difference: As `differences` gave it.
        settled: One of `CHOICES`, or other words.
        author: Who says so.

    Raises:
        NotFoundError: it is not there any more.
        RuleError: the round was applied already.
        StoreError: it could not be stored.
    """
    flock = ledger.flock
    walk = walk_of(flock, walk_id)
    if walk.applied:
        raise RuleError(
            f"Round {walk.id} was taken into the ledger already.",
            "Take that back first, with `flock-ledger undo`.",
        )
    if difference.sighting is not None:
        sighting = flock.walk_sightings.get(difference.sighting)
        if sighting is None:
            raise NotFoundError("This sighting was taken back already.")
        change_sighting(ledger, replace(sighting, settled=settled), author)
        return
    others = tuple(a for a in walk.absences if a.bird != difference.bird)
    absences = (*others, Absence(difference.bird or "", settled)) if settled else others
    ledger.commit(
        [Put(replace(walk, absences=absences))],
        author=author,
        what=f"Round {walk.id}: {difference.name} {settled or 'kept open'}",
    )


def still_open(found: Sequence[Difference]) -> list[Difference]:
    """Those that nobody settled."""
    return [each for each in found if not each.settled]
