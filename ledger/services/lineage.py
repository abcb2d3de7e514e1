"""The flock's lineage: inbreeding, kinship and variety of the birds in the ledger."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from threading import RLock
from typing import TYPE_CHECKING, Any, TypeVar

import numpy as np

from ledger.domain.bird import Status
from ledger.domain.kind import Kind
from ledger.errors import NotFoundError
from ledger.lineage.ancestry import completeness, generations_known
from ledger.lineage.diversity import diversity
from ledger.lineage.relationship import Relationship, relationship
from ledger.lineage.ways import Ways
from ledger.reference.species import scientific_name
from ledger.services.lineage_said import Said

if TYPE_CHECKING:
    from collections.abc import Callable, Hashable

    from numpy.typing import NDArray

    from ledger.domain.bird import Bird
    from ledger.domain.flock import Flock
    from ledger.lineage.diversity import Diversity
    from ledger.lineage.doubt import Expected
    from ledger.lineage.table import ParentTable
    from ledger.lineage.ways import Kinships

T = TypeVar("T")

GENERATIONS = 5
"""How far up completeness is told."""
ASSUMED = (
    "An unknown parent counts as an unrelated founder, so a gap in the book makes "
    "inbreeding and kinship too low, never too high."
)


_MOST_WAYS = 512
_ROWS_AT_MOST = 1_000_000
"""Birds times ways computed; of more ways so many are drawn."""


class Lineage:
    """A flock's parents, and what follows from them and from what the keeper says.

    Where a parent is in doubt, every figure is the mean over all ways the doubts
    can fall, by their chances.
    """

    def __init__(self, flock: Flock, before: Lineage | None = None) -> None:
        """Order the flock.

        Args:
            flock: The flock.
            before: The lineage of a flock it may share its birds with.

        Raises:
            LineageError: the parents contradict each other; the message names the
                birds.
        """
        self.flock = flock
        self._kept: dict[Hashable, Any] = {}
        if before is not None and flock.shares(before.flock, *_BEARING):
            self.said: Said = before.said
            self.ways: Ways = before.ways
        else:
            self.said = Said.of(flock)
            self.ways = _ways(flock, self.said)
        self.table: ParentTable = self.ways.likeliest.table
        self.inbred: NDArray[np.float64] = self.ways.inbred
        self.known: NDArray[np.float64] = generations_known(self.table)

    def once(self, asked: Hashable, make: Callable[[], T]) -> T:
        """What was made for this question before, or make it now."""
        if asked not in self._kept:
            self._kept[asked] = make()
        found: T = self._kept[asked]
        return found

    @cached_property
    def living(self) -> dict[str, NDArray[np.int64]]:
        """Places of the birds that live here, by species."""
        found: dict[str, list[int]] = {}
        for bird in self.flock.birds.values():
            if bird.status is Status.ALIVE:
                key = species_key(bird.species)
                found.setdefault(key, []).append(self.table.place(bird.id))
        return {key: np.array(places) for key, places in found.items()}

    def living_like(self, bird: Bird) -> NDArray[np.int64]:
        """Places of the living birds of its species."""
        none: NDArray[np.int64] = np.zeros(0, dtype=np.int64)
        return self.living.get(species_key(bird.species), none)

    def f_of(self, bird_id: str) -> float:
        """F of a bird."""
        return float(self.inbred[self.table.place(bird_id)])

    def kinship(self, first: str, second: str) -> Expected:
        """Kinship of two birds; with itself (1 + F) / 2."""
        return self.ways.kinship(self.table.place(first), self.table.place(second))

    def kinships(self, rows: NDArray[np.int64], columns: NDArray[np.int64]) -> Kinships:
        """(r, c) kinship of birds by place."""
        return self.ways.kinships(rows, columns)

    def mean_kinships(
        self, of: NDArray[np.int64], group: NDArray[np.int64]
    ) -> NDArray[np.float64]:
        """Mean kinship of birds by place with a group by place."""
        return self.ways.mean_kinships(of, group)

    def relation(self, first: str, second: str) -> Relationship:
        """What the first bird is to the second, in the likeliest way."""
        place = self.table.place
        return relationship(self.table, place(first), place(second))

    def said_about(self, *birds: str) -> tuple[str, ...]:
        """What the keeper said that bears on these birds, in sentences."""
        return self.said.about(self.ways, self.table.places(birds))

    def bird_at(self, place: int) -> Bird | None:
        """The bird at a place; None for a parent that is not entered."""
        return self.flock.birds.get(self.table.ids[place])

    def variety(self, group: NDArray[np.int64]) -> Diversity:
        """What a group of birds by place carries of its founders.

        Founders' parts are those of the likeliest way.
        """
        way = self.ways.likeliest
        found = diversity(way.table, group, way.inbred, related=way.related)
        if len(self.ways.ways) == 1:
            return found
        mean = self.mean_kinships(group, group)
        left = 1 - float(mean.mean()) if len(mean) else 0.0
        return replace(found, mean_kinship=mean, gene_diversity=left)


_BEARING = (Kind.BIRD, Kind.CLUTCH, Kind.SETTINGS)
"""Kinds of things that figures hang on."""


def _ways(flock: Flock, said: Said) -> Ways:
    parents = {
        bird.id: (bird.sire or None, bird.dam or None) for bird in flock.birds.values()
    }
    sexes = {bird.id: str(bird.sex) for bird in flock.birds.values()}
    at_most = _ROWS_AT_MOST // max(len(parents), 1)
    return Ways.of(
        parents,
        said.doubts,
        said.founder_kin,
        sexes=sexes,
        at_most=min(_MOST_WAYS, max(16, at_most)),
    )


_last: list[Lineage] = []
"""The lineage computed last; a flock never changes, so it stays true of its own."""
_ONE_AT_A_TIME = RLock()


def is_ready(flock: Flock) -> bool:
    """The lineage of this flock is computed already."""
    return any(known.flock is flock for known in _last)


def lineage_of(flock: Flock) -> Lineage:
    """The lineage of a flock; the same flock is computed once.

    Raises:
        LineageError: the parents contradict each other.
    """
    if is_ready(flock):
        return _last[0]
    with _ONE_AT_A_TIME:
        before = _last[0] if _last else None
        if before is None or before.flock is not flock:
            _last[:] = [Lineage(flock, before)]
        return _last[0]


@lru_cache(maxsize=4096)
def species_key(species: str) -> str:
    """What tells species apart: the scientific name where a table knows it."""
    try:
        return scientific_name(species).casefold()
    except NotFoundError:
        return " ".join(species.split()).casefold()


@dataclass(frozen=True)
class BirdLineage:
    """One bird's figures."""

    bird: str
    name: str
    species: str
    inbreeding: float
    mean_kinship: float
    """With the living birds of its species, itself included if it lives here."""
    generations_known: float
    completeness: tuple[float, ...]
    """Of parents, grandparents, ... the part that is known."""
    unknown_parents: int
    said: tuple[str, ...]
    """Doubts and kin of founders that bear on it, in sentences."""


@dataclass(frozen=True)
class GroupLineage:
    """Variety of the living birds of one species, or of all."""

    species: str
    """As most of them have it; "" for all birds."""
    living: int
    mean_inbreeding: float
    gene_diversity: float
    founders: int
    founder_equivalents: float
    founder_genome_equivalents: float
    """Lacy 1989: 1 / sum of p^2 / r."""
    genome_equivalents_by_kinship: float
    """1 / (2 x mean kinship)."""
    retention: str
    """How what is left of each founder was found."""
    left_of_founders: tuple[tuple[str, float, float], ...]
    """Each founder: who, its contribution, and its retention; most first."""
    half_known: tuple[str, ...]
    """Birds of which one parent is known and the other not."""
    said: tuple[str, ...]
    """Doubts about parents and kin of founders that bear on it, in sentences."""


def of_bird(flock: Flock, bird_id: str) -> BirdLineage:
    """Figures of one bird.

    Raises:
        LineageError: the parents of the flock contradict each other.
    """
    return _figures(lineage_of(flock), [flock.birds[bird_id]])[0]


def of_living(flock: Flock) -> tuple[BirdLineage, ...]:
    """Figures of all birds that live here, the most inbred first.

    Raises:
        LineageError: the parents of the flock contradict each other.
    """
    birds = [bird for bird in flock.birds.values() if bird.status is Status.ALIVE]
    found = _figures(lineage_of(flock), birds)
    return tuple(sorted(found, key=lambda it: (-it.inbreeding, it.species, it.bird)))


def _figures(lineage: Lineage, birds: list[Bird]) -> list[BirdLineage]:
    known = completeness(lineage.table, GENERATIONS)
    means: dict[str, float] = {}
    by_species: dict[str, list[Bird]] = {}
    for bird in birds:
        by_species.setdefault(species_key(bird.species), []).append(bird)
    for like in by_species.values():
        places = lineage.table.places(bird.id for bird in like)
        mean = lineage.mean_kinships(places, lineage.living_like(like[0]))
        means.update(zip((bird.id for bird in like), mean.tolist(), strict=True))
    return [
        BirdLineage(
            bird.id,
            bird.title,
            bird.species,
            lineage.f_of(bird.id),
            means[bird.id],
            float(lineage.known[place]),
            tuple(known[place].tolist()),
            int(lineage.table.sire[place] < 0) + int(lineage.table.dam[place] < 0),
            lineage.said_about(bird.id) if lineage.said else (),
        )
        for bird in birds
        for place in (lineage.table.place(bird.id),)
    ]


def of_groups(flock: Flock) -> tuple[GroupLineage, ...]:
    """Variety of all living birds together, then of each species, largest first.

    Raises:
        LineageError: the parents of the flock contradict each other.
    """
    lineage = lineage_of(flock)
    groups = sorted(lineage.living.values(), key=lambda group: -len(group))
    all_birds = np.concatenate(groups) if groups else np.zeros(0, dtype=np.int64)
    return (
        _group(lineage, all_birds, ""),
        *(_group(lineage, group, _species_of(lineage, group)) for group in groups),
    )


def of_species(flock: Flock, bird: Bird) -> GroupLineage:
    """Variety of the living birds of a bird's species.

    Raises:
        LineageError: the parents of the flock contradict each other.
    """
    lineage = lineage_of(flock)
    return _group(lineage, lineage.living_like(bird), bird.species)


def _species_of(lineage: Lineage, group: NDArray[np.int64]) -> str:
    told = [lineage.flock.birds[lineage.table.ids[p]].species for p in group]
    return max(set(told), key=lambda name: (told.count(name), name)) or "no species"


def _group(lineage: Lineage, group: NDArray[np.int64], species: str) -> GroupLineage:
    found = lineage.variety(group)
    left = sorted(
        zip(
            (_founder(lineage, int(place)) for place in found.founders),
            found.contributions.tolist(),
            found.retention.of_founder.tolist(),
            strict=True,
        ),
        key=lambda it: (-it[1], it[0]),
    )
    return GroupLineage(
        species,
        len(group),
        float(lineage.inbred[group].mean()) if len(group) else 0.0,
        found.gene_diversity,
        len(found.founders),
        found.founder_equivalents,
        found.founder_genome_equivalents,
        found.genome_equivalents_by_kinship,
        found.retention.how,
        tuple(left),
        tuple(lineage.table.ids[place] for place in found.half_known),
        lineage.said.about(lineage.ways, group),
    )


def _founder(lineage: Lineage, place: int) -> str:
    """A founder's id; the unknown half of a pair has none."""
    return lineage.table.ids[place] if place < len(lineage.table) else "unknown"
