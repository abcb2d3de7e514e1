"""A whole ledger as one plain JSON document, for other programs and for keeps.

`ledger.schema.json` beside this file says what is in it, in the words of JSON
Schema (https://json-schema.org/draft/2020-12). Version 1.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from ledger.domain.history import Did
from ledger.domain.kind import ID_PREFIX, Kind
from ledger.store.documents import FIELDS, from_document, to_document

if TYPE_CHECKING:
    from collections.abc import Mapping
    from enum import StrEnum

    from ledger.domain.change import Thing
    from ledger.domain.flock import Flock

FORM, VERSION = "flock-ledger", 1
_LAST, _ACTS = "last_numbers", "changes"


def as_plain(flock: Flock, acts: Mapping[str, Mapping[str, Any]]) -> dict[str, Any]:
    """A flock and all that was ever done to it.

    Args:
        flock: The flock.
        acts: What is kept of each act, by its number.
    """
    return {
        "form": FORM,
        "version": VERSION,
        _LAST: {str(kind): flock.last_numbers.get(kind, 0) for kind in ID_PREFIX},
        **{
            str(kind): [
                {"id": key, **to_document(thing)}
                for key, thing in flock.all_of(kind).items()
            ]
            for kind in Kind
        },
        _ACTS: [{"number": int(key), **act} for key, act in acts.items()],
    }


def from_plain(
    plain: Any,
) -> tuple[list[Thing], dict[Kind, int], dict[str, dict[str, Any]]]:
    """Things, highest numbers ever given, and acts by number.

    Raises:
        ValueError: it is not such a document; the message says where, as the
            end of a sentence.
    """
    if not isinstance(plain, dict) or plain.get("form") != FORM:
        raise ValueError("it does not say that it is a whole flock ledger")
    if plain.get("version") != VERSION:
        raise ValueError(
            f"it has version {plain.get('version')}; this program knows {VERSION}"
        )
    things = [
        _thing(kind, document)
        for kind in Kind
        for document in _list(plain, str(kind), "id", str)
    ]
    numbers = plain.get(_LAST, {})
    if not isinstance(numbers, dict):
        raise ValueError(f"“{_LAST}” is no object")
    last = {
        Kind(name): number
        for name, number in numbers.items()
        if name in set(Kind) and isinstance(number, int)
    }
    acts: dict[str, dict[str, Any]] = {}
    for act in _list(plain, _ACTS, "number", int):
        acts[str(act["number"])] = {k: v for k, v in act.items() if k != "number"}
    if list(acts) != [str(number) for number in range(1, len(acts) + 1)]:
        raise ValueError(f"the numbers of “{_ACTS}” do not count up from 1")
    return things, last, acts


def _list(
    plain: Mapping[str, Any], name: str, key: str, wanted: type
) -> list[dict[str, Any]]:
    found = plain.get(name, [])
    if not isinstance(found, list):
        raise ValueError(f"“{name}” is no list")
    seen: set[Any] = set()
    for number, each in enumerate(found, start=1):
        if not isinstance(each, dict) or not isinstance(each.get(key), wanted):
            raise ValueError(f"entry {number} of “{name}” has no {key}")
        if each[key] in seen:
            raise ValueError(f"“{name}” has {each[key]} twice")
        seen.add(each[key])
    return found


def _thing(kind: Kind, document: Mapping[str, Any]) -> Thing:
    fields = {name: value for name, value in document.items() if name != "id"}
    return from_document(kind, document["id"], fields)


def schema() -> dict[str, Any]:
    """The JSON Schema of such a document, from the fields that are stored."""
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "A whole flock ledger",
        "type": "object",
        "required": ["form", "version", _LAST, Kind.BIRD, Kind.RING, _ACTS],
        "properties": {
            "form": {"const": FORM},
            "version": {"const": VERSION},
            _LAST: {
                "description": "Highest number ever given in an id, by kind.",
                "type": "object",
                "additionalProperties": {"type": "integer", "minimum": 0},
            },
            **{str(kind): _kind_schema(kind) for kind in Kind},
            _ACTS: {"type": "array", "items": _act_schema()},
        },
        "$defs": {
            "date": {
                "description": "A day, a month, a year, or a season of a year.",
                "type": "string",
                "pattern": r"^(\d{4}(-\d{2}(-\d{2})?)?"
                r"|(spring|summer|autumn|winter) \d{4})$",
            },
            "egg": _fields_schema("egg", ("number",)),
            "founder_kin": _fields_schema(
                "founder kin", ("first", "second", "kinship")
            ),
            "own_size": _fields_schema("own size", ("species", "size_mm")),
            "own_window": _fields_schema(
                "own window", ("species", "first_day", "last_day")
            ),
            "stop": _fields_schema("stop", ("aviary",)),
            "absence": _fields_schema("absence", ("bird",)),
        },
    }


def _kind_schema(kind: Kind) -> dict[str, Any]:
    needed = {Kind.EVENT: ("bird", "kind", "on"), Kind.PLACEMENT: ("bird",)}
    body = _fields_schema(kind, ("id", *needed.get(kind, ())))
    body["properties"] = {"id": {"type": "string"}, **body["properties"]}
    return {"type": "array", "items": body}


def _fields_schema(of: str, needed: tuple[str, ...]) -> dict[str, Any]:
    return {
        "type": "object",
        "required": list(needed),
        "properties": {name: _value(form) for name, form in FIELDS[of].items()},
    }


def _value(form: str | type[StrEnum]) -> dict[str, Any]:
    if not isinstance(form, str):
        return {"enum": [str(word) for word in form]}
    values: dict[str, dict[str, Any]] = {
        "text": {"type": "string"},
        "texts": {"type": "array", "items": {"type": "string"}},
        "number": {"type": "number"},
        "count": {"type": "integer"},
        "yes": {"type": "boolean"},
        "date": {"$ref": "#/$defs/date"},
        "eggs": {"type": "array", "items": {"$ref": "#/$defs/egg"}},
        "chances": {"type": "object", "additionalProperties": {"type": "number"}},
        "own sizes": {"type": "array", "items": {"$ref": "#/$defs/own_size"}},
        "own windows": {"type": "array", "items": {"$ref": "#/$defs/own_window"}},
        "stops": {"type": "array", "items": {"$ref": "#/$defs/stop"}},
        "absences": {"type": "array", "items": {"$ref": "#/$defs/absence"}},
        "founder kin": {"type": "array", "items": {"$ref": "#/$defs/founder_kin"}},
    }
    return values[form]


def _act_schema() -> dict[str, Any]:
    return {
        "type": "object",
        "required": ["number", "time", "author", "what", "entries"],
        "properties": {
            "number": {"type": "integer", "minimum": 1},
            "time": {"type": "string", "format": "date-time"},
            "author": {"type": "string"},
            "what": {"type": "string"},
            "undoes": {"type": "integer", "minimum": 1},
            "entries": {
                "type": "array",
                "items": {
                    "type": "object",
                    "required": ["kind", "id", "did"],
                    "properties": {
                        "kind": {"enum": [str(kind) for kind in Kind]},
                        "id": {"type": "string"},
                        "did": {"enum": [str(did) for did in Did]},
                        "before": {"type": "object"},
                    },
                },
            },
        },
    }
