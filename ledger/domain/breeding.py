"""Pairs, clutches and eggs."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from typing import TYPE_CHECKING, Any, ClassVar

from ledger.domain.kind import Kind

if TYPE_CHECKING:
    from collections.abc import Mapping

    from ledger.domain.partial_date import PartialDate


class EggFate(StrEnum):
    """What came of an egg."""

    IN_NEST = "in nest"
    """Not known yet."""
    FERTILE = "fertile"
    """Candled, and alive that day."""
    HATCHED = "hatched"
    CLEAR = "clear"
    """Not fertile."""
    DIED_IN_SHELL = "died in shell"
    BROKEN = "broken"
    LOST = "lost"


@dataclass(frozen=True, slots=True)
class Pair:
    """A cock and a hen for a season or for life."""

    KIND: ClassVar[Kind] = Kind.PAIR

    id: str
    cock: str | None = None
    """Bird id."""
    hen: str | None = None
    """Bird id."""
    formed: PartialDate | None = None
    parted: PartialDate | None = None
    location: str = ""
    notes: str = ""
    extra: Mapping[str, Any] = field(default_factory=dict, hash=False)


@dataclass(frozen=True, slots=True)
class Egg:
    """One egg of a clutch."""

    number: int
    """Place in the clutch, from 1."""
    laid: PartialDate | None = None
    fate: EggFate = EggFate.IN_NEST
    hatched: PartialDate | None = None
    chick: str | None = None
    """Bird id of what hatched."""
    notes: str = ""
    candled: PartialDate | None = None
    """When light was last held to it."""
    ended: PartialDate | None = None
    """When it was found clear, dead, broken or gone."""
    extra: Mapping[str, Any] = field(default_factory=dict, hash=False)


@dataclass(frozen=True, slots=True)
class Clutch:
    """The eggs of one laying."""

    KIND: ClassVar[Kind] = Kind.CLUTCH

    id: str
    pair: str | None = None
    """Pair id."""
    number: int = 1
    """Which clutch of the pair's season, from 1."""
    laid: PartialDate | None = None
    """When the first egg was laid."""
    eggs: tuple[Egg, ...] = ()
    notes: str = ""
    extra: Mapping[str, Any] = field(default_factory=dict, hash=False)
