"""A ring that came off, and what carries the identity on."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, ClassVar

from ledger.domain.kind import Kind

if TYPE_CHECKING:
    from collections.abc import Mapping

    from ledger.domain.partial_date import PartialDate


@dataclass(frozen=True, slots=True)
class Removal:
    """What the removal paper says: one ring off, one chip or ring in its place."""

    KIND: ClassVar[Kind] = Kind.REMOVAL

    id: str
    bird: str | None = None
    """Bird id."""
    ring: str | None = None
    """Ring id of what came off."""
    on: PartialDate | None = None
    reason: str = ""
    vet: str = ""
    """Who took it off."""
    handlers: tuple[str, ...] = ()
    """Who held the bird and saw it."""
    ring_kept: str = ""
    """Where the ring is kept; "" when it is not."""
    chip: str | None = None
    """Chip id of what took its place."""
    site: str = ""
    """Where in the body the chip sits."""
    scan: str = ""
    """What the scanner showed after implanting."""
    rule: str = ""
    """Which rule on chips was held to."""
    override: str = ""
    """The vet's reason for chipping against that rule; "" where it was met."""
    weight_g: float | None = None
    photos: tuple[str, ...] = ()
    """Photo ids."""
    notes: str = ""
    extra: Mapping[str, Any] = field(default_factory=dict, hash=False)
