"""The kinds of things a ledger keeps."""

from __future__ import annotations

from enum import StrEnum


class Kind(StrEnum):
    """One kind of thing; the value is also the name of its table."""

    BIRD = "birds"
    RING = "rings"
    CHIP = "chips"
    PAIR = "pairs"
    CLUTCH = "clutches"
    EVENT = "events"
    PLACEMENT = "placements"
    PERSON = "people"
    PHOTO = "photos"
    SERIES = "ring series"
    TASK = "tasks"
    REMOVAL = "removals"
    WALK = "walk-throughs"
    SIGHTING = "sightings"
    ENQUIRY = "enquiries"
    SETTINGS = "settings"


ID_PREFIX: dict[Kind, str] = {
    Kind.BIRD: "b",
    Kind.RING: "r",
    Kind.CHIP: "c",
    Kind.PAIR: "p",
    Kind.CLUTCH: "k",
    Kind.EVENT: "e",
    Kind.PLACEMENT: "m",
    Kind.PERSON: "h",
    Kind.PHOTO: "f",
    Kind.SERIES: "s",
    Kind.TASK: "t",
    Kind.REMOVAL: "x",
    Kind.WALK: "w",
    Kind.SIGHTING: "g",
    Kind.ENQUIRY: "q",
}
"""First letter of an id; digits follow."""


def id_number(thing_id: str) -> int:
    """The number in an id: 12 of "b0012"; 0 for an id not of our making."""
    digits = thing_id[1:]
    return int(digits) if digits.isascii() and digits.isdigit() else 0


def kind_of(thing_id: str) -> Kind | None:
    """The kind that an id is of, by its first letter; None for one not of our making.

    The settings have no number and are the only one of their kind.
    """
    if id_number(thing_id):
        for kind, letter in ID_PREFIX.items():
            if thing_id[0] == letter:
                return kind
    return Kind.SETTINGS if thing_id == "flock" else None
