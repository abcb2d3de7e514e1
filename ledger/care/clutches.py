"""Which clutches are in the nest, where, of what species, and which chicks."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ledger.domain.bird import Status
from ledger.domain.breeding import EggFate
from ledger.domain.event import EventKind
from ledger.domain.ring import RingState

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Iterator

    from ledger.domain.bird import Bird
    from ledger.domain.breeding import Clutch, Egg, Pair
    from ledger.domain.flock import Flock

NEST_DAYS = 150
"""Nothing that hatched longer ago is still in a nest; the longest published time to
fledging of a parrot is 120 days (breeding table)."""
FORGOTTEN_DAYS = 200
"""An egg laid longer ago whose fate nobody entered is no egg in a nest any more."""
LIVE_FATES = frozenset({EggFate.IN_NEST, EggFate.FERTILE})
"""An egg that may still hatch."""


def current_clutches(flock: Flock, today: dt.date) -> Iterator[Clutch]:
    """Clutches with an egg that may still hatch or a chick still in the nest."""
    for clutch in flock.clutches.values():
        if is_current(flock, clutch, today):
            yield clutch


def is_current(flock: Flock, clutch: Clutch, today: dt.date) -> bool:
    """Whether anything of it is still in the nest."""
    return any(
        (egg.fate in LIVE_FATES and not is_forgotten(clutch, egg, today))
        or (egg.chick is not None and is_in_nest(flock, egg.chick, today))
        for egg in clutch.eggs
    )


def is_in_nest(flock: Flock, bird_id: str, today: dt.date) -> bool:
    """Whether a bird is alive, hatched lately, and has not fledged or been weaned."""
    bird = flock.birds.get(bird_id)
    if bird is None or bird.status is not Status.ALIVE or bird.hatched is None:
        return False
    if (today - bird.hatched.latest).days > NEST_DAYS:
        return False
    left = (EventKind.FLEDGED, EventKind.WEANED)
    return all(event.kind not in left for event in flock.events_of(bird_id))


def young_birds(flock: Flock, today: dt.date) -> Iterator[Bird]:
    """Birds that live here and hatched so lately that they may be in a nest."""
    for bird in flock.birds.values():
        if bird.status is not Status.ALIVE or bird.hatched is None:
            continue
        oldest = (today - bird.hatched.earliest).days
        youngest = (today - bird.hatched.latest).days
        if oldest >= 0 and youngest <= NEST_DAYS:
            yield bird


def place_of(flock: Flock, clutch: Clutch) -> str:
    """Where the nest is: as entered for the pair, else where the hen or cock is."""
    pair = flock.pairs.get(clutch.pair or "")
    return place_of_pair(flock, pair) if pair else ""


def place_of_pair(flock: Flock, pair: Pair) -> str:
    """Where a pair is kept."""
    if pair.location:
        return pair.location
    both = (flock.birds.get(bird_id or "") for bird_id in (pair.hen, pair.cock))
    return next((bird.location for bird in both if bird and bird.location), "")


def species_of(flock: Flock, clutch: Clutch) -> str:
    """The species of the hen, else of the cock; "" where neither is known."""
    pair = flock.pairs.get(clutch.pair or "")
    if pair is None:
        return ""
    both = (flock.birds.get(bird_id or "") for bird_id in (pair.hen, pair.cock))
    return next((bird.species for bird in both if bird and bird.species), "")


def is_marked(flock: Flock, bird_id: str) -> bool:
    """Whether a bird wears a ring or carries a chip."""
    worn = (ring.state is RingState.ON_BIRD for ring in flock.rings_of(bird_id))
    return any(worn) or bool(flock.chips_of(bird_id))


def is_forgotten(clutch: Clutch, egg: Egg, today: dt.date) -> bool:
    """Whether it was laid so long ago that it is no egg in a nest any more."""
    laid = egg.laid or clutch.laid
    return laid is not None and (today - laid.latest).days > FORGOTTEN_DAYS
