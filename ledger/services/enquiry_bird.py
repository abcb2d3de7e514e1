"""An enquiry about a bird of ours: who decides, and what its life gets of it."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from ledger.domain.bird import Status
from ledger.domain.change import Drop, Put
from ledger.domain.enquiry import Contact
from ledger.domain.event import Event, EventKind
from ledger.domain.kind import Kind
from ledger.errors import RuleError
from ledger.services.enquiries import enquiry_of, put
from ledger.services.enquiry_letter import refuse_what_tells, told_of_us
from ledger.services.ledger import bird_of, date_of
from ledger.services.placing import changes_of_return

if TYPE_CHECKING:
    from ledger.domain.change import Change
    from ledger.domain.enquiry import Enquiry
    from ledger.domain.flock import Flock
    from ledger.services.identify import Identification
    from ledger.services.ledger import Ledger, When


def birds_it_may_be(flock: Flock, enquiry: Enquiry) -> Identification:
    """Birds of ours that may wear the ring: for the keeper's eyes alone."""
    from ledger.services import identify

    return identify.by_text(flock, enquiry.inscription)


def link_bird(
    ledger: Ledger, enquiry_id: str, bird_id: str, on: When, author: str
) -> Enquiry:
    """Enter that an enquiry is about a bird of ours; whom to tell is not decided by it.

    The bird's life gets a note of it. Its status stays: that it came back is an act of
    its own (`came_back`).

    Raises:
        NotFoundError: there is no such enquiry or bird.
        RuleError: a rule of the flock says no.
    """
    flock = ledger.flock
    enquiry = enquiry_of(flock, enquiry_id)
    bird = bird_of(flock, bird_id)
    if enquiry.bird == bird.id:
        return enquiry
    event = Event(
        flock.next_id(Kind.EVENT),
        bird.id,
        EventKind.NOTE,
        date_of(on),
        text=_noted(enquiry),
        by=author,
        photos=enquiry.photos,
    )
    linked = replace(enquiry, bird=bird.id, contact=Contact.UNDECIDED, event=event.id)
    ledger.commit(
        [*_without_event(flock, enquiry), Put(event), Put(linked)],
        author=author,
        what=f"enquiry {enquiry.id} is about {bird.title}",
    )
    return linked


def _noted(enquiry: Enquiry) -> str:
    """The note in the bird's life."""
    who = enquiry.asker or "Someone"
    reach = f" ({enquiry.reach})" if enquiry.reach else ""
    return f"Enquiry {enquiry.id}: {who}{reach} asks about “{enquiry.inscription}”"


def unlink_bird(ledger: Ledger, enquiry_id: str, author: str) -> Enquiry:
    """Enter that an enquiry is about none of our birds after all.

    Raises:
        NotFoundError: there is no such enquiry.
        RuleError: the bird came back by it.
    """
    flock = ledger.flock
    enquiry = enquiry_of(flock, enquiry_id)
    free = replace(enquiry, bird=None, contact=Contact.UNDECIDED, event=None)
    if enquiry.answered is None:  # what was sent is past
        refuse_what_tells(flock, free, free.answer)
    ledger.commit(
        [*_without_event(flock, enquiry), Put(free)],
        author=author,
        what=f"enquiry {enquiry.id} is about none of ours",
    )
    return free


def _without_event(flock: Flock, enquiry: Enquiry) -> list[Change]:
    """Take the note of an enquiry out of a bird's life.

    Raises:
        RuleError: it is more than a note.
    """
    event = flock.events.get(enquiry.event or "")
    if event is None:
        return []
    if event.kind is not EventKind.NOTE:
        raise RuleError(
            f"By enquiry {enquiry.id} the bird was entered as {event.kind}.",
            "Take that back first: `flock-ledger undo`.",
        )
    return [Drop(Kind.EVENT, event.id)]


def decide_contact(
    ledger: Ledger, enquiry_id: str, contact: Contact, author: str
) -> Enquiry:
    """Enter whether the breeder wants to be in touch with who asks.

    Without a yes the draft of an answer that tells of us is dropped.

    Raises:
        NotFoundError: there is no such enquiry.
        RuleError: the enquiry is about none of our birds.
    """
    flock = ledger.flock
    enquiry = enquiry_of(flock, enquiry_id)
    if enquiry.bird is None:
        raise RuleError(
            f"Enquiry {enquiry.id} is about none of our birds: there is nothing to "
            "decide.",
            "Say first which of our birds it is.",
        )
    decided = replace(enquiry, contact=contact)
    is_draft = enquiry.answered is None
    if (
        contact is not Contact.YES
        and is_draft
        and told_of_us(flock, decided, enquiry.answer)
    ):
        decided = replace(decided, answer="")
    put(ledger, decided, author, f"contact: {contact}")
    return decided


def came_back(
    ledger: Ledger,
    enquiry_id: str,
    on: When,
    author: str,
    *,
    location: str = "",
) -> Event:
    """Enter that the bird an enquiry is about is with us again.

    A placed bird's placement ends; one that was lost is found.

    Raises:
        NotFoundError: there is no such enquiry.
        RuleError: it is about none of ours, or the bird is neither placed nor lost.
    """
    flock = ledger.flock
    enquiry = enquiry_of(flock, enquiry_id)
    if enquiry.bird is None:
        raise RuleError(
            f"Enquiry {enquiry.id} is about none of our birds.",
            "Say first which of our birds it is.",
        )
    bird = bird_of(flock, enquiry.bird)
    text = f"By enquiry {enquiry.id}"
    if bird.status is Status.LOST:
        event = Event(
            flock.next_id(Kind.EVENT), bird.id, EventKind.FOUND, date_of(on),
            text=text, by=author, at=location,
        )  # fmt: skip
        here = replace(bird, status=Status.ALIVE, location=location)
        changes: list[Change] = [Put(here), Put(event)]
    else:
        changes, event = changes_of_return(
            flock, bird.id, on, author, location=location, text=text
        )
    linked = replace(enquiry, event=event.id)
    ledger.commit(
        [*changes, Put(linked)],
        author=author,
        what=f"{bird.title} came back (enquiry {enquiry.id})",
    )
    return event
