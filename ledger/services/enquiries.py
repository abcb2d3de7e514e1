"""Someone asks about a ring: what is kept of it, and who decides what is told.

Nothing of the flock is told before the breeder decides for contact; who asks is
answered about the ring alone (`enquiry_letter`).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from ledger.domain.change import Put
from ledger.domain.enquiry import Contact, Enquiry
from ledger.domain.kind import Kind, id_number
from ledger.errors import NotFoundError, RuleError
from ledger.services.ledger import date_of, refuse_if_read_only
from ledger.services.photos import keep_photos

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Sequence
    from pathlib import Path

    from ledger.domain.change import Change
    from ledger.domain.flock import Flock
    from ledger.services.explanation import Explanation
    from ledger.services.ledger import Ledger, When

__all__ = ["Contact", "Enquiry"]


@dataclass(frozen=True)
class EnquiryLine:
    """One enquiry in a list."""

    id: str
    on: str
    asker: str
    inscription: str
    bird: str
    """What our bird is called; "" where it is none of ours, as far as is known."""
    stands: str
    """How far it has come, in a few words."""
    is_open: bool


def enquiry_of(flock: Flock, enquiry_id: str) -> Enquiry:
    """The enquiry with this id.

    Raises:
        NotFoundError: there is none.
    """
    wanted = enquiry_id.strip().lower()
    found = flock.enquiries.get(wanted)
    if found is None:
        raise NotFoundError(
            f"There is no enquiry {enquiry_id} in this ledger.",
            "`flock-ledger enquiries` lists them.",
        )
    return found


def listed(flock: Flock) -> list[EnquiryLine]:
    """All enquiries: those that wait for an answer first, then the newest."""
    lines = [_line(flock, enquiry) for enquiry in flock.enquiries.values()]
    return sorted(lines, key=lambda line: (not line.is_open, -id_number(line.id)))


def _line(flock: Flock, enquiry: Enquiry) -> EnquiryLine:
    bird = flock.birds.get(enquiry.bird or "")
    return EnquiryLine(
        enquiry.id,
        str(enquiry.on or ""),
        enquiry.asker,
        enquiry.inscription,
        bird.title if bird else "",
        stands(enquiry),
        enquiry.answered is None,
    )


def stands(enquiry: Enquiry) -> str:
    """How far an enquiry has come."""
    if enquiry.answered is not None:
        return f"answered {enquiry.answered}"
    if enquiry.bird and enquiry.contact is Contact.UNDECIDED:
        return "ours: decide on contact"
    return "draft" if enquiry.answer else "open"


def open_enquiry(
    ledger: Ledger,
    enquiry: Enquiry,
    author: str,
    *,
    photos: Sequence[Path] = (),
) -> Enquiry:
    """Enter that someone asks about a ring.

    Args:
        ledger: An open ledger.
        enquiry: With an empty id; it is given one.
        author: Who enters it.
        photos: What the asker sent; copies are kept.

    Returns:
        The enquiry as stored. Its bird is never filled in by itself.

    Raises:
        NotFoundError: there is no such photo.
        RuleError: it says nothing.
    """
    said = (enquiry.asker, enquiry.question, enquiry.inscription)
    if not photos and not any(words.strip() for words in said):
        raise RuleError(
            "An enquiry needs someone who asks, a ring, or a question.",
            "Write down who asks, or what stands on the ring.",
        )
    refuse_if_read_only(ledger)
    flock = ledger.flock
    kept = keep_photos(ledger, photos, bird_id=None, ring_id=None, taken=None)
    new = replace(
        enquiry,
        id=flock.next_id(Kind.ENQUIRY),
        photos=(*enquiry.photos, *(photo.id for photo in kept)),
        inscription=" ".join(enquiry.inscription.split()),
    )
    changes: list[Change] = [Put(one) for one in kept if one.id not in flock.photos]
    ledger.commit([*changes, Put(new)], author=author, what=f"enquiry {new.id} entered")
    return new


def change_enquiry(
    ledger: Ledger, enquiry: Enquiry, author: str, *, photos: Sequence[Path] = ()
) -> Enquiry:
    """Store what was corrected in an enquiry, and photos that came later.

    Raises:
        NotFoundError: there is no such enquiry or photo.
        RuleError: a rule of the flock says no.
    """
    enquiry_of(ledger.flock, enquiry.id)
    refuse_if_read_only(ledger)
    flock = ledger.flock
    kept = keep_photos(ledger, photos, bird_id=None, ring_id=None, taken=None)
    all_photos = dict.fromkeys([*enquiry.photos, *(photo.id for photo in kept)])
    changed = replace(enquiry, photos=tuple(all_photos))
    changes: list[Change] = [Put(one) for one in kept if one.id not in flock.photos]
    ledger.commit(
        [*changes, Put(changed)], author=author, what=f"enquiry {enquiry.id}: corrected"
    )
    return changed


def explained(
    enquiry: Enquiry, today: dt.date, *, with_own_schemes: bool = True
) -> Explanation:
    """What the ring tells, held against what the asker says.

    Args:
        enquiry: The enquiry.
        today: The day it is.
        with_own_schemes: Count the keeper's own table of schemes as well. It may name
            the keeper, so nothing that leaves the house may.
    """
    from ledger.rings.own_schemes import OwnSchemes
    from ledger.services.explain import explain

    return explain(
        enquiry.inscription,
        today=today,
        species=enquiry.species,
        colour=enquiry.colour,
        hatched=enquiry.hatched,
        size_mm=enquiry.size_mm,
        closure=enquiry.closure,
        own=None if with_own_schemes else OwnSchemes(),
    )


def save_answer(ledger: Ledger, enquiry_id: str, text: str, author: str) -> Enquiry:
    """Keep the draft of an answer.

    Raises:
        NotFoundError: there is no such enquiry.
        RuleError: it tells of us, and the breeder has not decided for contact.
    """
    from ledger.services.enquiry_letter import refuse_what_tells

    enquiry = enquiry_of(ledger.flock, enquiry_id)
    refuse_what_tells(ledger.flock, enquiry, text)
    if text == enquiry.answer:
        return enquiry
    kept = replace(enquiry, answer=text)
    put(ledger, kept, author, "answer drafted")
    return kept


def mark_answered(
    ledger: Ledger, enquiry_id: str, text: str, on: When, author: str
) -> Enquiry:
    """Enter that the answer was sent, with its words.

    Raises:
        NotFoundError: there is no such enquiry.
        RuleError: it tells of us, and the breeder has not decided for contact.
    """
    from ledger.services.enquiry_letter import refuse_what_tells

    enquiry = enquiry_of(ledger.flock, enquiry_id)
    refuse_what_tells(ledger.flock, enquiry, text)
    sent = replace(enquiry, answer=text, answered=date_of(on))
    put(ledger, sent, author, "answered")
    return sent


def put(ledger: Ledger, enquiry: Enquiry, author: str, what: str) -> None:
    """Store one enquiry as one act."""
    ledger.commit([Put(enquiry)], author=author, what=f"enquiry {enquiry.id}: {what}")
