"""Things for tests, with only what a test is about said aloud. All invented."""

import datetime as dt

from ledger.domain import (
    Bird,
    Chip,
    Event,
    EventKind,
    Flock,
    Leg,
    PartialDate,
    Person,
    Ring,
    RingKind,
    RingState,
    Sex,
    Status,
)

TODAY = dt.date(2026, 1, 15)


def a_date(text):
    return text if isinstance(text, PartialDate) else PartialDate.parse(text)


def _dated(fields, *names):
    return {
        name: a_date(value) if name in names and isinstance(value, str) else value
        for name, value in fields.items()
    }


def a_bird(bird_id="b0001", name="Pip", **fields):
    fields["sex"] = Sex(fields.get("sex", "unknown"))
    fields["status"] = Status(fields.get("status", "alive"))
    return Bird(bird_id, name, **_dated(fields, "hatched"))


def a_ring(ring_id="r0001", inscription="IE TWK / 19 0007", **fields):
    fields = {"kind": RingKind.CLOSED, "leg": "left", **fields}
    fields["leg"] = Leg(fields["leg"])
    if fields.get("bird"):
        fields.setdefault("state", RingState.ON_BIRD)
    return Ring(ring_id, inscription, **_dated(fields, "put_on", "removed"))


def a_chip(chip_id="c0001", code="372098100000001", **fields):
    return Chip(chip_id, code, **_dated(fields, "implanted"))


def an_event(event_id="e0001", bird="b0001", kind=EventKind.NOTE, on="2020", **fields):
    return Event(event_id, bird, kind, a_date(on), **fields)


def a_person(person_id="h0001", name="Una Keogh", **fields):
    return Person(person_id, name, **fields)


def a_flock(*things):
    return Flock.of(things)
