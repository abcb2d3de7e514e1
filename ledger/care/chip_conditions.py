"""What must be so before a bird is chipped, and which rule says it.

A needle and a chip of 8 to 12 mm are nothing to a cockatoo and much to a cockatiel,
so rules set a least weight. A chick that is still fed, or has not flown yet, waits.
An avian vet may know better of one bird; then it is written down why.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from ledger.domain.event import EventKind
from ledger.reference.breeding import breeding_figures
from ledger.reference.weights import handbook_weight

if TYPE_CHECKING:
    from ledger.domain.bird import Bird
    from ledger.domain.event import Event
    from ledger.domain.flock import Flock
    from ledger.domain.partial_date import PartialDate

_DAYS_OF_A_MONTH = 30.4
_FED_AFTER_FLEDGING_DAYS = 60
"""Where no table says how long young are fed after they left the nest. Common
practice, no source."""
_GROWN_WITHOUT_FIGURES_DAYS = 365
"""From this age a bird of which no table knows anything is taken as weaned. Common
practice, no source."""


@dataclass(frozen=True, slots=True)
class ChipRule:
    """A rule on chips that a keeper can hold to."""

    key: str
    """As a removal keeps it."""
    says: str
    """In short, for choosing it."""
    least_g: float | None
    """Below this weight no chip; None: it names no weight."""
    source: str


CHIP_RULES: tuple[ChipRule, ...] = (
    ChipRule(
        "BArtSchV",
        "Germany: not under 200 g",
        200.0,
        "BArtSchV s.13(1) sentence 3",
    ),
    ChipRule(
        "150 g",
        "not under 150 g",
        150.0,
        "a bird vet's practice page, Melbourne: left chest, birds over 150 g",
    ),
    ChipRule(
        "vet",
        "no weight set: the vet decides",
        None,
        "common practice, no source",
    ),
)
"""The strictest first: it holds unless another is chosen."""


@dataclass(frozen=True, slots=True)
class Unmet:
    """One condition that is not met."""

    message: str
    """Why no chip, as a sentence."""
    remedy: str
    source: str


def chip_rule(key: str) -> ChipRule:
    """The rule with this key; the strictest for an unknown one."""
    return next((rule for rule in CHIP_RULES if rule.key == key), CHIP_RULES[0])


def unmet_conditions(
    flock: Flock,
    bird: Bird,
    on: PartialDate,
    weight_g: float | None,
    rule: ChipRule,
) -> tuple[Unmet, ...]:
    """What speaks against chipping this bird on this day.

    Args:
        flock: Knows its weaning and first flight.
        bird: The bird.
        on: When the chip is put in.
        weight_g: Its weight then; None: not weighed.
        rule: Held to.

    Returns:
        Nothing when it may be chipped.
    """
    found = [
        _too_light(bird, weight_g, rule),
        not_weaned(flock, bird, on),
    ]
    return tuple(each for each in found if each is not None)


def _too_light(bird: Bird, weight_g: float | None, rule: ChipRule) -> Unmet | None:
    if rule.least_g is None:
        return None
    if weight_g is None:
        mean = handbook_weight(bird.species)
        usual = (
            f" Its species weighs {mean.mean_g:g} g in the handbook ({mean.source})."
            if mean
            else ""
        )
        return Unmet(
            f"{bird.title} was not weighed, and the rule chosen allows no chip under "
            f"{rule.least_g:g} g.{usual}",
            "Weigh it on the same day.",
            rule.source,
        )
    if weight_g < rule.least_g:
        return Unmet(
            f"{bird.title} weighs {weight_g:g} g; the rule chosen allows no chip under "
            f"{rule.least_g:g} g.",
            "Give it a ring instead.",
            rule.source,
        )
    return None


def not_weaned(flock: Flock, bird: Bird, on: PartialDate) -> Unmet | None:
    """Not flown or not weaned on that day, by what was entered or else by age."""
    if _happened(flock, bird, EventKind.WEANED, on):
        return None
    flown = _happened(flock, bird, EventKind.FLEDGED, on)
    if bird.hatched is None:
        return None  # an old import or a rescue: grown when it came
    least, _ = bird.hatched.days_until(on)
    flies, fed, source = _figures(bird.species)
    if flies is None:
        if least >= _GROWN_WITHOUT_FIGURES_DAYS:
            return None
        return Unmet(
            f"{bird.title} is at least {least} days old, and nothing says that it is "
            "weaned; no table lists its species.",
            "Enter that it flew and that it is weaned, once it is.",
            source,
        )
    if not flown and least < flies:
        return Unmet(
            f"{bird.title} has not flown yet: it is at least {least} days old, and its "
            f"kind leaves the nest after {flies:g}.",
            "Wait until it flies and feeds itself, and enter both.",
            source,
        )
    if least < flies + fed:
        return Unmet(
            f"{bird.title} is not weaned: it is at least {least} days old, and its "
            f"kind is fed until {flies + fed:.0f}.",
            "Wait until it feeds itself; if it does, enter that it is weaned.",
            source,
        )
    return None


def _happened(flock: Flock, bird: Bird, kind: EventKind, on: PartialDate) -> bool:
    def counts(event: Event) -> bool:
        return event.kind is kind and not event.on.is_after(on)

    return any(counts(event) for event in flock.events_of(bird.id))


def _figures(species: str) -> tuple[float | None, float, str]:
    """Days to the first flight and fed after it, the longest printed; the source."""
    figures = breeding_figures(species)
    flights = [f for f in figures if f.fledging_days is not None]
    if not flights:
        return None, 0.0, "common practice, no source"
    slowest = max(flights, key=lambda f: f.fledging_days or 0.0)
    fed = [
        f.fed_after_fledging_months * _DAYS_OF_A_MONTH
        for f in figures
        if f.fed_after_fledging_months is not None
    ]
    source = slowest.source
    if not fed:
        source += "; fed two months more: common practice, no source"
    return slowest.fledging_days, max(fed, default=_FED_AFTER_FLEDGING_DAYS), source
