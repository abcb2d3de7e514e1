"""One bird and its state."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from typing import TYPE_CHECKING, Any, ClassVar

from ledger.domain.kind import Kind

if TYPE_CHECKING:
    from collections.abc import Mapping

    from ledger.domain.partial_date import PartialDate


class Sex(StrEnum):
    """Cock, hen, or not known."""

    COCK = "cock"
    HEN = "hen"
    UNKNOWN = "unknown"


class Status(StrEnum):
    """Where a bird stands with us."""

    ALIVE = "alive"
    """Lives here."""
    PLACED = "placed"
    """Lives with someone else."""
    DEAD = "dead"
    LOST = "lost"
    """Flown or stolen."""


@dataclass(frozen=True, slots=True)
class Bird:
    """One bird."""

    KIND: ClassVar[Kind] = Kind.BIRD

    id: str
    """Ours, like "b0001"; never changes, never given twice."""
    name: str = ""
    species: str = ""
    """The name the keeper uses; scientific or common."""
    sex: Sex = Sex.UNKNOWN
    hatched: PartialDate | None = None
    sire: str | None = None
    """Bird id of the father."""
    dam: str | None = None
    """Bird id of the mother."""
    sire_may_be: tuple[tuple[str, float], ...] = ()
    """Where the father is in doubt: bird id and chance of each that may be he, 1 in
    all; "" stands for a bird that is not entered. Counts instead of `sire`."""
    dam_may_be: tuple[tuple[str, float], ...] = ()
    """Likewise the mother."""
    status: Status = Status.ALIVE
    location: str = ""
    """Aviary or cage, as the keeper calls it."""
    owner: str | None = None
    """Person id."""
    vet: str | None = None
    """Person id."""
    alerts: tuple[str, ...] = ()
    """What whoever picks the bird up must know first."""
    medication: tuple[str, ...] = ()
    allergies: tuple[str, ...] = ()
    """What it reacts to."""
    health_flags: tuple[str, ...] = ()
    """Lasting facts about its health that matter to its kin."""
    feeding: str = ""
    """What it is fed, for who looks after it next."""
    rearing: str = ""
    """How it was reared: by its parents, by hand, by others."""
    notes: str = ""
    extra: Mapping[str, Any] = field(default_factory=dict, hash=False)
    """Fields that this version does not know; kept as they are."""

    @property
    def title(self) -> str:
        """Its name, or its id where it has none."""
        return self.name or self.id
