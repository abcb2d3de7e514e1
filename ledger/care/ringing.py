"""When a chick can get its closed ring: the days, and where a chick stands in them.

A window is given in days of age; the day of hatching is day 0. What is published
differs from source to source, and much is common practice only; each window says
where it is from. The foot decides: a ring that slips back over it came too early.
"""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from ledger.care.sizes import same_species
from ledger.reference import ringing_ages

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from ledger.domain.bird import Bird
    from ledger.domain.flock import Flock
    from ledger.domain.partial_date import PartialDate
    from ledger.domain.people import OwnWindow
    from ledger.reference import RingingAge

_USUAL_FIRST_DAY = 5
"""From when to look where no source says: common practice, no source."""
_LATE_SHARE = 1.5
"""Past the last day a ring may still pass until one and a half times that age:
common practice, no source."""
_OWN = "the keeper's own choice"


class WindowState(StrEnum):
    """Where a chick stands."""

    NOT_YET = "not yet"
    OPEN = "open"
    LATE = "late"
    """Past the days; a ring may still pass, and often does not."""
    MISSED = "missed"
    """The foot has grown past a closed ring of the right size."""
    UNKNOWN = "unknown"
    """The day of hatching is not known."""


@dataclass(frozen=True, slots=True)
class RingingWindow:
    """The days of age in which closed rings go on."""

    first_day: int
    last_day: int
    never_after_day: int
    """The last day on which one may be tried at all."""
    source: str
    at_odds: tuple[str, ...] = ()
    """What other sources say, as phrases."""
    is_own: bool = False
    """The keeper set it."""


@dataclass(frozen=True, slots=True)
class WindowOfChick:
    """Where one chick stands on one day."""

    state: WindowState
    window: RingingWindow
    age_days: tuple[int, int] | None
    """Youngest and oldest it can be; None where its hatching is not known."""
    opens: dt.date | None = None
    """First day for it, by the oldest it can be."""
    closes: dt.date | None = None
    """Last day for it."""
    shuts: dt.date | None = None
    """After this day no closed ring is tried any more."""
    said: str = ""
    """All of it as a sentence."""


def ringing_window(species: str, own: Sequence[OwnWindow] = ()) -> RingingWindow:
    """The days in which chicks of a species get their closed rings.

    Args:
        species: Scientific, English or trade name; one that no table knows gets
            what is said of captive-bred birds in general.
        own: What the keeper set; it goes before all that is printed.
    """
    ages = ringing_ages(species)
    for mine in own:
        if same_species(mine.species, species):
            return RingingWindow(
                mine.first_day,
                mine.last_day,
                max(mine.last_day, _never_after(mine.last_day, ages)),
                _OWN,
                _said_of(ages),
                is_own=True,
            )
    first = _nearest([age for age in ages if age.first_day is not None])
    last = _nearest([age for age in ages if age.last_day is not None])
    chosen = list(dict.fromkeys([*first, *last]))
    last_day = max(age.last_day or 0 for age in last)
    first_day = min((age.first_day or 0 for age in first), default=_USUAL_FIRST_DAY)
    return RingingWindow(
        min(first_day, last_day),
        last_day,
        _never_after(last_day, ages),
        "; ".join(age.source for age in chosen),
        _said_of(age for age in ages if age not in chosen or len(chosen) > 1),
    )


def window_of(window: RingingWindow, bird: Bird, today: dt.date) -> WindowOfChick:
    """Where a chick stands on a day.

    Where its hatching is known only roughly, the oldest it can be counts, so that
    nothing is told too late; it is `missed` only when that is certain.
    """
    hatched = bird.hatched
    if hatched is None:
        said = f"When {bird.title} hatched is not entered; its days cannot be told."
        return WindowOfChick(WindowState.UNKNOWN, window, None, said=said)
    youngest, oldest = _age(hatched, today)
    first = hatched.earliest
    opens, closes, shuts = (
        first + dt.timedelta(days=days)
        for days in (window.first_day, window.last_day, window.never_after_day)
    )
    if oldest < window.first_day:
        state = WindowState.NOT_YET
        said = f"not yet: opens {opens}, until {closes}"
    elif oldest <= window.last_day:
        state = WindowState.OPEN
        said = f"open until {closes}"
    elif youngest <= window.never_after_day:
        state = WindowState.LATE
        said = (
            f"late: the days ended {closes}; a ring that does not slip over the toes "
            "must not be forced"
        )
    else:
        state = WindowState.MISSED
        said = f"missed: the days ended {closes}, and after {shuts} none is tried"
    days = f"{youngest}" if youngest == oldest else f"{youngest} to {oldest}"
    return WindowOfChick(
        state,
        window,
        (youngest, oldest),
        opens,
        closes,
        shuts,
        f"{days} days old; {said} (day {window.first_day} to {window.last_day}: "
        f"{window.source}).",
    )


def window_of_bird(flock: Flock, bird: Bird, today: dt.date) -> WindowOfChick:
    """Where a bird of the flock stands, by the keeper's own days where set."""
    window = ringing_window(bird.species, flock.settings.own_windows)
    return window_of(window, bird, today)


def _age(hatched: PartialDate, today: dt.date) -> tuple[int, int]:
    least, most = hatched.days_until(today)
    return max(least, 0), max(most, 0)


def _nearest(ages: Sequence[RingingAge]) -> list[RingingAge]:
    """Those that are as particular as the first; two that differ are both told."""
    return [age for age in ages if age.of == ages[0].of]


def _never_after(last_day: int, ages: Iterable[RingingAge]) -> int:
    limits = [age.never_after_day for age in ages if age.never_after_day is not None]
    return min([math.ceil(last_day * _LATE_SHARE), *limits])


def _said_of(ages: Iterable[RingingAge]) -> tuple[str, ...]:
    """What each source says, as phrases."""
    said = []
    for age in ages:
        if age.first_day is not None and age.last_day is not None:
            days = f"day {age.first_day} to {age.last_day}"
        elif age.first_day is not None:
            days = f"from day {age.first_day}"
        elif age.last_day is not None:
            days = f"until day {age.last_day}"
        else:
            days = f"not after day {age.never_after_day}"
        said.append(f"{days}: {age.source}")
    return tuple(said)
