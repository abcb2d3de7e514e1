"""What is due in the nests on a day: worked out anew each time, never kept.

Eggs are candled, expected and overdue; chicks are ringed, weighed and fledge. Each
duty names its days, its place and, where one is published, its source.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from ledger.care.clutches import (
    LIVE_FATES,
    current_clutches,
    is_forgotten,
    is_in_nest,
    is_marked,
    place_of,
    species_of,
    young_birds,
)
from ledger.care.hatching import candling_days, fledging, hatch_forecast
from ledger.care.ringing import WindowState, window_of_bird
from ledger.care.weights import curve_of
from ledger.domain.breeding import EggFate

if TYPE_CHECKING:
    from collections.abc import Iterator

    from ledger.domain.bird import Bird
    from ledger.domain.breeding import Clutch, Egg
    from ledger.domain.flock import Flock

SOON_DAYS = 3
"""How far ahead what comes is told."""
UNMARKED_DAYS = 120
"""So long a chick without ring and chip is told here; after that `check` tells it."""


class NestWork(StrEnum):
    """What is due."""

    CANDLE = "candle"
    HATCH = "hatch expected"
    OVERDUE = "hatch overdue"
    RING = "ring"
    WEIGH = "weigh again"
    FLEDGE = "fledging expected"


class Urgency(StrEnum):
    """How it presses; in this order."""

    LATE = "late"
    """The day is past, or harm is near."""
    NOW = "now"
    SOON = "soon"
    """Within the next few days."""


@dataclass(frozen=True, slots=True)
class NestDuty:
    """One thing that is due in a nest."""

    work: NestWork
    urgency: Urgency
    since: dt.date
    """From when it is due."""
    until: dt.date
    """The last day for it; before today where it is late."""
    location: str
    said: str
    """What and why, as a sentence."""
    clutch: str | None = None
    """Clutch id."""
    egg: int | None = None
    """Its number in the clutch."""
    bird: str | None = None
    """Bird id of a chick."""
    window: WindowState | None = None
    """For ringing: where the chick stands."""
    source: str = ""


_ORDER = list(Urgency)


def due_in_nests(flock: Flock, today: dt.date) -> tuple[NestDuty, ...]:
    """All that is due, the most pressing first, then by aviary.

    Args:
        flock: The flock.
        today: The day in question.
    """
    duties: list[NestDuty] = []
    in_clutch: dict[str, str] = {}
    for clutch in current_clutches(flock, today):
        duties += due_of_eggs(flock, clutch, today)
        in_clutch.update(
            (egg.chick, clutch.id) for egg in clutch.eggs if egg.chick is not None
        )
    for chick in young_birds(flock, today):
        duties += due_of_chick(flock, chick, today, in_clutch.get(chick.id))
    return tuple(sorted(duties, key=pressing))


def pressing(duty: NestDuty) -> tuple[int, str, dt.date, str]:
    """Sort key: the most pressing first, then by aviary and day."""
    return _ORDER.index(duty.urgency), duty.location, duty.until, duty.said


def due_of_eggs(flock: Flock, clutch: Clutch, today: dt.date) -> Iterator[NestDuty]:
    """What is due for the eggs of one clutch that may still hatch."""
    for egg in clutch.eggs:
        if egg.fate in LIVE_FATES and not is_forgotten(clutch, egg, today):
            hatch = _hatch_duty(flock, clutch, egg, today)
            if hatch is not None:
                yield hatch
            if hatch is None or hatch.urgency is Urgency.SOON:
                yield from _candle_duty(flock, clutch, egg, today)


def _hatch_duty(
    flock: Flock, clutch: Clutch, egg: Egg, today: dt.date
) -> NestDuty | None:
    forecast = hatch_forecast(species_of(flock, clutch), clutch, egg)
    if forecast is None or today < forecast.earliest - dt.timedelta(days=SOON_DAYS):
        return None
    days = f"{forecast.earliest} to {forecast.latest}"
    if today > forecast.latest:
        work, urgency = NestWork.OVERDUE, Urgency.LATE
        over = (today - forecast.latest).days
        said = (
            f"Egg {egg.number} was expected {days}: {over} "
            f"{'day' if over == 1 else 'days'} over. Candle it again; never help a "
            "chick out of the shell on a guess, ask an avian vet."
        )
    else:
        work = NestWork.HATCH
        urgency = Urgency.NOW if today >= forecast.earliest else Urgency.SOON
        said = f"Egg {egg.number} is expected to hatch {days}."
    return NestDuty(
        work,
        urgency,
        forecast.earliest,
        forecast.latest,
        place_of(flock, clutch),
        said,
        clutch.id,
        egg.number,
        source=forecast.said,
    )


def _candle_duty(
    flock: Flock, clutch: Clutch, egg: Egg, today: dt.date
) -> Iterator[NestDuty]:
    days = candling_days(clutch, egg)
    if egg.fate is EggFate.FERTILE or days is None or today < days[0]:
        return
    again = " again" if egg.candled else ""
    yield NestDuty(
        NestWork.CANDLE,
        Urgency.LATE if today > days[1] else Urgency.NOW,
        *days,
        place_of(flock, clutch),
        f"Egg {egg.number} can be candled{again}, best {days[0]} to {days[1]}.",
        clutch.id,
        egg.number,
        source="common practice, no source",
    )


def due_of_chick(
    flock: Flock, chick: Bird, today: dt.date, clutch: str | None = None
) -> Iterator[NestDuty]:
    """What is due for one young bird: its ring, the scales, the day it leaves.

    Args:
        flock: The flock.
        chick: A young bird that lives here.
        today: The day in question.
        clutch: Id of the clutch it hatched in, where that is known.
    """
    yield from _ring_duty(flock, chick, today, clutch)
    if is_in_nest(flock, chick.id, today):
        yield from _weigh_duty(flock, chick, today, clutch)
        yield from _fledge_duty(flock, chick, today, clutch)


def _ring_duty(
    flock: Flock, chick: Bird, today: dt.date, clutch: str | None
) -> Iterator[NestDuty]:
    if is_marked(flock, chick.id):
        return
    stands = window_of_bird(flock, chick, today)
    if stands.opens is None or stands.closes is None or stands.age_days is None:
        return
    soon = stands.opens - dt.timedelta(days=SOON_DAYS)
    if today < soon or stands.age_days[0] > UNMARKED_DAYS:
        return
    urgency = {WindowState.NOT_YET: Urgency.SOON, WindowState.OPEN: Urgency.NOW}.get(
        stands.state, Urgency.LATE
    )
    yield NestDuty(
        NestWork.RING,
        urgency,
        stands.opens,
        stands.closes,
        _where(flock, chick, clutch),
        f"{chick.title} has no ring: {stands.said}",
        clutch,
        bird=chick.id,
        window=stands.state,
        source=stands.window.source,
    )


def _weigh_duty(
    flock: Flock, chick: Bird, today: dt.date, clutch: str | None
) -> Iterator[NestDuty]:
    curve = curve_of(flock, chick.id)
    if not curve.points:
        return  # a chick left to its parents is not on the scales
    loss = curve.loss
    last = curve.points[-1].on
    if loss is not None and last < today:
        yield NestDuty(
            NestWork.WEIGH,
            Urgency.NOW if loss.is_usual else Urgency.LATE,
            last + dt.timedelta(days=1),
            last + dt.timedelta(days=1),
            _where(flock, chick, clutch),
            loss.said,
            clutch,
            bird=chick.id,
            source=loss.source,
        )


def _fledge_duty(
    flock: Flock, chick: Bird, today: dt.date, clutch: str | None
) -> Iterator[NestDuty]:
    span = fledging(chick.species)
    if span is None or chick.hatched is None:
        return
    first = chick.hatched.earliest + dt.timedelta(days=round(span.fewest) - SOON_DAYS)
    last = chick.hatched.latest + dt.timedelta(days=round(span.most) + SOON_DAYS)
    if today < first:
        return
    yield NestDuty(
        NestWork.FLEDGE,
        Urgency.NOW if today <= last else Urgency.LATE,
        first,
        last,
        _where(flock, chick, clutch),
        f"{chick.title} is expected to leave the nest {first} to {last}; enter the "
        "day it does.",
        clutch,
        bird=chick.id,
        source=f"{span} after hatching ({'; '.join(span.sources)})",
    )


def _where(flock: Flock, chick: Bird, clutch_id: str | None) -> str:
    """Where the chick is: as entered for it, else where its nest is."""
    clutch = flock.clutches.get(clutch_id or "")
    return chick.location or (place_of(flock, clutch) if clutch else "")
