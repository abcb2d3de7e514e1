"""A bird's own weights by day: gain from one weighing to the next, and losses.

A bird is judged by its own history first; the handbook's mean of its species is
shown beside it, and differs from kept birds by 10 to 40 % in many parrots.
"""

from __future__ import annotations

from dataclasses import dataclass
from statistics import median
from typing import TYPE_CHECKING

from ledger.care.hatching import fledging
from ledger.domain.event import EventKind
from ledger.reference import HandbookWeight, handbook_weight

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Sequence

    from ledger.domain.bird import Bird
    from ledger.domain.flock import Flock

_PRACTICE = "common practice, no source"
CHICK_LOSS = 0.01
"""A chick that weighs less by this share than the time before has lost weight; less
is the crop and the scales. Common practice, no source."""
GROWN_LOSS = 0.10
"""A grown bird that weighs less by this share than its own middle of the year before
has lost weight. Common practice, no source."""
USUAL_LOSS = 0.15
"""Chicks of most parrots grow heavier than their parents and lose so much again
before they fledge. Common practice, no source."""
_NEAR_FLEDGING = 0.7
"""From this share of the time to fledging on, such a loss is usual."""
_LONGEST_IN_NEST = 150
_OWN_YEAR = 365
_FEWEST_OWN = 3


@dataclass(frozen=True, slots=True)
class WeighPoint:
    """One weighing."""

    on: dt.date
    weight_g: float
    age_days: int | None
    """None where the day of hatching is not known."""
    gain_g_a_day: float | None
    """Since the weighing before; negative for a loss. None for the first."""


@dataclass(frozen=True, slots=True)
class WeightLoss:
    """A bird weighs less than it should by its own history."""

    share: float
    """Of what it is compared with, 0 to 1."""
    said: str
    """As a sentence."""
    is_usual: bool
    """A chick near fledging, within what is usual."""
    source: str = _PRACTICE


@dataclass(frozen=True, slots=True)
class WeightCurve:
    """A bird's weights, oldest first; one a day, the last entered."""

    points: tuple[WeighPoint, ...]
    loss: WeightLoss | None
    handbook: HandbookWeight | None
    """Mean of grown birds of its species."""


def curve_of(flock: Flock, bird_id: str) -> WeightCurve:
    """The weights of a bird and what they say.

    Weighings whose very day is not known are left out: they have no place on a curve.

    Args:
        flock: The flock.
        bird_id: A bird of it.
    """
    bird = flock.birds[bird_id]
    hatched = bird.hatched if bird.hatched and bird.hatched.is_whole else None
    events = flock.events_of(bird_id)
    by_day: dict[dt.date, float] = {}
    for event in reversed(events):  # the newest stands first
        if event.weight_g is not None and event.on.is_whole:
            by_day[event.on.earliest] = event.weight_g
    points: list[WeighPoint] = []
    for day, grams in sorted(by_day.items()):
        gain = None
        if points:
            days = (day - points[-1].on).days
            gain = (grams - points[-1].weight_g) / days
        age = (day - hatched.earliest).days if hatched else None
        points.append(WeighPoint(day, grams, age, gain))
    has_fledged = any(
        event.kind in (EventKind.FLEDGED, EventKind.WEANED) for event in events
    )
    return WeightCurve(
        tuple(points),
        _loss(bird, points, has_fledged=has_fledged),
        handbook_weight(bird.species),
    )


def _loss(
    bird: Bird, points: Sequence[WeighPoint], *, has_fledged: bool
) -> WeightLoss | None:
    if len(points) < 2:
        return None
    age = points[-1].age_days
    if age is not None and age <= _LONGEST_IN_NEST and not has_fledged:
        return _loss_of_chick(bird, points, age)
    return _loss_of_grown(bird, points)


def _loss_of_chick(
    bird: Bird, points: Sequence[WeighPoint], age: int
) -> WeightLoss | None:
    before, last = points[-2:]
    share = 1 - last.weight_g / before.weight_g
    if share < CHICK_LOSS:
        return None
    span = fledging(bird.species)
    most = max(point.weight_g for point in points)
    is_usual = (
        span is not None
        and age >= _NEAR_FLEDGING * span.fewest
        and last.weight_g >= (1 - USUAL_LOSS) * most
    )
    lost = (
        f"{bird.title} weighs {last.weight_g:g} g, {before.weight_g - last.weight_g:g} "
        f"g less than on {before.on}."
    )
    if is_usual:
        said = f"{lost} So near to fledging some loss is usual; weigh it daily."
    else:
        said = (
            f"{lost} A chick should gain every day: look at its crop and its nest "
            "mates and weigh it again today; if it goes on, call an avian vet."
        )
    return WeightLoss(share, said, is_usual)


def _loss_of_grown(bird: Bird, points: Sequence[WeighPoint]) -> WeightLoss | None:
    last = points[-1]
    own = [
        point.weight_g
        for point in points[:-1]
        if (last.on - point.on).days <= _OWN_YEAR
        and (point.age_days is None or point.age_days > _LONGEST_IN_NEST)
    ]
    if len(own) < _FEWEST_OWN:
        return None
    usual = median(own)
    share = 1 - last.weight_g / usual
    if share < GROWN_LOSS:
        return None
    return WeightLoss(
        share,
        f"{bird.title} weighs {last.weight_g:g} g, {share:.0%} less than its own "
        f"middle of the year before, {usual:g} g: have an avian vet look at it.",
        is_usual=False,
    )
