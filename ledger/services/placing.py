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
from ledger.services.ledger import bird_of, date_of

if TYPE_CHECKING:
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
) -> Placement:
    """Enter that a bird went to a new home.

    Args:
        ledger: An open ledger.
        bird_id: The bird.
        person: Who took it: an id, or a new person with an empty id.
        on: When.
        author: Who enters it.
        text: More about it.

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
        text=text or f"To {name}",
        by=author,
    )
    gone = replace(bird, status=Status.PLACED, owner=person_id, location="")
    ledger.commit(
        [*changes, Put(placement), Put(gone), Put(event)],
        author=author,
        what=f"{bird.title} placed with {name}",
    )
    return placement


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
