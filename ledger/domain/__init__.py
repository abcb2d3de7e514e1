"""What things are: frozen dataclasses and plain rules; no files, clock or screen."""

from ledger.domain.bird import Bird, Sex, Status
from ledger.domain.breeding import Clutch, Egg, EggFate, Pair
from ledger.domain.change import Change, Drop, Put, Thing
from ledger.domain.enquiry import Contact, Enquiry
from ledger.domain.event import Event, EventKind
from ledger.domain.flock import ChainLink, Flock, Sibling
from ledger.domain.kind import Kind
from ledger.domain.partial_date import PartialDate, Season, age_in_words
from ledger.domain.people import (
    FlockSettings,
    FounderKin,
    OwnSize,
    OwnWindow,
    Person,
    Photo,
    Placement,
)
from ledger.domain.removal import Removal
from ledger.domain.ring import Chip, Leg, Ring, RingKind, RingState, compact
from ledger.domain.series import RingSeries
from ledger.domain.task import Task, TaskKind
from ledger.domain.walk import (
    Absence,
    SeenHow,
    Settled,
    Sighting,
    Stop,
    WalkThrough,
)

__all__ = [
    "Absence",
    "Bird",
    "ChainLink",
    "Change",
    "Chip",
    "Clutch",
    "Contact",
    "Drop",
    "Egg",
    "EggFate",
    "Enquiry",
    "Event",
    "EventKind",
    "Flock",
    "FlockSettings",
    "FounderKin",
    "Kind",
    "Leg",
    "OwnSize",
    "OwnWindow",
    "Pair",
    "PartialDate",
    "Person",
    "Photo",
    "Placement",
    "Put",
    "Removal",
    "Ring",
    "RingKind",
    "RingSeries",
    "RingState",
    "Season",
    "SeenHow",
    "Settled",
    "Sex",
    "Sibling",
    "Sighting",
    "Status",
    "Stop",
    "Task",
    "TaskKind",
    "Thing",
    "WalkThrough",
    "age_in_words",
    "compact",
]
