"""The flock as lines of a list: ordered, searched, and those seen lately."""

from __future__ import annotations

from dataclasses import dataclass
from heapq import nlargest
from typing import TYPE_CHECKING

from ledger.domain.bird import Sex, Status
from ledger.domain.ring import RingState, compact

if TYPE_CHECKING:
    from collections.abc import Sequence

    from ledger.domain.bird import Bird
    from ledger.domain.flock import Flock


@dataclass(frozen=True, slots=True)
class FlockLine:
    """One bird in a list."""

    bird_id: str
    name: str
    ring: str
    """The ring it wears, else the last it wore."""
    species: str
    sex: str
    """Empty when not known."""
    hatched: str
    where: str
    """Aviary; for a bird that does not live here: why not."""
    lives_here: bool
    searched: str
    """All a search looks at, in one case; spaces in rings left out too."""


def lines(flock: Flock) -> tuple[FlockLine, ...]:
    """Every bird, those that live here first, by name."""
    made = [line_of(flock, bird) for bird in flock.birds.values()]
    made.sort(
        key=lambda line: (not line.lives_here, line.name.casefold(), line.bird_id)
    )
    return tuple(made)


def line_of(flock: Flock, bird: Bird) -> FlockLine:
    """One bird as a line."""
    rings = flock.rings_of(bird.id)
    worn = [ring for ring in rings if ring.state is RingState.ON_BIRD] or rings[-1:]
    ring = worn[-1].inscription if worn else ""
    lives_here = bird.status is Status.ALIVE
    where = bird.location if lives_here else str(bird.status)
    words = [bird.id, bird.title, bird.species, str(bird.sex), str(bird.status)]
    words += [bird.location, str(bird.hatched or "")]
    for one in rings:
        words += [one.inscription, compact(one.inscription)]
    words += [chip.code for chip in flock.chips_of(bird.id)]
    return FlockLine(
        bird.id,
        bird.title,
        ring,
        bird.species,
        "" if bird.sex is Sex.UNKNOWN else str(bird.sex),
        str(bird.hatched or ""),
        where,
        lives_here,
        "\n".join(words).casefold(),
    )


def matching(all_lines: Sequence[FlockLine], words: str) -> Sequence[FlockLine]:
    """The lines in which every one of the words occurs, in the order given."""
    wanted = words.casefold().split()
    found = all_lines
    for word in wanted:
        found = [line for line in found if word in line.searched]
    return found


def named(flock: Flock, words: str) -> list[Bird]:
    """Birds known by these words as a whole: a name, an id or a chip's code."""
    by_id = flock.birds.get(words.strip().lower())
    if by_id is not None:
        return [by_id]
    found = {bird.id: bird for bird in flock.birds_named(words)}
    for chip in flock.chips_coded(words):
        bearer = flock.birds.get(chip.bird or "")
        if bearer is not None:
            found[bearer.id] = bearer
    return list(found.values())


def seen_lately(
    flock: Flock, looked_at: Sequence[str], at_most: int
) -> list[FlockLine]:
    """Birds lately before the keeper's eyes, newest first.

    Args:
        flock: The flock.
        looked_at: Ids of birds looked at in this sitting, newest first.
        at_most: How many are wanted.
    """
    newest = nlargest(
        at_most,
        flock.last_sightings(),
        key=lambda event: (event.on.latest, event.id),
    )
    ids = dict.fromkeys([*looked_at, *(event.bird for event in newest)])
    birds = [flock.birds[bird_id] for bird_id in ids if bird_id in flock.birds]
    return [line_of(flock, bird) for bird in birds[:at_most]]
