"""What must hold in a nest: eggs are laid, seen and hatch in that order, in time."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

from ledger.domain.breeding import EggFate
from ledger.domain.event import EventKind
from ledger.domain.finding import Finding, Severity
from ledger.reference import breeding_figures

if TYPE_CHECKING:
    from collections.abc import Iterator

    from ledger.domain.bird import Bird
    from ledger.domain.breeding import Clutch, Egg, Pair
    from ledger.domain.flock import Flock

_SHORTEST = 0.8
_LONGEST = 1.4
"""Shares of the published incubation outside which a date is doubted: a cold spell or
a hen that sits late stretches it. Common practice, no source."""
_FLEDGED_TOO_SOON = 0.7
"""Share of the shortest published time to fledging: common practice, no source."""
_DAYS_AFTER_PARTING = 30
"""A hen may lay so long after the cock is gone: common practice, no source."""
_UNHATCHED = (EggFate.IN_NEST, EggFate.FERTILE)


def check_nest(flock: Flock, clutch: Clutch) -> Iterator[Finding]:
    """Eggs of a clutch: numbers, order of days, and how long they were sat on."""
    pair = flock.pairs.get(clutch.pair or "")
    numbers = [egg.number for egg in clutch.eggs]
    for number in sorted({it for it in numbers if numbers.count(it) > 1}):
        yield Finding(
            Severity.ERROR,
            clutch.id,
            f"Clutch {clutch.id} has more than one egg {number}.",
            "Give each egg a number of its own.",
            "eggs",
        )
    for egg in clutch.eggs:
        yield from _check_order(clutch, egg)
        yield from _check_state(flock, clutch, egg)
        yield from _check_incubation(flock, clutch, egg, pair)
    if pair is not None:
        yield from _check_time_of_pair(clutch, pair)


def _check_order(clutch: Clutch, egg: Egg) -> Iterator[Finding]:
    # That it hatched before it was laid, `check_clutch` tells.
    for day, what in ((egg.candled, "candled"), (egg.ended, str(egg.fate))):
        if day and egg.laid and day.is_before(egg.laid):
            yield Finding(
                Severity.ERROR,
                clutch.id,
                f"Egg {egg.number} of clutch {clutch.id} was {what} {day}, before it "
                f"was laid {egg.laid}.",
                "Correct one of the dates.",
                "eggs",
            )


def _check_state(flock: Flock, clutch: Clutch, egg: Egg) -> Iterator[Finding]:
    called = f"Egg {egg.number} of clutch {clutch.id}"
    if egg.fate in _UNHATCHED and (egg.hatched or egg.chick):
        yield Finding(
            Severity.WARNING,
            clutch.id,
            f"{called} has hatched and is still said to be {egg.fate}.",
            "Say which of the two is true.",
            "eggs",
        )
    chick = flock.birds.get(egg.chick or "")
    if chick and chick.hatched and egg.hatched:
        fewest, most = egg.hatched.days_until(chick.hatched)
        if fewest > 1 or most < -1:
            yield Finding(
                Severity.WARNING,
                clutch.id,
                f"{called} hatched {egg.hatched}, and its chick {chick.title} "
                f"{chick.hatched}.",
                "Correct one of the dates.",
                "eggs",
            )


def _check_incubation(
    flock: Flock, clutch: Clutch, egg: Egg, pair: Pair | None
) -> Iterator[Finding]:
    if egg.laid is None or egg.hatched is None or pair is None:
        return
    hen = flock.birds.get(pair.hen or pair.cock or "")
    days, source = _incubation(hen.species) if hen else ((), "")
    if not days:
        return
    fewest, most = egg.laid.days_until(egg.hatched)
    if most < 0 or (most >= _SHORTEST * min(days) and fewest <= _LONGEST * max(days)):
        return
    published = f"{min(days):g}" + (
        f" to {max(days):g}" if max(days) > min(days) else ""
    )
    yield Finding(
        Severity.WARNING,
        clutch.id,
        f"Egg {egg.number} of clutch {clutch.id} would have hatched "
        f"{_days(fewest, most)} after it was laid; published are {published} "
        f"({source}).",
        "Correct the day it was laid or the day it hatched.",
        "eggs",
    )


@cache
def _incubation(species: str) -> tuple[tuple[float, ...], str]:
    """Published days of incubation, and where the first of them stands."""
    figures = [it for it in breeding_figures(species) if it.incubation_days]
    days = tuple(it.incubation_days or 0.0 for it in figures)
    return days, figures[0].source if figures else ""


def _check_time_of_pair(clutch: Clutch, pair: Pair) -> Iterator[Finding]:
    for egg in clutch.eggs:
        if egg.laid is None:
            continue
        if pair.formed and egg.laid.is_before(pair.formed):
            said = f"before its pair was formed {pair.formed}"
        elif (
            pair.parted and (pair.parted.days_until(egg.laid))[0] > _DAYS_AFTER_PARTING
        ):
            said = f"long after its pair was parted {pair.parted}"
        else:
            continue
        yield Finding(
            Severity.WARNING,
            clutch.id,
            f"Egg {egg.number} of clutch {clutch.id} was laid {egg.laid}, {said}.",
            "Correct one of the dates, or the pair.",
            "eggs",
        )


def check_growing(flock: Flock, bird: Bird) -> Iterator[Finding]:
    """A bird leaves the nest once and feeds itself once, in that order."""
    days = {}
    for kind in (EventKind.FLEDGED, EventKind.WEANED):
        found = [event for event in flock.events_of(bird.id) if event.kind is kind]
        if len(found) > 1:
            yield Finding(
                Severity.WARNING,
                bird.id,
                f"{bird.title} has {kind} {len(found)} times.",
                "Take out what is not so.",
            )
        days[kind] = found[-1].on if found else None
    fledged, weaned = days[EventKind.FLEDGED], days[EventKind.WEANED]
    if fledged and bird.hatched:
        yield from _check_age_at_fledging(bird, bird.hatched.days_until(fledged)[1])
    if fledged and weaned and weaned.is_before(fledged):
        yield Finding(
            Severity.WARNING,
            bird.id,
            f"{bird.title} was weaned {weaned}, before it fledged {fledged}.",
            "Correct one of the dates.",
        )


def _check_age_at_fledging(bird: Bird, oldest: int) -> Iterator[Finding]:
    """No chick leaves the nest at half the published age.

    Args:
        bird: That left it.
        oldest: Its age in days then, at most.
    """
    days, source = _fledging(bird.species)
    if days and 0 <= oldest < _FLEDGED_TOO_SOON * min(days):
        yield Finding(
            Severity.WARNING,
            bird.id,
            f"{bird.title} would have fledged at {oldest} days; published are "
            f"{min(days):g} and more ({source}).",
            "Correct the day it fledged or the day it hatched; a chick that fell out "
            "of the nest is a note.",
        )


@cache
def _fledging(species: str) -> tuple[tuple[float, ...], str]:
    """Published days from hatching to fledging, and where the first stands."""
    figures = [it for it in breeding_figures(species) if it.fledging_days]
    days = tuple(it.fledging_days or 0.0 for it in figures)
    return days, figures[0].source if figures else ""


def _days(fewest: int, most: int) -> str:
    return f"{fewest} days" if fewest == most else f"{fewest} to {most} days"
