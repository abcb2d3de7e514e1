"""At what age a ring can have gone on."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

from ledger.domain.finding import Finding, Severity
from ledger.domain.ring import RingKind
from ledger.reference import ringing_ages

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from ledger.domain.flock import Flock
    from ledger.domain.people import OwnWindow
    from ledger.domain.ring import Ring

LAST_DAY_FOR_CLOSED_RING = 42
"""Age in days after which no closed ring goes over any foot.

Common practice, no source: published ages lie between 5 days and 4 weeks; two
weeks are left for slow species and for dates that are a little off.
"""


def check_age_at_ringing(flock: Flock, ring: Ring, called: str) -> Iterator[Finding]:
    """A ring goes on after hatching, a closed one while the foot is small enough.

    Args:
        flock: The flock.
        ring: A ring of it.
        called: What it is called in sentences.
    """
    bird = flock.birds.get(ring.bird or "")
    if bird is None or bird.hatched is None or ring.put_on is None:
        return
    least, _ = bird.hatched.days_until(ring.put_on)
    if ring.put_on.is_before(bird.hatched):
        yield Finding(
            Severity.ERROR,
            ring.id,
            f"{called} was put on {bird.title} on {ring.put_on}, before it hatched "
            f"{bird.hatched}.",
            "Correct one of the dates.",
        )
    elif ring.kind is RingKind.CLOSED and least > last_day_for_closed_ring(
        bird.species, flock.settings.own_windows
    ):
        yield Finding(
            Severity.WARNING,
            ring.id,
            f"{called} is closed, but {bird.title} was at least {least} days old when "
            "it was put on; by then the foot is too big.",
            "Correct the dates, or the kind of ring: it may be a split ring.",
        )


def last_day_for_closed_ring(species: str, own: Sequence[OwnWindow] = ()) -> int:
    """Age in days after which a closed ring on a bird of a species is doubted.

    Twice the last day of its ringing days, for dates that are a little off (common
    practice, no source), but no later than print allows: no parrot after 4 weeks
    (papageien.org ringFAQ, a hobby page).

    Args:
        species: Scientific, English or trade name.
        own: The keeper's own ringing days; a bird ringed within them is not doubted.
    """
    last, never = _last_days(species)
    mine = [it.last_day for it in own if it.species.casefold() == species.casefold()]
    return max([min([*never, LAST_DAY_FOR_CLOSED_RING, *last]), *mine])


@cache
def _last_days(species: str) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """Twice the nearest last day of ringing, and all days after which none goes on."""
    ages = ringing_ages(species)
    nearest = [age for age in ages if age.last_day is not None]
    last = [
        2 * (age.last_day or 0) for age in nearest if age.of == nearest[0].of != "all"
    ]
    never = tuple(it.never_after_day for it in ages if it.never_after_day is not None)
    return tuple([max(last)] if last else []), never
