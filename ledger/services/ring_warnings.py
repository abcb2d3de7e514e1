"""What to be warned of before a ring goes on a bird; it is never refused for it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ledger.care.sizes import LOCAL_RULES, check_size
from ledger.domain.age_rules import last_day_for_closed_ring
from ledger.domain.bird import Sex
from ledger.domain.mark_rules import called_ring
from ledger.domain.ring import Leg, RingKind, RingState
from ledger.domain.sexing_leg import SEXING_SOURCE, sex_by_leg
from ledger.services.ledger import bird_of, date_of
from ledger.services.stock import ring_year

if TYPE_CHECKING:
    from ledger.domain.bird import Bird
    from ledger.domain.flock import Flock
    from ledger.domain.ring import Ring
    from ledger.services.ledger import When


def warnings_of_ring(
    flock: Flock,
    bird_id: str,
    ring: Ring,
    on: When | None = None,
    *,
    coming_off: str | None = None,
) -> tuple[str, ...]:
    """What speaks against putting this ring on this bird, as sentences with sources.

    Args:
        flock: The flock.
        bird_id: The bird.
        ring: As it is to be put on, its leg with it.
        on: When it goes on; None: whether the foot is too big is asked elsewhere.
        coming_off: Id of a ring that this one takes the place of.

    Returns:
        Nothing where nothing speaks against it.

    Raises:
        NotFoundError: there is no such bird.
    """
    bird = bird_of(flock, bird_id)
    said = (
        *check_size(bird.species, bird.sex, ring.size_mm, flock.settings),
        *(_too_old(flock, bird, ring, on) or _year(flock, bird, ring)),
        *_leg(flock, bird, ring, coming_off),
    )
    if not said:
        return ()
    return (*(it for it in said if it != LOCAL_RULES), LOCAL_RULES)


def _too_old(flock: Flock, bird: Bird, ring: Ring, on: When | None) -> tuple[str, ...]:
    """A closed ring on a foot that is too big for one."""
    if on is None or ring.kind is not RingKind.CLOSED or bird.hatched is None:
        return ()
    least, _ = bird.hatched.days_until(date_of(on))
    last = last_day_for_closed_ring(bird.species, flock.settings.own_windows)
    if least <= last:
        return ()
    return (
        f"{bird.title} is at least {least:,} days old, and by day {last} a foot is "
        "too big for a closed ring (common practice, no source): is it a split ring?",
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
        f"{bird.hatched}: whoever reads it takes the bird for one of {year}.",
    )


def _leg(
    flock: Flock, bird: Bird, ring: Ring, coming_off: str | None
) -> tuple[str, ...]:
    said = []
    worn = [
        other
        for other in flock.rings_of(bird.id)
        if other.state is RingState.ON_BIRD
        and other.id not in (ring.id, coming_off)
        and other.leg is ring.leg
        and ring.leg is not Leg.UNKNOWN
    ]
    if worn:
        names = " and ".join(f"“{other.inscription}”" for other in worn)
        said.append(
            f"{bird.title} wears ring {names} on its {ring.leg} leg already: stacked "
            "rings bend each other's edges inward and cut (PLOS ONE 2012, e51891, "
            "abstract)."
        )
    told = sex_by_leg(ring)
    if Sex.UNKNOWN not in (told, bird.sex) and told is not bird.sex:
        said.append(
            f"A split ring on the {ring.leg} leg reads as a surgically sexed {told}, "
            f"and {bird.title} is a {bird.sex} ({SEXING_SOURCE}; weak evidence)."
        )
    return tuple(said)
