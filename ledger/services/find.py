"""The one bird somebody means."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ledger.domain.chip_code import chip_code
from ledger.domain.ring import RingState, compact
from ledger.errors import NotFoundError, RuleError

if TYPE_CHECKING:
    from collections.abc import Iterator

    from ledger.domain.bird import Bird
    from ledger.domain.flock import Flock

_SUGGESTIONS = 5


def find_bird(flock: Flock, words: str) -> Bird:
    """The one bird meant by an id, a name, a ring or a chip, old ones included.

    Raises:
        NotFoundError: no bird, or several; the message names those it may be.
    """
    found = flock.bird_by(words) or _by_chip(flock, words)
    if len(found) == 1:
        return found[0]
    if found:
        raise NotFoundError(
            f"“{words}” may be one of {len(found)} birds: "
            + "; ".join(_told(flock, bird) for bird in found[:_SUGGESTIONS])
            + ("; ..." if len(found) > _SUGGESTIONS else "")
            + ".",
            "Give the id of the one you mean.",
        )
    near = list(_near(flock, words))
    raise NotFoundError(
        f"No bird has “{words}” as its id, name, ring or chip.",
        "Did you mean " + "; ".join(_told(flock, bird) for bird in near) + "?"
        if near
        else "Check the spelling, or give a part of a ring to `identify --text`.",
    )


def _by_chip(flock: Flock, words: str) -> list[Bird]:
    """Birds with this chip, its code in another form than the ledger keeps."""
    try:
        code = chip_code(words).text
    except RuleError:
        return []
    return flock.bird_by(code)


def _told(flock: Flock, bird: Bird) -> str:
    """One bird, told apart from others of its name."""
    worn = [r for r in flock.rings_of(bird.id) if r.state is RingState.ON_BIRD]
    parts = [bird.species, f"ring {worn[0].inscription}" if worn else "", bird.location]
    return f"{bird.id} {bird.name} ({', '.join(filter(None, parts))})".replace(
        " ()", ""
    )


def _near(flock: Flock, words: str) -> Iterator[Bird]:
    """A few birds whose name or ring holds these words as a part."""
    wanted = compact(words)
    if not wanted:
        return
    found: dict[str, Bird] = {}
    for bird in flock.birds.values():
        if wanted in compact(bird.name):
            found[bird.id] = bird
    for ring in flock.rings.values():
        wearer = flock.birds.get(ring.bird or "")
        if wearer and wanted in compact(ring.inscription):
            found[wearer.id] = wearer
    yield from list(found.values())[:_SUGGESTIONS]
