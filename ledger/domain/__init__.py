"""What things are: frozen dataclasses and plain rules; no files, clock or screen."""

from ledger.domain.bird import Bird, Sex, Status
from ledger.domain.breeding import Clutch, Egg, EggFate, Pair
from ledger.domain.change import Change, Drop, Put, Thing
from ledger.domain.event import Event, EventKind
from ledger.domain.flock import ChainLink, Flock, Sibling
from ledger.domain.kind import Kind
from ledger.domain.partial_date import PartialDate, Season, age_in_words
from ledger.domain.people import FlockSettings, FounderKin, Person, Photo, Placement
from ledger.domain.ring import Chip, Leg, Ring, RingKind, RingState, compact

__all__ = [
    "Bird",
    "ChainLink",
    "Change",
    "Chip",
    "Clutch",
    "Drop",
    "Egg",
    "EggFate",
    "Event",
    "EventKind",
    "Flock",
    "FlockSettings",
    "FounderKin",
    "Kind",
    "Leg",
    "Pair",
    "PartialDate",
    "Person",
    "Photo",
    "Placement",
    "Put",
    "Ring",
    "RingKind",
    "RingState",
    "Season",
    "Sex",
    "Sibling",
    "Status",
    "Thing",
    "age_in_words",
    "compact",
]
