"""What marks a bird: rings and chips."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from typing import TYPE_CHECKING, Any, ClassVar

from ledger.domain.kind import Kind

if TYPE_CHECKING:
    from collections.abc import Mapping

    from ledger.domain.partial_date import PartialDate


class RingKind(StrEnum):
    """How a ring is made."""

    CLOSED = "closed"
    """Seamless, slipped over the chick's foot."""
    SPLIT = "split"
    """Opened and closed on a grown leg."""
    QUARANTINE = "quarantine"
    """A split ring shut by a screw or rivet, put on at import."""
    UNKNOWN = "unknown"


class RingState(StrEnum):
    """Where a ring is."""

    IN_STOCK = "in stock"
    ON_BIRD = "on bird"
    SPOILED = "spoiled"
    LOST = "lost"
    REMOVED = "removed"


class Leg(StrEnum):
    """The bird's own left or right."""

    LEFT = "left"
    RIGHT = "right"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Ring:
    """One leg ring, from the order to long after it came off."""

    KIND: ClassVar[Kind] = Kind.RING

    id: str
    inscription: str = ""
    """All characters in reading order, lines parted by ` / `."""
    kind: RingKind = RingKind.UNKNOWN
    colour: str = ""
    size_mm: float | None = None
    """Inner diameter."""
    leg: Leg = Leg.UNKNOWN
    bird: str | None = None
    """Bird id of the bird that wears it or wore it."""
    put_on: PartialDate | None = None
    removed: PartialDate | None = None
    removed_reason: str = ""
    removed_by: str = ""
    """Who took it off."""
    state: RingState = RingState.IN_STOCK
    issuer: str = ""
    """Who gave it out; an inscription is unique for its issuer."""
    replaced_by: str | None = None
    """Id of the ring or chip that took its place."""
    trial: bool = False
    """One of two neighbouring sizes, worn until the bird has grown."""
    series: str | None = None
    """Id of the series it came with."""
    kept: str = ""
    """Where it is kept after it came off; "" when it is not."""
    notes: str = ""
    extra: Mapping[str, Any] = field(default_factory=dict, hash=False)


@dataclass(frozen=True, slots=True)
class Chip:
    """One implanted transponder."""

    KIND: ClassVar[Kind] = Kind.CHIP

    id: str
    code: str = ""
    bird: str | None = None
    implanted: PartialDate | None = None
    site: str = ""
    """Where in the body."""
    by: str = ""
    """Who implanted it."""
    notes: str = ""
    extra: Mapping[str, Any] = field(default_factory=dict, hash=False)


_LOOKALIKES = str.maketrans("odqilzsgb", "000112568")
"""Characters taken for each other on metal: 0 O D Q, 1 I L, 2 Z, 5 S, 6 G, 8 B."""


def lookalike(inscription: str) -> str:
    """An inscription in which characters that look alike are one character."""
    return compact(inscription).translate(_LOOKALIKES)


def compact(text: str) -> str:
    """An inscription, code or name stripped to what a search compares.

    Letters and digits only, in one case: `IE TWK / 21` and `ietwk21` are alike.
    """
    return "".join(sign for sign in text.casefold() if sign.isalnum())
