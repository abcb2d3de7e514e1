"""What happened to a bird, and when."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from typing import TYPE_CHECKING, Any, ClassVar

from ledger.domain.kind import Kind

if TYPE_CHECKING:
    from collections.abc import Mapping

    from ledger.domain.partial_date import PartialDate


class EventKind(StrEnum):
    """What happened."""

    NOTE = "note"
    WEIGHED = "weighed"
    EXAMINED = "examined"
    TREATED = "treated"
    RING_PUT_ON = "ring put on"
    RING_CHECKED = "ring checked"
    FIT_CHECKED = "fit checked"
    RING_REMOVED = "ring removed"
    CHIPPED = "chipped"
    MOVED = "moved"
    SEXED = "sexed"
    BRED = "bred"
    FLEDGED = "fledged"
    WEANED = "weaned"
    PLACED = "placed"
    RETURNED = "returned"
    LOST = "lost"
    FOUND = "found"
    DIED = "died"
    SIGHTED = "sighted"
    REPORTED = "reported"
    """What a later owner tells of it."""


@dataclass(frozen=True, slots=True)
class Event:
    """One thing that happened to one bird."""

    KIND: ClassVar[Kind] = Kind.EVENT

    id: str
    bird: str
    """Bird id."""
    kind: EventKind
    on: PartialDate
    text: str = ""
    weight_g: float | None = None
    by: str = ""
    """Who did or saw it, as the keeper writes it."""
    at: str = ""
    """Aviary or place: where it was seen, where it moved to."""
    ring: str | None = None
    """Ring id, where a ring was put on, checked, removed or read."""
    chip: str | None = None
    """Chip id."""
    finding: str = ""
    """Grade on a named scale: of skin and leg under a ring, of a ring's fit."""
    photos: tuple[str, ...] = ()
    """Photo ids."""
    extra: Mapping[str, Any] = field(default_factory=dict, hash=False)
