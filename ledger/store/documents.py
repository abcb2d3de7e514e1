"""Things to documents and back: every field named once, with how it is written.

A document is what TinyDB keeps: a dict of JSON values. Its key is the thing's id.
Fields that are empty are not written; fields this version does not know are kept
in `extra` and written back.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from ledger.domain.bird import Sex, Status
from ledger.domain.breeding import Egg, EggFate
from ledger.domain.change import KIND_CLASS, Thing
from ledger.domain.enquiry import Contact
from ledger.domain.event import EventKind
from ledger.domain.kind import Kind
from ledger.domain.people import FounderKin, OwnSize, OwnWindow
from ledger.domain.ring import Leg, RingKind, RingState
from ledger.domain.task import TaskKind
from ledger.domain.walk import Absence, SeenHow, Stop
from ledger.store.values import (
    CHANCES,
    COUNT,
    DATE,
    NUMBER,
    TEXT,
    TEXTS,
    YES,
    Document,
    Form,
    list_of,
    one_of,
    read,
    written,
)

if TYPE_CHECKING:
    from collections.abc import Mapping
    from enum import StrEnum

__all__ = ["FIELDS", "Document", "from_document", "to_document"]

_EGG: dict[str, Form] = {
    "number": COUNT,
    "laid": DATE,
    "fate": one_of(EggFate),
    "hatched": DATE,
    "chick": TEXT,
    "candled": DATE,
    "ended": DATE,
    "notes": TEXT,
}
_FOUNDER_KIN: dict[str, Form] = {
    "first": TEXT,
    "second": TEXT,
    "kinship": NUMBER,
    "notes": TEXT,
}
_OWN_SIZE: dict[str, Form] = {
    "species": TEXT,
    "size_mm": NUMBER,
    "sex": TEXT,
    "notes": TEXT,
}
_OWN_WINDOW: dict[str, Form] = {
    "species": TEXT,
    "first_day": COUNT,
    "last_day": COUNT,
    "notes": TEXT,
}
_STOP: dict[str, Form] = {"aviary": TEXT, "birds": TEXTS, "done": YES}
_ABSENCE: dict[str, Form] = {"bird": TEXT, "settled": TEXT}


_FORMS: dict[Kind, dict[str, Form]] = {
    Kind.BIRD: {
        "name": TEXT,
        "species": TEXT,
        "sex": one_of(Sex),
        "hatched": DATE,
        "sire": TEXT,
        "dam": TEXT,
        "sire_may_be": CHANCES,
        "dam_may_be": CHANCES,
        "status": one_of(Status),
        "location": TEXT,
        "owner": TEXT,
        "vet": TEXT,
        "alerts": TEXTS,
        "medication": TEXTS,
        "allergies": TEXTS,
        "health_flags": TEXTS,
        "feeding": TEXT,
        "rearing": TEXT,
        "notes": TEXT,
    },
    Kind.RING: {
        "inscription": TEXT,
        "kind": one_of(RingKind),
        "colour": TEXT,
        "size_mm": NUMBER,
        "leg": one_of(Leg),
        "bird": TEXT,
        "put_on": DATE,
        "removed": DATE,
        "removed_reason": TEXT,
        "removed_by": TEXT,
        "state": one_of(RingState),
        "issuer": TEXT,
        "replaced_by": TEXT,
        "trial": YES,
        "series": TEXT,
        "kept": TEXT,
        "notes": TEXT,
    },
    Kind.CHIP: {
        "code": TEXT,
        "bird": TEXT,
        "implanted": DATE,
        "site": TEXT,
        "by": TEXT,
        "notes": TEXT,
    },
    Kind.PAIR: {
        "cock": TEXT,
        "hen": TEXT,
        "formed": DATE,
        "parted": DATE,
        "location": TEXT,
        "notes": TEXT,
    },
    Kind.CLUTCH: {
        "pair": TEXT,
        "number": COUNT,
        "laid": DATE,
        "eggs": list_of(Egg, _EGG, "eggs"),
        "notes": TEXT,
    },
    Kind.EVENT: {
        "bird": TEXT,
        "kind": one_of(EventKind),
        "on": DATE,
        "text": TEXT,
        "weight_g": NUMBER,
        "by": TEXT,
        "at": TEXT,
        "ring": TEXT,
        "chip": TEXT,
        "finding": TEXT,
        "photos": TEXTS,
    },
    Kind.PLACEMENT: {
        "bird": TEXT,
        "person": TEXT,
        "on": DATE,
        "returned": DATE,
        "notes": TEXT,
    },
    Kind.PERSON: {
        "name": TEXT,
        "role": TEXT,
        "phone": TEXT,
        "email": TEXT,
        "address": TEXT,
        "notes": TEXT,
    },
    Kind.PHOTO: {
        "sha256": TEXT,
        "file_name": TEXT,
        "bird": TEXT,
        "ring": TEXT,
        "taken": DATE,
        "notes": TEXT,
    },
    Kind.SERIES: {
        "pattern": TEXT,
        "ring_year": COUNT,
        "first": COUNT,
        "last": COUNT,
        "digits": COUNT,
        "size_mm": NUMBER,
        "kind": one_of(RingKind),
        "colour": TEXT,
        "issuer": TEXT,
        "batch": TEXT,
        "ordered": DATE,
        "arrived": DATE,
        "notes": TEXT,
    },
    Kind.TASK: {
        "bird": TEXT,
        "kind": one_of(TaskKind),
        "due": DATE,
        "text": TEXT,
        "because": TEXT,
        "done": DATE,
        "outcome": TEXT,
        "set_on": DATE,
        "puts_off": TEXT,
        "notes": TEXT,
    },
    Kind.REMOVAL: {
        "bird": TEXT,
        "ring": TEXT,
        "on": DATE,
        "reason": TEXT,
        "vet": TEXT,
        "handlers": TEXTS,
        "ring_kept": TEXT,
        "chip": TEXT,
        "site": TEXT,
        "scan": TEXT,
        "rule": TEXT,
        "override": TEXT,
        "weight_g": NUMBER,
        "photos": TEXTS,
        "notes": TEXT,
    },
    Kind.WALK: {
        "on": DATE,
        "by": TEXT,
        "stops": list_of(Stop, _STOP, "stops"),
        "started": TEXT,
        "ended": TEXT,
        "applied": TEXT,
        "absences": list_of(Absence, _ABSENCE, "absences"),
        "notes": TEXT,
    },
    Kind.SIGHTING: {
        "walk": TEXT,
        "aviary": TEXT,
        "bird": TEXT,
        "ring": TEXT,
        "how": one_of(SeenHow),
        "read": TEXT,
        "photos": TEXTS,
        "time": TEXT,
        "ring_state": TEXT,
        "leg_state": TEXT,
        "weight_g": NUMBER,
        "settled": TEXT,
        "notes": TEXT,
    },
    Kind.ENQUIRY: {
        "on": DATE,
        "asker": TEXT,
        "reach": TEXT,
        "question": TEXT,
        "inscription": TEXT,
        "photos": TEXTS,
        "species": TEXT,
        "hatched": DATE,
        "size_mm": NUMBER,
        "colour": TEXT,
        "closure": TEXT,
        "bird": TEXT,
        "contact": one_of(Contact),
        "answer": TEXT,
        "answered": DATE,
        "event": TEXT,
        "notes": TEXT,
    },
    Kind.SETTINGS: {
        "name": TEXT,
        "flock_code": TEXT,
        "country": TEXT,
        "keeper": TEXT,
        "vet": TEXT,
        "own_sizes": list_of(OwnSize, _OWN_SIZE, "own sizes"),
        "own_windows": list_of(OwnWindow, _OWN_WINDOW, "own windows"),
        "walking_order": TEXTS,
        "founder_kin": list_of(FounderKin, _FOUNDER_KIN, "founder kin"),
        "highest_inbreeding": NUMBER,
        "youngest_years": NUMBER,
        "accepted": TEXTS,
        "notes": TEXT,
    },
}


FIELDS: dict[str, dict[str, str | type[StrEnum]]] = {
    name: {field: form.name for field, form in forms.items()}
    for name, forms in (
        *_FORMS.items(),
        ("egg", _EGG),
        ("founder kin", _FOUNDER_KIN),
        ("own size", _OWN_SIZE),
        ("own window", _OWN_WINDOW),
        ("stop", _STOP),
        ("absence", _ABSENCE),
    )
}
"""What each kind's fields hold, by kind; and those of their parts."""


def to_document(thing: Thing) -> Document:
    """What is kept of a thing, its id aside."""
    return written(thing, _FORMS[thing.KIND])


def from_document(kind: Kind, thing_id: str, document: Mapping[str, Any]) -> Thing:
    """The thing that a document describes.

    Raises:
        ValueError: a field holds what it cannot hold, or one is missing; the
            message names the thing and the field.
    """
    try:
        return KIND_CLASS[kind](id=thing_id, **read(document, _FORMS[kind]))
    except ValueError as error:
        raise ValueError(f"{thing_id} in {kind}: {error}") from error
    except TypeError as error:  # a field without a default is missing
        raise ValueError(f"{thing_id} in {kind} lacks a field") from error
