"""Two sizes on trial: which two, on which legs, and until when."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from typing import TYPE_CHECKING

from ledger.care.ring_check import worn_rings
from ledger.care.ringing import WindowState, window_of_bird
from ledger.care.sizes import advise_size, check_size, neighbour_sizes, same_species
from ledger.care.trial import (
    FitAge,
    are_neighbours,
    called,
    fit_age,
)
from ledger.domain.bird import Status
from ledger.domain.change import Put
from ledger.domain.event import Event, EventKind
from ledger.domain.kind import Kind
from ledger.domain.mark_rules import called_ring
from ledger.domain.partial_date import PartialDate
from ledger.domain.ring import Leg, RingKind, RingState, compact
from ledger.domain.task import Task, TaskKind
from ledger.errors import RuleError
from ledger.services.ledger import bird_of, date_of
from ledger.services.marks import from_stock
from ledger.services.stock import next_serial, ring_year

if TYPE_CHECKING:
    from ledger.domain.bird import Bird
    from ledger.domain.change import Change
    from ledger.domain.flock import Flock
    from ledger.domain.ring import Ring
    from ledger.services.ledger import Ledger, When

AS_SET = "as set at ringing"
"""Text of the task for a fit check that was set when the rings went on."""
ONE_A_LEG = (
    "One ring on each leg: most hurt birds wore two on one leg (Splittgerber and "
    "Clarke, Journal of Field Ornithology 2006)."
)


def begin_trial(
    ledger: Ledger,
    bird_id: str,
    left: Ring,
    right: Ring,
    on: When,
    author: str,
    *,
    check_on: dt.date | None = None,
) -> Task | None:
    """Enter that a bird wears two neighbouring sizes from now on, one on each leg.

    Args:
        ledger: An open ledger.
        bird_id: The bird.
        left: Ring on its left leg: from stock by its id, or with an empty id.
        right: Ring on its right leg.
        on: When they went on.
        author: Who put them on.
        check_on: When the fit is to be checked; None: as is usual for the species.

    Returns:
        The task for the fit check; None where the usual day counts.

    Raises:
        NotFoundError: there is no such bird or ring.
        RuleError: a bird like this cannot wear two rings like these.
    """
    flock = ledger.flock
    bird = bird_of(flock, bird_id)
    day = date_of(on)
    refuse_trial(flock, bird, left, right, day)
    changes: list[Change] = []
    new = 0
    for number, (ring, leg) in enumerate(((left, Leg.LEFT), (right, Leg.RIGHT))):
        ring = from_stock(flock, replace(ring, leg=leg))
        ring_id = ring.id or flock.next_id(Kind.RING, after=new)
        new += not ring.id
        worn = replace(
            ring,
            id=ring_id,
            bird=bird.id,
            leg=leg,
            put_on=day,
            state=RingState.ON_BIRD,
            trial=True,
        )
        event = Event(
            flock.next_id(Kind.EVENT, after=number),
            bird.id,
            EventKind.RING_PUT_ON,
            day,
            text=f"{worn.inscription}: {called(worn)}, on trial",
            by=author,
            ring=ring_id,
        )
        changes += [Put(worn), Put(event)]
    task = None
    if check_on is not None:
        task = fit_task(flock, bird, check_on, day, AS_SET)
        changes.append(Put(task))
    what = f"{bird.title}: two sizes on trial"
    ledger.commit(changes, author=author, what=what)
    return task


def refuse_trial(
    flock: Flock, bird: Bird, left: Ring, right: Ring, on: PartialDate
) -> None:
    """Say why these two rings cannot go on this bird.

    Raises:
        RuleError: it is not here, wears rings, or the rings are no pair for a trial.
    """
    if bird.status is not Status.ALIVE:
        raise RuleError(
            f"{bird.title} gets no trial rings: it is {bird.status}.",
            "Only a bird that lives here is ringed.",
        )
    worn = worn_rings(flock.rings_of(bird.id))
    if worn:
        raise RuleError(
            f"{bird.title} wears {called_ring(worn[0])} already ({called(worn[0])}).",
            ONE_A_LEG,
        )
    for ring, leg in ((left, Leg.LEFT), (right, Leg.RIGHT)):
        if not compact(ring.inscription):
            raise RuleError(
                f"The ring for the {leg} leg has no inscription.",
                "Write what it reads, or choose one from stock.",
            )
    if compact(left.inscription) == compact(right.inscription):
        raise RuleError(
            f"“{left.inscription}” cannot be on both legs.", "Give two rings."
        )
    if left.size_mm is None or right.size_mm is None:
        raise RuleError(
            "A trial is of two sizes, and one is not entered.",
            "Give the inner diameter of both, in mm.",
        )
    if left.size_mm == right.size_mm:
        raise RuleError(
            f"Both rings measure {left.size_mm:g} mm, so there is nothing to try.",
            "Take two neighbouring sizes, or put on one ring only.",
        )
    _refuse_late(flock, bird, left, right, on)


def trial_warnings(
    flock: Flock, bird: Bird, left: Ring, right: Ring, on: PartialDate
) -> tuple[str, ...]:
    """What to know before these two go on; each a sentence, with its source."""
    said = []
    small, large = sorted((left.size_mm or 0.0, right.size_mm or 0.0))
    if small and not are_neighbours(small, large):
        said.append(
            f"{small:g} and {large:g} mm are no neighbours: a statute's list has "
            f"{neighbour_sizes(small)[1]:g} mm between them (BArtSchV Anlage 6)."
        )
    outside = [
        check_size(bird.species, bird.sex, mm, flock.settings) for mm in (small, large)
    ]
    if all(outside):
        said += [sentence for each in outside for sentence in each[:1]]
    for ring in (left, right):
        year = ring_year(flock, ring) if ring.kind is RingKind.CLOSED else None
        if year and bird.hatched and year != bird.hatched.year:
            said.append(
                f"{called_ring(ring)} is of {year}, and {bird.title} hatched "
                f"{bird.hatched}: a closed ring tells the year of hatching."
            )
    if RingKind.CLOSED in (left.kind, right.kind):
        stands = window_of_bird(flock, bird, on.latest)
        if stands.state in (WindowState.LATE, WindowState.NOT_YET):
            said.append(f"{bird.title} is {stands.said}")
    return tuple(said)


def suggest_rings(flock: Flock, bird: Bird) -> tuple[Ring | None, Ring | None]:
    """The next rings in stock of the bird's size and of the size beside it."""
    advice = advise_size(bird.species, bird.sex, flock.settings)
    year = bird.hatched.year if bird.hatched else None  # it tells the hatch year
    if advice.smallest_mm is None or advice.largest_mm is None:
        return None, None
    if advice.smallest_mm < advice.largest_mm:
        return (
            next_serial(flock, advice.smallest_mm, year=year),
            next_serial(flock, advice.largest_mm, year=year),
        )
    usual = next_serial(flock, advice.smallest_mm, year=year)
    beside = [
        next_serial(flock, mm, year=year)
        for mm in reversed(neighbour_sizes(advice.smallest_mm))
        if mm is not None
    ]
    return usual, next((ring for ring in beside if ring is not None), None)


def check_day(
    flock: Flock, bird: Bird, put_on: PartialDate, age_days: int | None = None
) -> tuple[dt.date, FitAge]:
    """When the fit is checked, and at which age.

    Args:
        flock: The flock.
        bird: The bird.
        put_on: When the rings go on; the days count from here where nobody knows when
            it hatched.
        age_days: The keeper's own age; None: the one set last for its species, else
            the published one.
    """
    if age_days is not None:
        age = FitAge(age_days, "your own")
    else:
        age = _age_set_last(flock, bird) or fit_age(bird.species)
    start = bird.hatched or put_on
    return start.latest + dt.timedelta(days=age.days), age


def _age_set_last(flock: Flock, bird: Bird) -> FitAge | None:
    """The age that the keeper set at the last trial of this species."""
    set_down = [
        (task.set_on.latest, (task.due.earliest - other.hatched.latest).days)
        for task in flock.tasks.values()
        if task.text == AS_SET and task.set_on and task.due
        if (other := flock.birds.get(task.bird or "")) and other.hatched
        if same_species(other.species, bird.species)
    ]
    if not set_down:
        return None
    _, days = max(set_down)
    published = fit_age(bird.species)
    if days == published.days:
        return published
    return FitAge(
        days,
        f"your own at the last trial of this species; {published.days} days by "
        f"{published.source}",
    )


def fit_task(
    flock: Flock, bird: Bird, due: dt.date, on: PartialDate, text: str
) -> Task:
    """A task to check the fit, not stored yet."""
    return Task(
        flock.next_id(Kind.TASK),
        bird.id,
        TaskKind.FIT_CHECK,
        PartialDate.of(due),
        text,
        set_on=on,
    )


def _refuse_late(
    flock: Flock, bird: Bird, left: Ring, right: Ring, on: PartialDate
) -> None:
    if RingKind.CLOSED not in (left.kind, right.kind):
        return
    stands = window_of_bird(flock, bird, on.latest)
    if stands.state is WindowState.MISSED:
        raise RuleError(
            f"No closed ring goes on {bird.title} any more: {stands.said}",
            "Never force it. Take split rings or a chip; they do not prove that it was "
            "ringed in the nest.",
        )
