"""What to be warned of before a ring goes on a bird; it is never refused for it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ledger.care.sizes import LOCAL_RULES, check_size
from ledger.domain.bird import Sex
from ledger.domain.mark_rules import called_ring
from ledger.domain.ring import Leg, RingKind, RingState
from ledger.domain.sexing_leg import SEXING_SOURCE, sex_by_leg
from ledger.services.ledger import bird_of
from ledger.services.stock import ring_year

if TYPE_CHECKING:
    from ledger.domain.bird import Bird
    from ledger.domain.flock import Flock
    from ledger.domain.ring import Ring


def warnings_of_ring(flock: Flock, bird_id: str, ring: Ring) -> tuple[str, ...]:
    """What speaks against putting this ring on this bird, as sentences with sources.

    Args:
        flock: The flock.
        bird_id: The bird.
        ring: As it is to be put on, its leg with it.

    Returns:
        Nothing where nothing speaks against it.

    Raises:
        NotFoundError: there is no such bird.
    """
    bird = bird_of(flock, bird_id)
    return (
        *check_size(bird.species, bird.sex, ring.size_mm, flock.settings),
        *_year(flock, bird, ring),
        *_leg(flock, bird, ring),
    )


def _year(flock: Flock, bird: Bird, ring: Ring) -> tuple[str, ...]:
    """A closed ring that shows another year than the bird hatched in."""
    year = ring_year(flock, ring)
    if ring.kind is not RingKind.CLOSED or year is None or bird.hatched is None:
        return ()
    hatched = {bird.hatched.earliest.year, bird.hatched.latest.year}
    if year in hatched:
        return ()
    return (
        f"{called_ring(ring)} shows the year {year}, and {bird.title} hatched "
        f"{bird.hatched}: whoever reads it will take the bird for one of {year}. "
        f"{LOCAL_RULES}",
    )


def _leg(flock: Flock, bird: Bird, ring: Ring) -> tuple[str, ...]:
    said = []
    worn = [
        other
        for other in flock.rings_of(bird.id)
        if other.state is RingState.ON_BIRD
        and other.id != ring.id
        and other.leg is ring.leg
        and ring.leg is not Leg.UNKNOWN
    ]
    if worn:
        names = " and ".join(called_ring(other) for other in worn)
        said.append(
            f"{bird.title} wears {names} on its {ring.leg} leg already: stacked rings "
            "wear each other's edges inward and cut (PLOS ONE 2012, e51891, abstract)."
        )
    told = sex_by_leg(ring)
    if Sex.UNKNOWN not in (told, bird.sex) and told is not bird.sex:
        said.append(
            f"A split ring on the {ring.leg} leg reads as a surgically sexed {told}, "
            f"and {bird.title} is a {bird.sex} ({SEXING_SOURCE}; weak evidence)."
        )
    return tuple(said)
