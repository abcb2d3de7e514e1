"""Birds that go to a new home, and birds that come back."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from ledger.domain.bird import Status
from ledger.domain.change import Put
from ledger.domain.event import Event, EventKind
from ledger.domain.kind import Kind
from ledger.domain.people import Person, Placement
from ledger.errors import RuleError
from ledger.services.ledger import bird_of, date_of, refuse_if_read_only
from ledger.services.photos import keep_photos

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from ledger.domain.change import Change
    from ledger.domain.flock import Flock
    from ledger.services.ledger import Ledger, When


def place_bird(
    ledger: Ledger,
    bird_id: str,
    person: Person | str,
    on: When,
    author: str,
    *,
    text: str = "",
    feeding: str | None = None,
    rearing: str | None = None,
) -> Placement:
    """Enter that a bird went to a new home.

    Args:
        ledger: An open ledger.
        bird_id: The bird.
        person: Who took it: an id, or a new person with an empty id.
        on: When.
        author: Who enters it.
        text: More about it.
        feeding: What it is fed, told to who takes it; None: as entered before.
        rearing: How it was reared, likewise.

    Raises:
        NotFoundError: there is no such bird.
        RuleError: the bird does not live here, or a rule of the flock says no.
    """
    flock = ledger.flock
    bird = bird_of(flock, bird_id)
    if bird.status is not Status.ALIVE:
        raise RuleError(
            f"{bird.title} cannot be placed: it is {bird.status}.",
            "Look at its page; correct its status if that is wrong.",
        )
    changes: list[Change] = []
    if isinstance(person, Person):
        who = replace(person, id=person.id or flock.next_id(Kind.PERSON))
        changes.append(Put(who))
        person_id, name = who.id, who.name
    else:
        known = flock.people.get(person)
        person_id, name = person, known.name if known else person
    placement = Placement(
        flock.next_id(Kind.PLACEMENT), bird.id, person_id, date_of(on), notes=text
    )
    event = Event(
        flock.next_id(Kind.EVENT),
        bird.id,
        EventKind.PLACED,
        date_of(on),
        text=f"To {name}. {text}" if text else f"To {name}",
        by=author,
    )
    gone = replace(
        bird,
        status=Status.PLACED,
        owner=person_id,
        location="",
        feeding=bird.feeding if feeding is None else feeding.strip(),
        rearing=bird.rearing if rearing is None else rearing.strip(),
    )
    ledger.commit(
        [*changes, Put(placement), Put(gone), Put(event)],
        author=author,
        what=f"{bird.title} placed with {name}",
    )
    return placement


def owner_reports(
    ledger: Ledger,
    bird_id: str,
    on: When,
    author: str,
    *,
    text: str,
    weight_g: float | None = None,
    photos: Sequence[Path] = (),
) -> Event:
    """Enter what a later owner tells of a bird that lives with them.

    Args:
        ledger: An open ledger.
        bird_id: The bird.
        on: When they told it.
        author: Who enters it; the owner is named in the event.
        text: What they told.
        weight_g: Its weight, where they weighed it.
        photos: Pictures they sent; copies are kept.

    Raises:
        NotFoundError: there is no such bird or photo.
        RuleError: it is not placed, nothing is told, or a rule of the flock says no.
    """
    flock = ledger.flock
    bird = bird_of(flock, bird_id)
    if bird.status is not Status.PLACED:
        raise RuleError(
            f"{bird.title} does not live with someone else: it is {bird.status}.",
            "Write a note instead.",
        )
    if not text.strip() and weight_g is None:
        raise RuleError("An empty report says nothing.", "Write what they told you.")
    refuse_if_read_only(ledger)
    owner = flock.people.get(bird.owner or "")
    kept = keep_photos(ledger, photos, bird_id=bird.id, ring_id=None, taken=None)
    event = Event(
        flock.next_id(Kind.EVENT),
        bird.id,
        EventKind.REPORTED,
        date_of(on),
        text=text.strip(),
        weight_g=weight_g,
        by=owner.name if owner else "",
        photos=tuple(photo.id for photo in kept),
    )
    new = [Put(photo) for photo in kept if photo.id not in flock.photos]
    ledger.commit(
        [*new, Put(event)],
        author=author,
        what=f"{bird.title}: {owner.name if owner else 'its owner'} reports",
    )
    return event


def bring_back(
    ledger: Ledger,
    bird_id: str,
    on: When,
    author: str,
    *,
    location: str = "",
    text: str = "",
) -> Event:
    """Enter that a placed bird came back.

    Raises:
        NotFoundError: there is no such bird.
        RuleError: it is not placed, or a rule of the flock says no.
    """
    changes, event = changes_of_return(
        ledger.flock, bird_id, on, author, location=location, text=text
    )
    title = bird_of(ledger.flock, bird_id).title
    ledger.commit(changes, author=author, what=f"{title} came back")
    return event


def changes_of_return(
    flock: Flock, bird_id: str, on: When, author: str, *, location: str, text: str
) -> tuple[list[Change], Event]:
    """What changes when a placed bird comes back, and the event in its life.

    Raises:
        NotFoundError: there is no such bird.
        RuleError: it is not placed.
    """
    bird = bird_of(flock, bird_id)
    if bird.status is not Status.PLACED:
        raise RuleError(
            f"{bird.title} cannot come back: it is {bird.status}, not placed.",
            "Look at its page; correct its status if that is wrong.",
        )
    away = [p for p in flock.placements_of(bird.id) if p.returned is None]
    event = Event(
        flock.next_id(Kind.EVENT),
        bird.id,
        EventKind.RETURNED,
        date_of(on),
        text=text,
        by=author,
        at=location,
    )
    here = replace(bird, status=Status.ALIVE, owner=None, location=location)
    ended = [Put(replace(placement, returned=date_of(on))) for placement in away]
    return [*ended, Put(here), Put(event)], event
