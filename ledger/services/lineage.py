"""The flock's lineage: inbreeding, kinship and variety of the birds in the ledger."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from ledger.domain.bird import Status
from ledger.lineage.ancestry import completeness
from ledger.lineage.diversity import HalfKnown
from ledger.reference.species import species_key
from ledger.services.lineage_table import Lineage, is_ready, lineage_of

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    from ledger.domain.bird import Bird
    from ledger.domain.flock import Flock

__all__ = ["Lineage", "is_ready", "lineage_of", "species_key"]

GENERATIONS = 5
"""How far up completeness is told."""
ASSUMED = (
    "An unknown parent counts as an unrelated founder, so a gap in the book makes "
    "inbreeding and kinship too low, never too high."
)


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
    policy: HalfKnown
    """What that other parent counts as among the founders."""
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


def of_groups(
    flock: Flock,
    step: Callable[[], None] = lambda: None,
    half_known: HalfKnown = HalfKnown.FOUNDER,
) -> tuple[GroupLineage, ...]:
    """Variety of all living birds together, then of each species, largest first.

    Args:
        flock: The flock.
        step: Called between steps; what it raises ends the counting.
        half_known: What an unknown parent beside a known one counts as.

    Raises:
        LineageError: the parents of the flock contradict each other, or half-known
            birds are refused and there are some.
    """
    lineage = lineage_of(flock)
    asked = "groups", half_known
    return lineage.once(asked, partial(_groups, lineage, step, half_known))


def _groups(
    lineage: Lineage, step: Callable[[], None], half_known: HalfKnown
) -> tuple[GroupLineage, ...]:
    groups = sorted(lineage.living.values(), key=lambda group: -len(group))
    all_birds = np.concatenate(groups) if groups else np.zeros(0, dtype=np.int64)
    found = [_group(lineage, all_birds, "", half_known)]
    for group in groups:
        step()
        species = _species_of(lineage, group)
        found.append(_group(lineage, group, species, half_known))
    return tuple(found)


def of_species(
    flock: Flock, bird: Bird, half_known: HalfKnown = HalfKnown.FOUNDER
) -> GroupLineage:
    """Variety of the living birds of a bird's species.

    Raises:
        LineageError: as `of_groups`.
    """
    lineage = lineage_of(flock)
    return _group(lineage, lineage.living_like(bird), bird.species, half_known)


def _species_of(lineage: Lineage, group: NDArray[np.int64]) -> str:
    told = [lineage.flock.birds[lineage.table.ids[p]].species for p in group]
    return max(set(told), key=lambda name: (told.count(name), name)) or "no species"


def _group(
    lineage: Lineage, group: NDArray[np.int64], species: str, half_known: HalfKnown
) -> GroupLineage:
    found = lineage.variety(group, half_known)
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
        found.policy,
        lineage.said.about(lineage.ways, group),
    )


def _founder(lineage: Lineage, place: int) -> str:
    """A founder's id; the unknown half of a pair has none."""
    return lineage.table.ids[place] if place < len(lineage.table) else "unknown"
