"""How gene diversity of the flock and inbreeding of its young went over the years."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING

from ledger.domain.bird import Status
from ledger.domain.event import EventKind
from ledger.services.lineage import lineage_of, species_key

if TYPE_CHECKING:
    import datetime as dt

    from ledger.domain.bird import Bird
    from ledger.domain.flock import Flock
    from ledger.services.lineage import Lineage

_LEAVING = {EventKind.DIED, EventKind.PLACED, EventKind.LOST}
_COMING = {EventKind.RETURNED, EventKind.FOUND}


@dataclass(frozen=True)
class YearVariety:
    """The birds that lived here at the end of a year, and the young of that year."""

    year: int
    living: int
    mean_inbreeding: float
    """Of the living."""
    gene_diversity: float
    """Of the living; 0 where there are none."""
    hatched: int = 0
    """Young of the year with a known parent, also those that are dead or placed now."""
    mean_of_hatched: float = 0.0
    """Their mean F."""
    most_of_hatched: float = 0.0
    """The highest F among them."""
    most_inbred: tuple[str, ...] = ()
    """Bird ids of those that have it, where it is above 0."""


def variety_by_year(
    flock: Flock, today: dt.date, species: str = ""
) -> tuple[YearVariety, ...]:
    """Variety at the end of each year, up to this one, and inbreeding of its young.

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
    asked = ("years", today, species)
    return lineage.once(asked, partial(_years, lineage, today, species))


def _years(lineage: Lineage, today: dt.date, species: str) -> tuple[YearVariety, ...]:
    wanted = species_key(species)
    stays: dict[int, list[str]] = {}
    hatched: dict[int, list[str]] = {}
    for bird in lineage.flock.birds.values():
        if species and species_key(bird.species) != wanted:
            continue
        for year in _years_here(lineage.flock, bird, today):
            stays.setdefault(year, []).append(bird.id)
        place = lineage.table.place(bird.id)
        if bird.hatched is not None and lineage.table.level[place]:
            hatched.setdefault(bird.hatched.latest.year, []).append(bird.id)
    years = sorted(year for year in {*stays, *hatched} if year <= today.year)
    return tuple(
        _year(lineage, year, stays.get(year, []), hatched.get(year, []))
        for year in years
    )


def _year(
    lineage: Lineage, year: int, here: list[str], young: list[str]
) -> YearVariety:
    places, new = lineage.table.places(here), lineage.table.places(young)
    mean = lineage.mean_kinships(places, places)
    f = lineage.inbred[new]
    most = float(f.max(initial=0.0))
    return YearVariety(
        year,
        len(here),
        float(lineage.inbred[places].mean()) if here else 0.0,
        1 - float(mean.mean()) if here else 0.0,
        len(young),
        float(f.mean()) if young else 0.0,
        most,
        tuple(
            bird
            for bird, its in zip(young, f.tolist(), strict=True)
            if most > 0 and its > most - 1e-12
        ),
    )


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
