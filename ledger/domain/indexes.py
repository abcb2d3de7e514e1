"""Which indexes a flock has, and the order of things in each."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from ledger.domain.event import EventKind
from ledger.domain.index import Index
from ledger.domain.kind import Kind, id_number
from ledger.domain.ring import Chip, Ring, RingState, compact, lookalike

if TYPE_CHECKING:
    from ledger.domain.bird import Bird
    from ledger.domain.breeding import Pair
    from ledger.domain.change import Thing
    from ledger.domain.enquiry import Enquiry
    from ledger.domain.event import Event
    from ledger.domain.partial_date import PartialDate
    from ledger.domain.people import Photo, Placement
    from ledger.domain.removal import Removal
    from ledger.domain.task import Task


def _number(thing: Thing) -> tuple[int, str]:
    return id_number(thing.id), thing.id


def oldest_first(date: PartialDate | None, thing: Thing) -> tuple[int, int]:
    """Sort key: by date, what has none first; then as given."""
    when = date.earliest.toordinal() if date else 0
    return when, id_number(thing.id)


def _newest_first(event: Event) -> tuple[int, int]:
    return -event.on.latest.toordinal(), -id_number(event.id)


def _of_bird(
    thing: Ring | Chip | Event | Placement | Photo | Task | Removal | Enquiry,
) -> tuple[str, ...]:
    return (thing.bird,) if thing.bird else ()


def parents_of(bird: Bird) -> tuple[str, ...]:
    """Bird ids of its known parents, each once."""
    if bird.sire and bird.dam and bird.sire != bird.dam:
        return bird.sire, bird.dam
    parent = bird.sire or bird.dam
    return (parent,) if parent else ()


def _partners(pair: Pair) -> tuple[str, ...]:
    return tuple(bird for bird in dict.fromkeys((pair.cock, pair.hen)) if bird)


EMPTY_INDEXES: dict[str, tuple[Kind, Index[str, Any]]] = {
    "rings": (Kind.RING, Index(_of_bird, lambda r: oldest_first(r.put_on, r))),
    "chips": (Kind.CHIP, Index(_of_bird, lambda c: oldest_first(c.implanted, c))),
    "events": (Kind.EVENT, Index(_of_bird, _newest_first, field="bird")),
    "sightings": (
        Kind.EVENT,
        Index(
            lambda e: (e.bird,) if e.kind == EventKind.SIGHTED else (),
            _newest_first,
            field="bird",
            where=("kind", EventKind.SIGHTED),
        ),
    ),
    "placements": (Kind.PLACEMENT, Index(_of_bird, lambda p: oldest_first(p.on, p))),
    "photos": (Kind.PHOTO, Index(_of_bird, _number)),
    "young": (Kind.BIRD, Index(parents_of, lambda b: oldest_first(b.hatched, b))),
    "pairs": (Kind.PAIR, Index(_partners, lambda p: oldest_first(p.formed, p))),
    "clutches": (
        Kind.CLUTCH,
        Index(lambda c: (c.pair,) if c.pair else (), lambda c: oldest_first(c.laid, c)),
    ),
    "series_rings": (
        Kind.RING,
        Index(lambda r: (r.series,) if r.series else (), _number),
    ),
    "stock": (
        Kind.RING,
        Index(
            lambda r: (r.state,) if r.state is RingState.IN_STOCK else (),
            _number,
            field="state",
            where=("state", RingState.IN_STOCK),
        ),
    ),
    "tasks": (Kind.TASK, Index(_of_bird, lambda t: oldest_first(t.due, t))),
    "removals": (Kind.REMOVAL, Index(_of_bird, lambda x: oldest_first(x.on, x))),
    "enquiries": (Kind.ENQUIRY, Index(_of_bird, lambda q: oldest_first(q.on, q))),
    "walk_sightings": (
        Kind.SIGHTING,
        Index(lambda g: (g.walk,) if g.walk else (), _number),
    ),
    "names": (
        Kind.BIRD,
        Index(lambda b: (compact(b.name),) if b.name else (), _number),
    ),
    "inscriptions": (Kind.RING, Index(lambda r: (compact(r.inscription),), _number)),
    "lookalikes": (Kind.RING, Index(lambda r: (lookalike(r.inscription),), _number)),
    "codes": (Kind.CHIP, Index(lambda c: (compact(c.code),), _number)),
}
