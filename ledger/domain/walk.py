"""Walk-throughs: a stock audit, aviary by aviary, and what was seen."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from typing import TYPE_CHECKING, Any, ClassVar

from ledger.domain.kind import Kind

if TYPE_CHECKING:
    from collections.abc import Mapping

    from ledger.domain.partial_date import PartialDate


class SeenHow(StrEnum):
    """What tells that it is this bird."""

    TYPED = "ring typed"
    PHOTO = "ring photographed"
    BY_SIGHT = "known by sight"
    """No ring was read: the weakest of the three."""
    CHIP = "chip scanned"


class Settled(StrEnum):
    """How a difference was settled; kept as text, so a keeper's own words fit too."""

    LIVES_HERE = "lives here now"
    CARRIED_BACK = "carried back"
    NOT_OURS = "not ours"
    COUNTED_ONCE = "the same bird, counted once"
    CAME_BACK = "came back"
    FOUND = "found again"
    ALIVE = "alive after all"
    LOST = "lost"
    ACCOUNTED_FOR = "accounted for"
    READ_WRONGLY = "read wrongly"
    """The sighting does not count."""


@dataclass(frozen=True, slots=True)
class Absence:
    """How it was settled that a bird was not where it should be."""

    bird: str
    """Bird id."""
    settled: str = ""
    extra: Mapping[str, Any] = field(default_factory=dict, hash=False)


@dataclass(frozen=True, slots=True)
class Stop:
    """One aviary of a walk-through and the birds that should be in it."""

    aviary: str
    birds: tuple[str, ...] = ()
    """Bird ids, as expected when the walk-through was planned."""
    done: bool = False
    extra: Mapping[str, Any] = field(default_factory=dict, hash=False)


@dataclass(frozen=True, slots=True)
class WalkThrough:
    """One round through the aviaries."""

    KIND: ClassVar[Kind] = Kind.WALK

    id: str
    on: PartialDate | None = None
    """The day it was begun."""
    by: str = ""
    stops: tuple[Stop, ...] = ()
    """In walking order."""
    started: str = ""
    """Time, ISO 8601 with the offset."""
    ended: str = ""
    """Likewise; "" while it goes on."""
    applied: str = ""
    """When its moves, weights and notes were taken into the ledger; "" until then."""
    absences: tuple[Absence, ...] = ()
    """Birds not seen of which it is settled why."""
    notes: str = ""
    extra: Mapping[str, Any] = field(default_factory=dict, hash=False)


@dataclass(frozen=True, slots=True)
class Sighting:
    """One bird or one ring seen on a walk-through."""

    KIND: ClassVar[Kind] = Kind.SIGHTING

    id: str
    walk: str | None = None
    """Walk-through id."""
    aviary: str = ""
    """Where it was seen."""
    bird: str | None = None
    """Bird id; None while nobody knows which bird it is."""
    ring: str | None = None
    """Ring id."""
    how: SeenHow = SeenHow.TYPED
    read: str = ""
    """What was read or typed."""
    photos: tuple[str, ...] = ()
    """Photo ids."""
    time: str = ""
    """ISO 8601 with the offset."""
    ring_state: str = ""
    leg_state: str = ""
    weight_g: float | None = None
    settled: str = ""
    """How a difference it raised was settled, a `Settled` or other words; "" while
    that is open."""
    notes: str = ""
    extra: Mapping[str, Any] = field(default_factory=dict, hash=False)

    @property
    def states(self) -> str:
        """State of ring and leg in words, those that were looked at."""
        both = (("ring", self.ring_state), ("leg", self.leg_state))
        return ", ".join(f"{what} {state}" for what, state in both if state)
