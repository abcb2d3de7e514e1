"""What two birds of the flock are to each other, doubts about parents included."""

from __future__ import annotations

from dataclasses import dataclass
from math import prod
from typing import TYPE_CHECKING

from ledger.lineage.doubt import TABLES_AT_MOST, Expected
from ledger.lineage.ways import Ways
from ledger.services.lineage import lineage_of

if TYPE_CHECKING:
    from ledger.domain.flock import Flock
    from ledger.lineage.doubt import Doubt
    from ledger.lineage.table import Parents
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
    """Where a doubt about a parent matters: the mean by its chances, least, most."""
    said: tuple[str, ...] = ()
    """Doubts and kin of founders that bear on the two, in sentences."""


def of_two(flock: Flock, first: str, second: str) -> Kin:
    """Kinship of two birds by id.

    Raises:
        LineageError: the parents contradict each other.
    """
    lineage = lineage_of(flock)
    relation = lineage.relation(first, second)
    places = lineage.table.places([first, second])
    known = lineage.known[places]
    expected = lineage.kinship(first, second)
    if lineage.ways.are_drawn:
        expected = _all_ways(lineage, first, second) or expected
    return Kin(
        first,
        second,
        expected.mean,
        relation.words(str(flock.birds[first].sex)),
        tuple(lineage.table.ids[place] for place in relation.shared),
        (float(known[0]), float(known[1])),
        None if expected.is_certain else expected,
        lineage.said_about(first, second),
    )


def _all_ways(lineage: Lineage, first: str, second: str) -> Expected | None:
    """Kinship over all ways of those doubts that can matter for the two.

    Returns:
        None where these are too many as well.
    """
    birds, said = lineage.flock.birds, lineage.said
    doubts_about: dict[str, list[Doubt]] = {}
    for doubt in said.doubts:
        for bird_id in doubt.birds:
            doubts_about.setdefault(bird_id, []).append(doubt)
    taken: dict[str, Parents] = {}
    mattering: dict[int, Doubt] = {}
    wanted = [first, second]
    while wanted:
        bird_id = wanted.pop()
        bird = birds.get(bird_id)
        if bird_id in taken or bird is None:
            continue
        taken[bird_id] = (bird.sire or None, bird.dam or None)
        wanted += [parent for parent in taken[bird_id] if parent]
        for doubt in doubts_about.get(bird_id, ()):
            mattering[id(doubt)] = doubt
            wanted += [*doubt.birds, *(who for who in doubt.chances if who)]
    if prod(len(doubt.chances) for doubt in mattering.values()) > TABLES_AT_MOST:
        return None
    ways = Ways.of(
        taken,
        list(mattering.values()),
        {two: k for two, k in said.founder_kin.items() if taken.keys() >= set(two)},
        at_most=TABLES_AT_MOST,
    )
    place = ways.likeliest.table.place
    return ways.kinship(place(first), place(second))
