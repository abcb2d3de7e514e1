"""When eggs are to be candled, when they hatch, and when young leave the nest.

The days are published (`reference/breeding.csv`); what is common practice only is
marked so. An egg does not count days before the hen sits, and many parrots sit only
from the second or third egg: hence the days that are allowed on top.
"""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

from ledger.reference import breeding_figures

if TYPE_CHECKING:
    from ledger.domain.breeding import Clutch, Egg
    from ledger.domain.partial_date import PartialDate

CANDLE_FROM_DAY = 7
CANDLE_UNTIL_DAY = 10
"""Days after laying: veins can be seen from about a week on. Common practice, no
source."""
CANDLE_AGAIN_AFTER = 4
"""Days after a candling that showed nothing sure. Common practice, no source."""
EARLY_DAYS = 1
"""How much sooner than the published figure an egg may hatch; the figures are means,
and how far single eggs lie from them is common practice, no source."""
LATE_DAYS = 3
"""How much later: the hen may not have sat at once. Common practice, no source."""
DAYS_BETWEEN_EGGS = (1, 3)
"""Fewest and most, where only the first egg's day is known. Common practice, no
source; most parrots lay every second day."""


@dataclass(frozen=True, slots=True)
class Span:
    """What the sources give for a species, in days."""

    fewest: float
    most: float
    sources: tuple[str, ...]

    def __str__(self) -> str:
        if self.fewest == self.most:
            return f"{self.fewest:g} days"
        return f"{self.fewest:g} to {self.most:g} days"


@dataclass(frozen=True, slots=True)
class HatchForecast:
    """The days between which an egg is expected to hatch."""

    earliest: dt.date
    latest: dt.date
    incubation: Span
    counted_from: str
    """"the day it was laid", or the first egg's."""

    @property
    def said(self) -> str:
        """Where it is from, as a sentence."""
        return (
            f"{self.incubation} from {self.counted_from}, {EARLY_DAYS} less to "
            f"{LATE_DAYS} more ({'; '.join(self.incubation.sources)})."
        )


@cache
def incubation(species: str) -> Span | None:
    """How long eggs of a species are sat on; None where no source says."""
    return _span([(it.incubation_days, it.source) for it in breeding_figures(species)])


@cache
def fledging(species: str) -> Span | None:
    """At what age its young leave the nest; None where no source says."""
    return _span([(it.fledging_days, it.source) for it in breeding_figures(species)])


@cache
def feeding_after_fledging(species: str) -> Span | None:
    """How long young are fed after they left the nest; None where no source says."""
    return _span(
        [
            (months and months * 30.4, it.source)
            for it in breeding_figures(species)
            for months in (it.fed_after_fledging_months,)
        ]
    )


def hatch_forecast(species: str, clutch: Clutch, egg: Egg) -> HatchForecast | None:
    """When an egg is expected to hatch.

    Args:
        species: Of its parents; scientific, English or trade name.
        clutch: The clutch it is of.
        egg: The egg; counted from the day it was laid, else from the first egg's.

    Returns:
        None where no source gives the incubation, or no day of laying is known.
    """
    span = incubation(species)
    laid = laid_between(clutch, egg)
    if span is None or laid is None:
        return None
    first, last = laid
    return HatchForecast(
        first + dt.timedelta(days=math.floor(span.fewest) - EARLY_DAYS),
        last + dt.timedelta(days=math.ceil(span.most) + LATE_DAYS),
        span,
        "the day it was laid" if egg.laid else "the first egg's day",
    )


def candling_days(clutch: Clutch, egg: Egg) -> tuple[dt.date, dt.date] | None:
    """From when until when an egg is best candled; None where no day is known."""
    laid = laid_between(clutch, egg)
    if laid is None:
        return None
    if egg.candled is not None:
        again = egg.candled.latest + dt.timedelta(days=CANDLE_AGAIN_AFTER)
        return again, again + dt.timedelta(days=CANDLE_AGAIN_AFTER)
    return (
        laid[1] + dt.timedelta(days=CANDLE_FROM_DAY),
        laid[1] + dt.timedelta(days=CANDLE_UNTIL_DAY),
    )


def laid_between(clutch: Clutch, egg: Egg) -> tuple[dt.date, dt.date] | None:
    """First and last day on which the egg can have been laid, as far as is known."""
    if egg.laid is not None:
        return egg.laid.earliest, egg.laid.latest
    first: PartialDate | None = clutch.laid
    if first is None:
        return None
    fewest, most = (days * (egg.number - 1) for days in DAYS_BETWEEN_EGGS)
    return (
        first.earliest + dt.timedelta(days=fewest),
        first.latest + dt.timedelta(days=most),
    )


def _span(figures: list[tuple[float | None, str]]) -> Span | None:
    known = [(days, source) for days, source in figures if days]
    if not known:
        return None
    return Span(
        min(days for days, _ in known),
        max(days for days, _ in known),
        tuple(dict.fromkeys(source for _, source in known)),
    )
