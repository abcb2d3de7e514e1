"""People, placements with them, photos, and what the ledger knows of itself."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, ClassVar

from ledger.domain.kind import Kind

if TYPE_CHECKING:
    from collections.abc import Mapping

    from ledger.domain.partial_date import PartialDate


@dataclass(frozen=True, slots=True)
class Person:
    """Someone to call: a keeper, an owner, a vet, a breeder, a club."""

    KIND: ClassVar[Kind] = Kind.PERSON

    id: str
    name: str = ""
    role: str = ""
    """"keeper", "owner", "vet", "breeder", "club", or the keeper's own word."""
    phone: str = ""
    email: str = ""
    address: str = ""
    notes: str = ""
    extra: Mapping[str, Any] = field(default_factory=dict, hash=False)


@dataclass(frozen=True, slots=True)
class Placement:
    """A bird goes to a new home, and may come back."""

    KIND: ClassVar[Kind] = Kind.PLACEMENT

    id: str
    bird: str
    """Bird id."""
    person: str | None = None
    """Person id of who took it."""
    on: PartialDate | None = None
    """When it left."""
    returned: PartialDate | None = None
    """When it came back; None while it is away."""
    notes: str = ""
    extra: Mapping[str, Any] = field(default_factory=dict, hash=False)


@dataclass(frozen=True, slots=True)
class Photo:
    """A picture beside the ledger, named by what is in it."""

    KIND: ClassVar[Kind] = Kind.PHOTO

    id: str
    sha256: str = ""
    """Of the file's bytes, 64 hexadecimal digits."""
    file_name: str = ""
    """What the file was called when it came in."""
    bird: str | None = None
    ring: str | None = None
    taken: PartialDate | None = None
    notes: str = ""
    extra: Mapping[str, Any] = field(default_factory=dict, hash=False)


@dataclass(frozen=True, slots=True)
class FounderKin:
    """Two birds without known parents that are kin all the same, the keeper says."""

    first: str
    second: str
    """Bird ids."""
    kinship: float
    """0 to 1: full siblings 0.25, half siblings 0.125, first cousins 0.0625."""
    notes: str = ""
    extra: Mapping[str, Any] = field(default_factory=dict, hash=False)


@dataclass(frozen=True, slots=True)
class OwnSize:
    """A ring size that the keeper sets for a species, over the published one."""

    species: str
    """As the keeper's birds have it."""
    size_mm: float
    """Inner diameter."""
    sex: str = ""
    """"cock" or "hen" where it holds for one of them only."""
    notes: str = ""
    extra: Mapping[str, Any] = field(default_factory=dict, hash=False)


@dataclass(frozen=True, slots=True)
class OwnWindow:
    """The days in which the keeper rings chicks of a species, over the usual ones."""

    species: str
    """As the keeper's birds have it."""
    first_day: int
    """Age in days; a chick is 0 days old on the day it hatches."""
    last_day: int
    notes: str = ""
    extra: Mapping[str, Any] = field(default_factory=dict, hash=False)


@dataclass(frozen=True, slots=True)
class FlockSettings:
    """What holds for the whole flock."""

    KIND: ClassVar[Kind] = Kind.SETTINGS

    id: str = "flock"
    name: str = ""
    """What the keeper calls the place."""
    flock_code: str = ""
    """The letters on its own rings."""
    country: str = ""
    """ISO 3166-1 alpha-2."""
    keeper: str | None = None
    """Person id."""
    vet: str | None = None
    """Person id of whom to call for a bird that names no vet of its own."""
    notes: str = ""
    founder_kin: tuple[FounderKin, ...] = ()
    """Founders that are kin of each other; all others count as unrelated."""
    own_sizes: tuple[OwnSize, ...] = ()
    walking_order: tuple[str, ...] = ()
    """Aviaries in the order one walks them."""
    highest_inbreeding: float | None = None
    """F of the young above which a pair needs a reason; None: the usual limit."""
    youngest_years: float | None = None
    """From which age a bird counts as grown; None: the usual one."""
    own_windows: tuple[OwnWindow, ...] = ()
    accepted: tuple[str, ...] = ()
    """Warnings of the check, word by word, that the keeper looked at and lets stand."""
    extra: Mapping[str, Any] = field(default_factory=dict, hash=False)
