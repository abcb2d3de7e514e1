"""Rings on, rings off, and the chip that takes over."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from ledger.domain.change import Put
from ledger.domain.event import Event, EventKind
from ledger.domain.kind import Kind
from ledger.domain.mark_rules import called_ring, same_inscription
from ledger.domain.ring import RingState
from ledger.errors import RuleError
from ledger.services.ledger import bird_of, date_of, ring_of

if TYPE_CHECKING:
    from ledger.domain.bird import Bird
    from ledger.domain.change import Change
    from ledger.domain.flock import Flock
    from ledger.domain.partial_date import PartialDate
    from ledger.domain.ring import Chip, Ring
    from ledger.services.ledger import Ledger, When


def put_on_ring(
    ledger: Ledger, bird_id: str, ring: Ring, on: When, author: str
) -> Ring:
    """Enter that a bird now wears a ring.

    Args:
        ledger: An open ledger.
        bird_id: The bird.
        ring: From stock by its id, or a new one with an empty id. A new one whose
            inscription lies in stock is that ring.
        on: When it was put on.
        author: Who enters it.

    Returns:
        The ring as stored.

    Raises:
        NotFoundError: there is no such bird.
        RuleError: the ring is on a bird or spent, or a rule of the flock says no.
    """
    flock = ledger.flock
    bird = bird_of(flock, bird_id)
    ring = from_stock(flock, ring)
    worn = replace(
        ring,
        id=ring.id or flock.next_id(Kind.RING),
        bird=bird.id,
        put_on=date_of(on),
        state=RingState.ON_BIRD,
    )
    event = Event(
        flock.next_id(Kind.EVENT),
        bird.id,
        EventKind.RING_PUT_ON,
        date_of(on),
        text=worn.inscription,
        by=author,
        ring=worn.id,
    )
    ledger.commit(
        [Put(worn), Put(event)],
        author=author,
        what=f"{called_ring(worn)} put on {bird.title}",
    )
    return worn


def from_stock(flock: Flock, ring: Ring) -> Ring:
    """A ring that shall go on a bird; a new one that lies in stock is that one.

    Raises:
        NotFoundError: there is no ring of its id.
        RuleError: it is not in stock.
    """
    if not ring.id:
        for known in flock.rings_inscribed(ring.inscription):
            in_stock = known.state is RingState.IN_STOCK
            if in_stock and same_inscription(known, ring):
                return replace(known, leg=ring.leg)
        return ring
    known = ring_of(flock, ring.id)
    if known.state is not RingState.IN_STOCK:
        raise RuleError(
            f"{called_ring(known)} is not in stock: it is {known.state}.",
            "Take another ring, or correct what is entered for this one.",
        )
    return ring


def remove_ring_with_chip(
    ledger: Ledger,
    ring_id: str,
    on: When,
    author: str,
    *,
    reason: str,
    removed_by: str,
    chip: Chip | None = None,
) -> Ring:
    """Enter that a ring was taken off, and what the bird is known by from then on.

    Args:
        ledger: An open ledger.
        ring_id: The ring.
        on: When it came off.
        author: Who enters it.
        reason: Why it had to come off.
        removed_by: Who took it off: for a ring on a living bird an avian vet.
        chip: The chip that takes its place: a new one with an empty id, or one the
            bird has. None when there is none (yet).

    Returns:
        The ring as stored, joined to the chip.

    Raises:
        NotFoundError: there is no such ring.
        RuleError: no reason, no name, the ring is on no bird, or a rule says no.
    """
    flock = ledger.flock
    ring = ring_of(flock, ring_id)
    if ring.bird is None or ring.state is not RingState.ON_BIRD:
        raise RuleError(
            f"{called_ring(ring)} is on no bird: it is {ring.state}.",
            "Look up the ring that the bird wears.",
        )
    if not reason.strip() or not removed_by.strip():
        raise RuleError(
            f"{called_ring(ring)} can only leave the bird with a reason and a name.",
            "Say why it came off and who took it off.",
        )
    bird = bird_of(flock, ring.bird)
    removal = Event(
        flock.next_id(Kind.EVENT),
        bird.id,
        EventKind.RING_REMOVED,
        date_of(on),
        text=f"{ring.inscription}: {reason.strip()}",
        by=removed_by.strip(),
        ring=ring.id,
    )
    successor: list[Change] = []
    chip_id = None
    if chip is not None:
        chip_id = chip.id or flock.next_id(Kind.CHIP)
        successor = _chip_put_in(flock, bird, chip, date_of(on), removed_by.strip())
    off = replace(
        ring,
        state=RingState.REMOVED,
        removed=date_of(on),
        removed_reason=reason.strip(),
        removed_by=removed_by.strip(),
        replaced_by=chip_id,
    )
    ledger.commit(
        [*successor, Put(off), Put(replace(removal, chip=chip_id))],
        author=author,
        what=f"{called_ring(ring)} taken off {bird.title}",
    )
    return off


def _chip_put_in(
    flock: Flock, bird: Bird, chip: Chip, on: PartialDate, by: str
) -> list[Change]:
    """The chip in this bird; for a new one also the event, the second of its act.

    Raises:
        RuleError: it is in another bird.
    """
    if chip.bird not in (None, bird.id):
        raise RuleError(
            f"Chip {chip.code} is in another bird, not in {bird.title}.",
            "Read the chip again.",
        )
    implanted = chip.implanted or on
    its_chip = replace(
        chip, id=chip.id or flock.next_id(Kind.CHIP), bird=bird.id, implanted=implanted
    )
    if chip.id:
        return [Put(its_chip)]
    event_id = flock.next_id(Kind.EVENT, after=1)
    chipped = Event(
        event_id,
        bird.id,
        EventKind.CHIPPED,
        implanted,
        text=chip.code,
        by=by,
        chip=its_chip.id,
    )
    return [Put(its_chip), Put(chipped)]
