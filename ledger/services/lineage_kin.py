"""What two birds of the flock are to each other, doubts about parents included."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from ledger.lineage.doubt import Doubt, Expected, expected_kinship
from ledger.services.lineage import lineage_of

if TYPE_CHECKING:
    from ledger.domain.flock import Flock
    from ledger.services.lineage import Lineage


@dataclass(frozen=True)
class Kin:
    """Two birds and what they are to each other."""

    first: str
    second: str
    kinship: float
    """Also the expected F of young of the two."""
    words: str
    """What the first is to the second; "" where no kinship is known."""
    common_ancestors: tuple[str, ...]
    """Ids of the nearest ancestors they share."""
    generations_known: tuple[float, float]
    expected: Expected | None
    """Where a parent is in doubt: the mean by its chances, least and most."""


def of_two(flock: Flock, first: str, second: str) -> Kin:
    """Kinship of two birds by id.

    Raises:
        LineageError: the parents contradict each other.
    """
    lineage = lineage_of(flock)
    relation = lineage.relation(first, second)
    places = lineage.table.places([first, second])
    known = lineage.known[places]
    return Kin(
        first,
        second,
        lineage.kinship(first, second),
        relation.words(str(flock.birds[first].sex)),
        tuple(lineage.table.ids[place] for place in relation.shared),
        (float(known[0]), float(known[1])),
        _in_doubt(lineage, first, second),
    )


def _in_doubt(lineage: Lineage, first: str, second: str) -> Expected | None:
    """Kinship with doubts about the parents of the two and of their ancestors."""
    doubts = doubts_of(lineage.flock)
    if not doubts:
        return None
    birds = set(lineage.flock.birds)
    parents = {
        b.id: (b.sire or None, b.dam or None) for b in lineage.flock.birds.values()
    }
    # A doubt's candidates count as ancestors when it comes to who matters.
    wanted, taken = [first, second], {first, second}
    while wanted:
        bird = wanted.pop()
        up = {p for p in parents.get(bird, ()) if p in birds}
        up |= {c for d in doubts if bird in d.birds for c in d.chances if c in birds}
        wanted += up - taken
        taken |= up
    mattering = [d for d in doubts if taken & set(d.birds)]
    if not mattering:
        return None
    taken |= {bird for doubt in mattering for bird in doubt.birds}
    few = {
        bird: tuple(p if p in taken else None for p in parents[bird]) for bird in taken
    }
    return expected_kinship(few, mattering, first, second)  # type: ignore[arg-type]


def doubts_of(flock: Flock) -> tuple[Doubt, ...]:
    """Doubts about parents: `sire_may_be`, `dam_may_be` of a bird, id to chance.

    Birds of one clutch with the same candidates share the doubt.
    """
    clutch_of = {
        egg.chick: clutch.id
        for clutch in flock.clutches.values()
        for egg in clutch.eggs
        if egg.chick
    }
    found: dict[tuple[str, str, str], list[str]] = {}
    chances: dict[tuple[str, str, str], dict[str | None, float]] = {}
    for bird in flock.birds.values():
        for role in ("sire", "dam"):
            told = bird.extra.get(f"{role}_may_be")
            if not isinstance(told, dict):
                continue
            key = (clutch_of.get(bird.id, bird.id), role, str(sorted(told.items())))
            found.setdefault(key, []).append(bird.id)
            chances[key] = {who or None: float(part) for who, part in told.items()}
    return tuple(
        Doubt(tuple(birds), "sire" if key[1] == "sire" else "dam", chances[key])
        for key, birds in found.items()
    )
