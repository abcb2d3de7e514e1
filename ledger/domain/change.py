"""A change to the flock: a thing put in, or dropped."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

from ledger.domain.bird import Bird
from ledger.domain.breeding import Clutch, Pair
from ledger.domain.enquiry import Enquiry
from ledger.domain.event import Event
from ledger.domain.people import FlockSettings, Person, Photo, Placement
from ledger.domain.removal import Removal
from ledger.domain.ring import Chip, Ring
from ledger.domain.series import RingSeries
from ledger.domain.task import Task
from ledger.domain.walk import Sighting, WalkThrough

if TYPE_CHECKING:
    from ledger.domain.kind import Kind

Thing: TypeAlias = (
    Bird
    | Ring
    | Chip
    | Pair
    | Clutch
    | Event
    | Placement
    | Person
    | Photo
    | RingSeries
    | Task
    | Removal
    | WalkThrough
    | Sighting
    | Enquiry
    | FlockSettings
)
"""Anything a ledger keeps."""

KIND_CLASS: dict[Kind, type[Thing]] = {
    cls.KIND: cls
    for cls in (
        Bird,
        Ring,
        Chip,
        Pair,
        Clutch,
        Event,
        Placement,
        Person,
        Photo,
        RingSeries,
        Task,
        Removal,
        WalkThrough,
        Sighting,
        Enquiry,
        FlockSettings,
    )
}


@dataclass(frozen=True, slots=True)
class Put:
    """Add a thing, or replace the one with its id."""

    thing: Thing


@dataclass(frozen=True, slots=True)
class Drop:
    """Take a thing out."""

    kind: Kind
    id: str


Change: TypeAlias = Put | Drop
