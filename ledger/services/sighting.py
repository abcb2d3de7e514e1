"""A ring that was read and the bird it seems to be: shown, not stored yet."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from ledger.services import book

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Sequence
    from pathlib import Path

    from ledger.domain.event import Event
    from ledger.domain.flock import Flock
    from ledger.services.ledger import Ledger


@dataclass(frozen=True)
class Sighting:
    """Waits for the keeper to say yes; nothing else stores it."""

    bird_id: str
    ring_id: str | None
    text: str
    """What was read, as the keeper left it."""
    photos: tuple[Path, ...] = ()


def of_candidate(
    flock: Flock, bird_id: str, inscription: str, text: str, photos: Sequence[Path]
) -> Sighting:
    """A reading and one of the birds it fits.

    Args:
        flock: The flock.
        bird_id: The bird.
        inscription: Of its ring that fits, worn or taken off.
        text: What was read.
        photos: What it was read from.
    """
    rings = [
        ring for ring in flock.rings_of(bird_id) if ring.inscription == inscription
    ]
    return Sighting(bird_id, rings[-1].id if rings else None, text, tuple(photos))


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
