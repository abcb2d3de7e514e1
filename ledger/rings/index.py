"""Every ring of a flock, made ready to be compared with evidence."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from ledger.domain.kind import Kind
from ledger.rings.alphabet import Classes
from ledger.rings.background import Background, background
from ledger.rings.pieces import inscribed, pieces_of
from ledger.rings.priors import prior
from ledger.rings.tracks import Row, Tracks

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from ledger.domain.bird import Bird
    from ledger.domain.flock import Flock
    from ledger.domain.ring import Ring
    from ledger.rings.evidence import Evidence

_KEPT = 32
"""How many sets of weights an index keeps."""
_NO_DATES = 2030
"""Bound on ring years where a flock holds no date at all."""


@dataclass(frozen=True)
class RingIndex:
    """n rings with an inscription, and made-up ones after them in `tracks`."""

    rings: tuple[Ring, ...]
    birds: tuple[Bird | None, ...]
    """Whose each ring is; None where it is on no bird."""
    bearer: NDArray[np.int64]
    """(n,) number of the bird, so that its rings add up; a ring on no bird has a
    number of its own."""
    n_bearers: int
    tracks: Tracks
    classes: NDArray[np.float64]
    """(codes, signs) shares of characters for every code in `tracks`."""
    background: Background
    latest_year: int
    """The last year that the flock knows of; its rings are of no later one."""
    _weights: dict[tuple[object, ...], NDArray[np.float64]] = field(
        default_factory=dict, repr=False, compare=False
    )

    def weights(self, evidence: Evidence) -> NDArray[np.float64]:
        """(n,) weights of the rings before characters are compared; sum 1."""
        key = (
            evidence.colour,
            evidence.leg,
            evidence.closure,
            evidence.location,
            evidence.species,
            evidence.expected,
        )
        if key not in self._weights:
            pairs = zip(self.rings, self.birds, strict=True)
            weights = np.array([prior(r, b, evidence) for r, b in pairs])
            if len(self._weights) >= _KEPT:
                self._weights.clear()
            self._weights[key] = weights / (weights.sum() or 1.0)
        return self._weights[key]

    @classmethod
    def of(cls, flock: Flock) -> RingIndex:
        """All rings of a flock that have an inscription."""
        rings = [r for r in flock.rings.values() if inscribed(r.inscription).signs]
        birds = [flock.birds.get(ring.bird or "") for ring in rings]
        return cls._made(rings, birds)

    @classmethod
    def _made(cls, rings: Sequence[Ring], birds: Sequence[Bird | None]) -> RingIndex:
        classes = Classes()
        others = background((ring.inscription for ring in rings), classes)
        row = Row()
        for ring in rings:
            row.add(pieces_of(ring.inscription))
        for text in others.texts:
            row.add(text)
        bearer, n_bearers = _bearers(rings, birds)
        return cls(
            tuple(rings),
            tuple(birds),
            bearer,
            n_bearers,
            row.laid(),
            classes.rows,
            others,
            _latest_year(rings, birds),
        )


def _latest_year(rings: Sequence[Ring], birds: Sequence[Bird | None]) -> int:
    dates = [ring.put_on for ring in rings] + [b.hatched for b in birds if b]
    return max((date.latest.year for date in dates if date), default=_NO_DATES)


def _bearers(
    rings: Sequence[Ring], birds: Sequence[Bird | None]
) -> tuple[NDArray[np.int64], int]:
    numbers: dict[str, int] = {}
    bearer = [
        numbers.setdefault(bird.id if bird else f"ring {ring.id}", len(numbers))
        for ring, bird in zip(rings, birds, strict=True)
    ]
    return np.asarray(bearer, np.int64), len(numbers)


class _Last:
    """The index of the flock asked for last; a flock never changes.

    It serves every flock with the same birds and rings: a sighting changes neither.
    """

    def __init__(self) -> None:
        self._at_hand: tuple[Flock, RingIndex] | None = None

    def of(self, flock: Flock) -> RingIndex:
        at_hand = self._at_hand  # one look: screens rank in threads
        if at_hand is not None and at_hand[0].shares(flock, Kind.RING, Kind.BIRD):
            return at_hand[1]
        at_hand = self._at_hand = (flock, RingIndex.of(flock))
        return at_hand[1]


_last = _Last()


def index_of(flock: Flock) -> RingIndex:
    """The index of a flock; asked again for the same flock, it is at hand."""
    return _last.of(flock)
