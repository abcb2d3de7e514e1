"""Someone asks about a ring."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from typing import TYPE_CHECKING, Any, ClassVar

from ledger.domain.kind import Kind

if TYPE_CHECKING:
    from collections.abc import Mapping

    from ledger.domain.partial_date import PartialDate


class Contact(StrEnum):
    """Whether the breeder wants to be in touch with who asks about our bird."""

    UNDECIDED = "undecided"
    YES = "yes"
    NO = "no"


@dataclass(frozen=True, slots=True)
class Enquiry:
    """A question about a ring, and what became of it."""

    KIND: ClassVar[Kind] = Kind.ENQUIRY

    id: str
    on: PartialDate | None = None
    """When it came."""
    asker: str = ""
    """Who asks, as they gave it."""
    reach: str = ""
    """How to reach them."""
    question: str = ""
    """In their words."""
    inscription: str = ""
    """As typed or read."""
    photos: tuple[str, ...] = ()
    """Photo ids."""
    species: str = ""
    """What the asker takes the bird for."""
    hatched: PartialDate | None = None
    """When it hatched, as the asker says."""
    size_mm: float | None = None
    """Inner diameter of the ring, as the asker measured it."""
    colour: str = ""
    """The ring's, as the asker says."""
    closure: str = ""
    """"closed", "split" or "quarantine", as the asker says; "" where nobody looked."""
    bird: str | None = None
    """Bird id, where it is one of ours."""
    contact: Contact = Contact.UNDECIDED
    answer: str = ""
    """The letter as it was sent, or its draft."""
    answered: PartialDate | None = None
    event: str | None = None
    """Id of the event in the life of our bird that the enquiry led to."""
    notes: str = ""
    extra: Mapping[str, Any] = field(default_factory=dict, hash=False)
