"""What a keeper can enter: one verb, one transaction."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from ledger.domain.bird import Status
from ledger.domain.change import Put
from ledger.domain.event import Event, EventKind
from ledger.domain.kind import Kind
from ledger.domain.mark_rules import called_ring
from ledger.domain.ring import RingState
from ledger.errors import RuleError
from ledger.services.ledger import (
    Ledger,
    bird_of,
    date_of,
    open_ledger,
    place,
    refuse_if_read_only,
    ring_of,
)
from ledger.services.marks import put_on_ring, remove_ring_with_chip
from ledger.services.photos import add_photo, keep_photos, photo_file
from ledger.services.placing import bring_back, place_bird

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from ledger.domain.bird import Bird
    from ledger.domain.change import Change
    from ledger.domain.ring import Chip, Ring
    from ledger.services.ledger import When

__all__ = [
    "Ledger",
    "add_note",
    "add_photo",
    "bring_back",
    "change_bird",
    "confirm_sighting",
    "open_ledger",
    "photo_file",
    "place",
    "place_bird",
    "put_on_ring",
    "record_event",
    "register_bird",
    "remove_ring_with_chip",
]

_NEW_STATUS = {
    EventKind.DIED: Status.DEAD,
    EventKind.LOST: Status.LOST,
    EventKind.FOUND: Status.ALIVE,
}
"""Events that change where a bird stands with us."""


def register_bird(
    ledger: Ledger,
    bird: Bird,
    author: str,
    *,
    rings: Sequence[Ring] = (),
    chips: Sequence[Chip] = (),
) -> Bird:
    """Enter a new bird with what it wears and carries.

    Args:
        ledger: An open ledger.
        bird: With an empty id; it is given one.
        author: Who enters it.
        rings: New ones it wears, with empty ids.
        chips: New ones it carries, with empty ids.

    Returns:
        The bird as stored.

    Raises:
        RuleError: it would break a rule of the flock.
    """
    flock = ledger.flock
    new = replace(bird, id=flock.next_id(Kind.BIRD))
    changes: list[Change] = [Put(new)]
    for number, ring in enumerate(rings):
        ring_id = flock.next_id(Kind.RING, after=number)
        worn = replace(ring, id=ring_id, bird=new.id, state=RingState.ON_BIRD)
        changes.append(Put(worn))
    for number, chip in enumerate(chips):
        chip_id = flock.next_id(Kind.CHIP, after=number)
        changes.append(Put(replace(chip, id=chip_id, bird=new.id)))
    ledger.commit(changes, author=author, what=f"{new.title} registered")
    return new


def change_bird(ledger: Ledger, bird: Bird, author: str, what: str = "") -> Bird:
    """Store a bird with other fields than before.

    Args:
        ledger: An open ledger.
        bird: As it shall be, under its own id.
        author: Who changes it.
        what: What was changed, in words.

    Raises:
        NotFoundError: there is no such bird.
        RuleError: it would break a rule of the flock.
    """
    bird_of(ledger.flock, bird.id)
    ledger.commit([Put(bird)], author=author, what=what or f"{bird.title} changed")
    return bird


def add_note(
    ledger: Ledger,
    bird_id: str,
    text: str,
    on: When,
    author: str,
    *,
    weight_g: float | None = None,
    photos: Sequence[Path] = (),
) -> Event:
    """Write something down about a bird, with its weight if it was weighed.

    Returns:
        A note; "weighed" where there is a weight and no text.

    Raises:
        NotFoundError: there is no such bird or photo.
        RuleError: there is nothing to write, or a rule of the flock says no.
    """
    if not text.strip() and weight_g is None:
        raise RuleError("An empty note says nothing.", "Write a line, or a weight.")
    kind = EventKind.NOTE if text.strip() else EventKind.WEIGHED
    return record_event(
        ledger,
        bird_id,
        kind,
        on,
        author,
        text=text.strip(),
        weight_g=weight_g,
        photos=photos,
    )


def record_event(
    ledger: Ledger,
    bird_id: str,
    kind: EventKind,
    on: When,
    author: str,
    *,
    text: str = "",
    weight_g: float | None = None,
    at: str = "",
    ring_id: str | None = None,
    photos: Sequence[Path] = (),
) -> Event:
    """Enter what happened to a bird; its status and place follow.

    A death makes it dead, a loss lost, a find alive; a move changes its location.
    Rings, chips and placements have verbs of their own.

    Args:
        ledger: An open ledger.
        bird_id: The bird.
        kind: What happened.
        on: When.
        author: Who saw or did it.
        text: More about it.
        weight_g: Its weight then.
        at: Where; for a move: where to.
        ring_id: The ring it is about.
        photos: Pictures of it; copies are kept.

    Raises:
        NotFoundError: there is no such bird or photo.
        RuleError: it would break a rule of the flock.
    """
    flock = ledger.flock
    bird = bird_of(flock, bird_id)
    refuse_if_read_only(ledger)
    kept = keep_photos(ledger, photos, bird_id=bird_id, ring_id=ring_id, taken=None)
    event = Event(
        flock.next_id(Kind.EVENT),
        bird.id,
        kind,
        date_of(on),
        text=text,
        weight_g=weight_g,
        by=author,
        at=at,
        ring=ring_id,
        photos=tuple(photo.id for photo in kept),
    )
    changes: list[Change] = [
        Put(photo) for photo in kept if photo.id not in flock.photos
    ]
    after = replace(
        bird,
        status=_NEW_STATUS.get(kind, bird.status),
        location=at if at and kind is EventKind.MOVED else bird.location,
    )
    if after != bird:
        changes.append(Put(after))
    changes.append(Put(event))
    ledger.commit(changes, author=author, what=f"{bird.title}: {kind}")
    return event


def confirm_sighting(
    ledger: Ledger,
    bird_id: str,
    ring_id: str | None,
    reading_text: str,
    on: When,
    author: str,
    photos: Sequence[Path] = (),
    *,
    at: str = "",
) -> Event:
    """Enter that the keeper saw this ring on this bird.

    Args:
        ledger: An open ledger.
        bird_id: The bird the keeper confirmed.
        ring_id: Its ring that was read; None where it was known by something else.
        reading_text: What was read, as the keeper left it.
        on: When.
        author: Who confirms it.
        photos: The pictures it was read from; copies are kept.
        at: Where.

    Raises:
        NotFoundError: there is no such bird, ring or photo.
        RuleError: the ring is not this bird's, or a rule of the flock says no.
    """
    bird = bird_of(ledger.flock, bird_id)
    if ring_id is not None:
        ring = ring_of(ledger.flock, ring_id)
        if ring.bird != bird.id:
            raise RuleError(
                f"{called_ring(ring)} is not entered for {bird.title}.",
                "Choose the bird that wears it, or correct what is entered.",
            )
    return record_event(
        ledger,
        bird_id,
        EventKind.SIGHTED,
        on,
        author,
        text=f"Read “{reading_text}”" if reading_text else "",
        at=at,
        ring_id=ring_id,
        photos=photos,
    )
