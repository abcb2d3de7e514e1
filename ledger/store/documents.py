"""Things to documents and back: every field named once, with how it is written.

A document is what TinyDB keeps: a dict of JSON values. Its key is the thing's id.
Fields that are empty are not written; fields this version does not know are kept
in `extra` and written back.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from ledger.domain.bird import Sex, Status
from ledger.domain.breeding import Egg, EggFate
from ledger.domain.change import KIND_CLASS, Thing
from ledger.domain.event import EventKind
from ledger.domain.kind import Kind
from ledger.domain.partial_date import PartialDate
from ledger.domain.people import FounderKin
from ledger.domain.ring import Leg, RingKind, RingState

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from enum import StrEnum

Document = dict[str, Any]


@dataclass(frozen=True)
class _Form:
    """How the values of a field are written and read."""

    write: Callable[[Any], Any]
    read: Callable[[Any], Any]
    name: str | type[StrEnum]
    """What the published schema calls it; an enumeration stands for itself."""


def _must_be(wanted: type | tuple[type, ...]) -> Callable[[Any], Any]:
    def read(value: Any) -> Any:
        if not isinstance(value, wanted) or isinstance(value, bool) is not (
            wanted is bool
        ):
            raise ValueError(f"“{value}”")
        return value

    return read


def _read_texts(value: Any) -> tuple[str, ...]:
    if not isinstance(value, list) or not all(isinstance(v, str) for v in value):
        raise ValueError(f"“{value}”")
    return tuple(value)


def _read_date(value: Any) -> PartialDate:
    if not isinstance(value, str):
        raise ValueError(f"“{value}”")
    return PartialDate.parse(value)


def _one_of(words: type[StrEnum]) -> _Form:
    known = {str(word): word for word in words}

    def read(value: Any) -> StrEnum:
        if not isinstance(value, str) or value not in known:
            raise ValueError(f"“{value}”")
        return known[value]

    return _Form(str, read, words)


def _same(value: Any) -> Any:
    return value


_TEXT = _Form(_same, _must_be(str), "text")
_TEXTS = _Form(list, _read_texts, "texts")
_NUMBER = _Form(_same, _must_be((int, float)), "number")
_COUNT = _Form(_same, _must_be(int), "count")
_YES = _Form(_same, _must_be(bool), "yes")
_DATE = _Form(str, _read_date, "date")

_EGG: dict[str, _Form] = {
    "number": _COUNT,
    "laid": _DATE,
    "fate": _one_of(EggFate),
    "hatched": _DATE,
    "chick": _TEXT,
    "notes": _TEXT,
}


def _write_eggs(eggs: tuple[Egg, ...]) -> list[Document]:
    return [_written(egg, _EGG) for egg in eggs]


def _read_eggs(value: Any) -> tuple[Egg, ...]:
    if not isinstance(value, list) or not all(isinstance(v, dict) for v in value):
        raise ValueError(f"“{value}”")
    return tuple(Egg(**_read(document, _EGG)) for document in value)


def _read_chances(value: Any) -> tuple[tuple[str, float], ...]:
    if not isinstance(value, dict):
        raise ValueError(f"“{value}”")
    read = _NUMBER.read
    return tuple((bird, float(read(chance))) for bird, chance in value.items())


_CHANCES = _Form(dict, _read_chances, "chances")

_FOUNDER_KIN: dict[str, _Form] = {
    "first": _TEXT,
    "second": _TEXT,
    "kinship": _NUMBER,
    "notes": _TEXT,
}


def _write_kin(kin: tuple[FounderKin, ...]) -> list[Document]:
    return [_written(it, _FOUNDER_KIN) for it in kin]


def _read_kin(value: Any) -> tuple[FounderKin, ...]:
    if not isinstance(value, list) or not all(isinstance(v, dict) for v in value):
        raise ValueError(f"“{value}”")
    return tuple(FounderKin(**_read(document, _FOUNDER_KIN)) for document in value)


_FORMS: dict[Kind, dict[str, _Form]] = {
    Kind.BIRD: {
        "name": _TEXT,
        "species": _TEXT,
        "sex": _one_of(Sex),
        "hatched": _DATE,
        "sire": _TEXT,
        "dam": _TEXT,
        "sire_may_be": _CHANCES,
        "dam_may_be": _CHANCES,
        "status": _one_of(Status),
        "location": _TEXT,
        "owner": _TEXT,
        "vet": _TEXT,
        "alerts": _TEXTS,
        "medication": _TEXTS,
        "allergies": _TEXTS,
        "health_flags": _TEXTS,
        "notes": _TEXT,
    },
    Kind.RING: {
        "inscription": _TEXT,
        "kind": _one_of(RingKind),
        "colour": _TEXT,
        "size_mm": _NUMBER,
        "leg": _one_of(Leg),
        "bird": _TEXT,
        "put_on": _DATE,
        "removed": _DATE,
        "removed_reason": _TEXT,
        "removed_by": _TEXT,
        "state": _one_of(RingState),
        "issuer": _TEXT,
        "replaced_by": _TEXT,
        "trial": _YES,
        "notes": _TEXT,
    },
    Kind.CHIP: {
        "code": _TEXT,
        "bird": _TEXT,
        "implanted": _DATE,
        "site": _TEXT,
        "notes": _TEXT,
    },
    Kind.PAIR: {
        "cock": _TEXT,
        "hen": _TEXT,
        "formed": _DATE,
        "parted": _DATE,
        "location": _TEXT,
        "notes": _TEXT,
    },
    Kind.CLUTCH: {
        "pair": _TEXT,
        "number": _COUNT,
        "laid": _DATE,
        "eggs": _Form(_write_eggs, _read_eggs, "eggs"),
        "notes": _TEXT,
    },
    Kind.EVENT: {
        "bird": _TEXT,
        "kind": _one_of(EventKind),
        "on": _DATE,
        "text": _TEXT,
        "weight_g": _NUMBER,
        "by": _TEXT,
        "at": _TEXT,
        "ring": _TEXT,
        "chip": _TEXT,
        "photos": _TEXTS,
    },
    Kind.PLACEMENT: {
        "bird": _TEXT,
        "person": _TEXT,
        "on": _DATE,
        "returned": _DATE,
        "notes": _TEXT,
    },
    Kind.PERSON: {
        "name": _TEXT,
        "role": _TEXT,
        "phone": _TEXT,
        "email": _TEXT,
        "address": _TEXT,
        "notes": _TEXT,
    },
    Kind.PHOTO: {
        "sha256": _TEXT,
        "file_name": _TEXT,
        "bird": _TEXT,
        "ring": _TEXT,
        "taken": _DATE,
        "notes": _TEXT,
    },
    Kind.SETTINGS: {
        "name": _TEXT,
        "flock_code": _TEXT,
        "country": _TEXT,
        "keeper": _TEXT,
        "vet": _TEXT,
        "founder_kin": _Form(_write_kin, _read_kin, "founder kin"),
        "notes": _TEXT,
    },
}


FIELDS: dict[str, dict[str, str | type[StrEnum]]] = {
    name: {field: form.name for field, form in forms.items()}
    for name, forms in (
        *_FORMS.items(),
        ("egg", _EGG),
        ("founder kin", _FOUNDER_KIN),
    )
}
"""What each kind's fields hold, by kind; those of an egg and of founders' kin."""


def to_document(thing: Thing) -> Document:
    """What is kept of a thing, its id aside."""
    return _written(thing, _FORMS[thing.KIND])


def from_document(kind: Kind, thing_id: str, document: Mapping[str, Any]) -> Thing:
    """The thing that a document describes.

    Raises:
        ValueError: a field holds what it cannot hold, or one is missing; the
            message names the thing and the field.
    """
    try:
        return KIND_CLASS[kind](id=thing_id, **_read(document, _FORMS[kind]))
    except ValueError as error:
        raise ValueError(f"{thing_id} in {kind}: {error}") from error
    except TypeError as error:  # a field without a default is missing
        raise ValueError(f"{thing_id} in {kind} lacks a field") from error


def _written(thing: Any, forms: Mapping[str, _Form]) -> Document:
    document = {
        name: form.write(value)
        for name, form in forms.items()
        if not _is_empty(value := getattr(thing, name))
    }
    return {**thing.extra, **document}


def _is_empty(value: Any) -> bool:
    return value is None or value is False or value == "" or value == ()


def _read(document: Mapping[str, Any], forms: Mapping[str, _Form]) -> dict[str, Any]:
    fields: dict[str, Any] = {}
    extra: dict[str, Any] = {}
    for name, value in document.items():
        form = forms.get(name)
        if form is None:
            extra[name] = value
            continue
        try:
            fields[name] = form.read(value)
        except ValueError as error:
            raise ValueError(f"“{name}” cannot be {error}") from error
    if extra:
        fields["extra"] = extra
    return fields
