"""How inbreeding and gene diversity went over the years."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from ledger.domain.bird import Status
from ledger.domain.event import EventKind
from ledger.services.lineage import lineage_of, species_key

if TYPE_CHECKING:
    import datetime as dt

    from ledger.domain.bird import Bird
    from ledger.domain.flock import Flock

_LEAVING = {EventKind.DIED, EventKind.PLACED, EventKind.LOST}
_COMING = {EventKind.RETURNED, EventKind.FOUND}


@dataclass(frozen=True)
class YearVariety:
    """The birds that lived here at the end of a year."""

    year: int
    living: int
    mean_inbreeding: float
    gene_diversity: float


def variety_by_year(
    flock: Flock, today: dt.date, species: str = ""
) -> tuple[YearVariety, ...]:
    """Variety at the end of each year, up to this one.

    A bird counts from the year it hatched, or of the first event entered where its
    hatching is not known, until it died, was lost or was placed. One that is gone
    without a date does not count at all.

    Args:
        flock: The flock.
        today: The last year is that of this day.
        species: Only this one; "" for all.

    Raises:
        LineageError: the parents of the flock contradict each other.
    """
    lineage = lineage_of(flock)
    wanted = species_key(species)
    stays = {
        bird.id: years
        for bird in flock.birds.values()
        if (not species or species_key(bird.species) == wanted)
        and (years := _years_here(flock, bird, today))
    }
    if not stays:
        return ()
    first = min(min(years) for years in stays.values())
    found = []
    for year in range(first, today.year + 1):
        here = [bird for bird, years in stays.items() if year in years]
        if not here:
            continue
        places = lineage.table.places(here)
        mean = lineage.mean_kinships(places, places)
        found.append(
            YearVariety(
                year,
                len(here),
                float(lineage.inbred[places].mean()),
                1 - float(mean.mean()),
            )
        )
    return tuple(found)


def _years_here(flock: Flock, bird: Bird, today: dt.date) -> set[int]:
    """Years at whose end the bird lived here."""
    events = list(reversed(flock.events_of(bird.id)))
    if bird.hatched is not None:
        since: int | None = bird.hatched.latest.year
    else:
        since = events[0].on.latest.year if events else None
    turns = [event for event in events if event.kind in _LEAVING | _COMING]
    if since is None or (bird.status is not Status.ALIVE and not turns):
        return {today.year} if bird.status is Status.ALIVE else set()
    years: set[int] = set()
    for event in turns:
        year = event.on.latest.year
        if event.kind in _LEAVING and since is not None:
            years.update(range(since, year))
            since = None
        elif event.kind in _COMING and since is None:
            since = year
    if since is not None and bird.status is Status.ALIVE:
        years.update(range(since, today.year + 1))
    return years
