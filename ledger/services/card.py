"""The emergency card: one bird on one page, for the worst minute."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from ledger.domain.bird import Sex, Status
from ledger.domain.event import EventKind
from ledger.domain.partial_date import age_in_words
from ledger.domain.ring import Chip, Leg, RingKind, RingState
from ledger.services.card_form import as_json, as_text
from ledger.services.find import find_bird
from ledger.services.ledger import bird_of
from ledger.services.ring_checks import alerts_of

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Iterator

    from ledger.domain.bird import Bird
    from ledger.domain.event import Event
    from ledger.domain.flock import ChainLink, Flock
    from ledger.domain.ring import Ring

__all__ = [
    "Card",
    "Contact",
    "Kin",
    "Mark",
    "Note",
    "Weight",
    "as_json",
    "as_text",
    "emergency_card",
    "find_bird",
]

LAST = 5
"""How many notes and weights a card shows."""
_NOTED = {EventKind.NOTE, EventKind.EXAMINED, EventKind.TREATED, EventKind.REPORTED}


@dataclass(frozen=True)
class Mark:
    """A ring or chip the bird carries or carried."""

    what: Literal["ring", "chip"]
    text: str
    """Inscription or code."""
    detail: str
    """Kind, colour, leg, size; or where the chip sits."""
    is_on: bool
    said: str = ""
    """For one it no longer carries: what became of it, as a sentence."""


@dataclass(frozen=True)
class Contact:
    """Someone to call."""

    role: Literal["vet", "owner", "keeper"]
    name: str
    phone: str
    email: str
    address: str


@dataclass(frozen=True)
class Note:
    """Something written down about the bird."""

    on: str
    kind: str
    text: str
    by: str


@dataclass(frozen=True)
class Weight:
    """One weighing."""

    on: str
    weight_g: float
    change_percent: float | None
    """Against the weighing before it; None for the first."""


@dataclass(frozen=True)
class Kin:
    """A parent or sibling, and what its health says about this bird."""

    relation: Literal["sire", "dam", "full sibling", "half sibling"]
    through: str
    """For a half sibling: the parent they share."""
    bird: str
    """Bird id."""
    name: str
    sex: str
    status: str
    health_flags: tuple[str, ...]


@dataclass(frozen=True)
class Card:
    """Everything at a glance, the most urgent first."""

    bird: str
    """Bird id."""
    name: str
    standing: tuple[str, ...]
    """Said before all else: that it is dead, lost or lives elsewhere."""
    alerts: tuple[str, ...]
    medication: tuple[str, ...]
    allergies: tuple[str, ...]
    health_flags: tuple[str, ...]
    species: str
    sex: str
    hatched: str
    age: str
    """In words; for a dead bird the age it reached; "" when not known."""
    status: str
    location: str
    marks: tuple[Mark, ...]
    contacts: tuple[Contact, ...]
    kin: tuple[Kin, ...]
    notes: tuple[Note, ...]
    weights: tuple[Weight, ...]
    about: str
    """The keeper's standing note on the bird."""


def emergency_card(flock: Flock, bird_id: str, today: dt.date) -> Card:
    """Everything one must have in hand when a bird is down.

    Args:
        flock: The flock.
        bird_id: The bird.
        today: For its age.

    Raises:
        NotFoundError: there is no such bird.
    """
    bird = bird_of(flock, bird_id)
    death = _last(flock, bird, EventKind.DIED)
    until = death.on if death else today
    lives = bird.status is not Status.DEAD or death is not None
    return Card(
        bird=bird.id,
        name=bird.title,
        standing=tuple(_standing(flock, bird)),
        alerts=(*alerts_of(flock, bird.id), *bird.alerts),
        medication=bird.medication,
        allergies=bird.allergies,
        health_flags=bird.health_flags,
        species=bird.species,
        sex=str(bird.sex),
        hatched=str(bird.hatched) if bird.hatched else "",
        age=age_in_words(bird.hatched, until) if bird.hatched and lives else "",
        status=str(bird.status),
        location=bird.location,
        marks=tuple(_mark(flock, link) for link in flock.identity_chain(bird_id)),
        contacts=tuple(_contacts(flock, bird)),
        kin=tuple(_kin(flock, bird)),
        notes=tuple(_notes(flock, bird)),
        weights=tuple(_weights(flock, bird)),
        about=bird.notes,
    )


def _last(flock: Flock, bird: Bird, kind: EventKind) -> Event | None:
    return next((e for e in flock.events_of(bird.id) if e.kind is kind), None)


def _standing(flock: Flock, bird: Bird) -> Iterator[str]:
    if bird.status is Status.DEAD:
        death = _last(flock, bird, EventKind.DIED)
        when = f" It died {death.on}." if death else " When is not entered."
        why = f" {death.text}" if death and death.text else ""
        yield f"{bird.title} is dead.{when}{why}"
    elif bird.status is Status.LOST:
        loss = _last(flock, bird, EventKind.LOST)
        when = f" since {loss.on}" if loss else ""
        found = "If this is the bird, it is found."
        yield f"{bird.title} is entered as lost{when}. {found}"
    elif bird.status is Status.PLACED:
        away = [p for p in flock.placements_of(bird.id) if p.returned is None]
        person = flock.people.get((away[-1].person if away else bird.owner) or "")
        who = f" with {person.name}" if person else ""
        when = f" since {away[-1].on}" if away and away[-1].on else ""
        yield f"{bird.title} does not live here: it is placed{who}{when}."


def _mark(flock: Flock, link: ChainLink) -> Mark:
    mark = link.mark
    if isinstance(mark, Chip):
        return Mark("chip", mark.code, mark.site, is_on=True)
    size = f"{mark.size_mm:g} mm" if mark.size_mm else ""
    kind = "" if mark.kind is RingKind.UNKNOWN else str(mark.kind)
    leg = "" if mark.leg is Leg.UNKNOWN else f"{mark.leg} leg"
    trial = "on trial" if mark.trial else ""
    detail = ", ".join(filter(None, [kind, mark.colour, leg, size, trial]))
    said = "" if link.is_on else _said_of_old_ring(flock, mark, link)
    return Mark("ring", mark.inscription, detail, link.is_on, said)


def _said_of_old_ring(flock: Flock, ring: Ring, link: ChainLink) -> str:
    """What became of a ring, and what to know the bird by now."""
    if ring.state is not RingState.REMOVED:
        was = f"This ring is entered as {ring.state}"
    else:
        when = f" on {ring.removed}" if ring.removed else ""
        by = f" by {ring.removed_by}" if ring.removed_by else ""
        why = f" ({ring.removed_reason})" if ring.removed_reason else ""
        was = f"This ring was taken off{when}{by}{why}"
    now = link.replaced_by
    if now is None:
        now = next(
            (n.mark for n in flock.identity_chain(ring.bird or "") if n.is_on), None
        )
    if now is None:
        return f"{was}; nothing is entered in its place."
    if isinstance(now, Chip):
        return f"{was}; the bird now carries chip {now.code}."
    return f"{was}; the bird now wears ring “{now.inscription}”."


def _contacts(flock: Flock, bird: Bird) -> Iterator[Contact]:
    settings = flock.settings
    roles: list[tuple[Literal["vet", "owner", "keeper"], str | None]] = [
        ("vet", bird.vet or settings.vet),
        ("owner", bird.owner),
        ("keeper", settings.keeper),
    ]
    seen: set[str] = set()
    for role, person_id in roles:
        person = flock.people.get(person_id or "")
        if person and person.id not in seen:
            seen.add(person.id)
            yield Contact(role, person.name, person.phone, person.email, person.address)


def _kin(flock: Flock, bird: Bird) -> Iterator[Kin]:
    sire, dam = flock.parents_of(bird.id)
    if sire:
        yield _as_kin(sire, "sire", "")
    if dam:
        yield _as_kin(dam, "dam", "")
    for sibling in flock.siblings_of(bird.id):
        if sibling.is_full:
            yield _as_kin(sibling.bird, "full sibling", "")
        else:
            yield _as_kin(sibling.bird, "half sibling", sibling.through)


def _as_kin(
    bird: Bird,
    relation: Literal["sire", "dam", "full sibling", "half sibling"],
    through: str,
) -> Kin:
    return Kin(
        relation,
        through,
        bird.id,
        bird.title,
        "" if bird.sex is Sex.UNKNOWN else str(bird.sex),
        str(bird.status),
        bird.health_flags,
    )


def _notes(flock: Flock, bird: Bird) -> Iterator[Note]:
    written = [e for e in flock.events_of(bird.id) if e.text and e.kind in _NOTED]
    for event in written[:LAST]:
        yield Note(str(event.on), str(event.kind), event.text, event.by)


def _weights(flock: Flock, bird: Bird) -> Iterator[Weight]:
    weighed = [
        (event.on, event.weight_g)
        for event in flock.events_of(bird.id)
        if event.weight_g is not None
    ]
    for place, (on, grams) in enumerate(weighed[:LAST]):
        older = weighed[place + 1][1] if place + 1 < len(weighed) else None
        change = round((grams / older - 1) * 100, 1) if older else None
        yield Weight(str(on), grams, change)
