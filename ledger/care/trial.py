"""Two sizes on trial: where a bird stands between the first day and the one ring left.

Small chicks of a species with two usual sizes wear both, one on each leg, until the
legs have grown. A fit check then decides; the other ring comes off and is accounted
for, and the one that stays carries the identity on.
"""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from ledger.care.leg_findings import PRACTICE
from ledger.care.ring_check import worn_rings
from ledger.care.sizes import is_size, neighbour_sizes
from ledger.domain.event import EventKind
from ledger.domain.ring import Leg
from ledger.domain.task import TaskKind
from ledger.reference import breeding_figures

if TYPE_CHECKING:
    from collections.abc import Sequence

    from ledger.domain.bird import Bird
    from ledger.domain.event import Event
    from ledger.domain.ring import Ring
    from ledger.domain.task import Task

USUAL_AGE_DAYS = 90
"""Age at the fit check where no source says when the species fledges: common practice,
no source."""
STAYS = "stays"
"""Finding of a fit check that decides: "stays r0356"."""


class TrialStep(StrEnum):
    """How far a trial is."""

    ON_TRIAL = "on trial"
    DECIDED = "decided"
    """The other ring still has to come off."""


@dataclass(frozen=True, slots=True)
class FitAge:
    """At which age the fit is checked."""

    days: int
    source: str
    """Where the age is from; common practice is said to be that."""


@dataclass(frozen=True, slots=True)
class Trial:
    """The trial rings that a bird wears."""

    step: TrialStep
    rings: tuple[Ring, ...]
    """By size, the smaller first."""
    due: dt.date | None
    """Of the fit check; None where neither hatching nor ringing is known."""
    why: str
    """Why on that day."""
    source: str
    stays: Ring | None = None
    """Once decided."""
    decided: dt.date | None = None


def fit_age(species: str) -> FitAge:
    """The usual age at the fit check: when the species leaves the nest, fully grown.

    Args:
        species: Scientific, English or trade name.
    """
    known = [(f.fledging_days, f.source) for f in breeding_figures(species)]
    days = [(age, source) for age, source in known if age]
    if not days:
        return FitAge(USUAL_AGE_DAYS, PRACTICE)
    oldest, source = max(days)
    return FitAge(math.ceil(oldest), f"fledging, {oldest:g} days: {source}")


def trial_of(
    bird: Bird,
    rings: Sequence[Ring],
    events: Sequence[Event],
    tasks: Sequence[Task] = (),
) -> Trial | None:
    """Where a bird stands; None where it wears no two rings of which one is on trial.

    Args:
        bird: The bird.
        rings: Those it wears or wore.
        events: Of it, newest first.
        tasks: Of it; an open one for a fit check sets the day.
    """
    worn = worn_rings(rings)
    on_trial = sorted(
        (ring for ring in worn if ring.trial), key=lambda ring: ring.size_mm or 0.0
    )
    if not on_trial:
        return None
    decision = _decision(on_trial, worn, events)
    if decision is not None:
        stays, day = decision
        rest = tuple(ring for ring in on_trial if ring.id != stays.id)
        return Trial(
            TrialStep.DECIDED,
            rest,
            day,
            f"decided {day}: {called(stays)} stays",
            PRACTICE,
            stays,
            day,
        )
    if len(on_trial) < 2:
        return None
    set_for = [t for t in tasks if is_fit_task(t) and t.done is None and t.due]
    if set_for:
        task = set_for[-1]
        due = task.due.earliest if task.due else None
        return Trial(
            TrialStep.ON_TRIAL, tuple(on_trial), due, task.text, "the keeper's own day"
        )
    age = fit_age(bird.species)
    start = bird.hatched or on_trial[0].put_on
    since = "hatching" if bird.hatched else "ringing"
    return Trial(
        TrialStep.ON_TRIAL,
        tuple(on_trial),
        start.latest + dt.timedelta(days=age.days) if start else None,
        f"{age.days} days after {since}",
        age.source,
    )


def is_fit_task(task: Task) -> bool:
    """A fit check set down for a day."""
    return task.kind is TaskKind.FIT_CHECK


def called(ring: Ring) -> str:
    """A ring by its size and leg: "7.5 mm, left leg"."""
    size = f"{ring.size_mm:g} mm" if ring.size_mm else ring.inscription or ring.id
    return size if ring.leg is Leg.UNKNOWN else f"{size}, {ring.leg} leg"


def are_neighbours(one_mm: float, other_mm: float) -> bool:
    """No size of the statute's lies between the two."""
    small, large = sorted((one_mm, other_mm))
    _, above = neighbour_sizes(small)
    return above is None or large <= above or is_size(large, above)


def _decision(
    on_trial: Sequence[Ring], worn: Sequence[Ring], events: Sequence[Event]
) -> tuple[Ring, dt.date] | None:
    for event in events:
        if event.kind is EventKind.FIT_CHECKED and event.finding.startswith(STAYS):
            stays = next((r for r in worn if r.id == event.ring), None)
            begun = max((r.put_on.latest for r in on_trial if r.put_on), default=None)
            if stays and (begun is None or event.on.latest >= begun):
                return stays, event.on.latest
    return None
