"""A ring that was read and the bird it seems to be: shown, not stored yet."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from ledger.services import book

if TYPE_CHECKING:
    import datetime as dt
    from pathlib import Path

    from ledger.domain.event import Event
    from ledger.services.ledger import Ledger


@dataclass(frozen=True)
class Sighting:
    """Waits for the keeper to say yes; nothing else stores it."""

    bird_id: str
    ring_id: str | None
    text: str
    """What was read, as the keeper left it."""
    photos: tuple[Path, ...] = ()
    caution: str = ""
    """What speaks against confirming it at once, as a sentence."""


def confirm(ledger: Ledger, sighting: Sighting, today: dt.date, author: str) -> Event:
    """Store a sighting that the keeper has confirmed.

    Raises:
        NotFoundError: bird, ring or a photo is not there any more.
        RuleError: a rule of the flock says no.
        StoreError: it could not be stored.
    """
    return book.confirm_sighting(
        ledger,
        sighting.bird_id,
        sighting.ring_id,
        sighting.text,
        today,
        author,
        sighting.photos,
    )
