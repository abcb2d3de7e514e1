"""The flock's parents as tables, computed once for each state of the flock."""

from __future__ import annotations

from dataclasses import replace
from functools import cached_property
from threading import RLock
from typing import TYPE_CHECKING, Any, TypeVar

import numpy as np

from ledger.domain.bird import Status
from ledger.domain.kind import Kind
from ledger.lineage.ancestry import generations_known
from ledger.lineage.diversity import HalfKnown, diversity
from ledger.lineage.relationship import Relationship, relationship
from ledger.lineage.ways import Ways
from ledger.reference.species import species_key
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

    def variety(
        self, group: NDArray[np.int64], half_known: HalfKnown = HalfKnown.FOUNDER
    ) -> Diversity:
        """What a group of birds by place carries of its founders.

        Founders' parts are those of the likeliest way.

        Raises:
            LineageError: half-known birds are refused and there are some.
        """
        way = self.ways.likeliest
        found = diversity(
            way.table, group, way.inbred, half_known=half_known, related=way.related
        )
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
