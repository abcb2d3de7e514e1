"""When a bird's rings should be looked at, by what speaks for trouble under them.

No interval is published ("regularly", say vets' pages; daily for raptors' feet, Vet
Times of 15 September 2014). The days here are common practice; each reason says
where the risk itself is from. What is found is graded in `leg_findings`.
"""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import dataclass
from functools import lru_cache
from statistics import median
from typing import TYPE_CHECKING

from ledger.care.fit import FIT_SOURCE, Fit, check_fit
from ledger.care.leg_findings import PRACTICE, found, verdict
from ledger.care.sizes import advise_size
from ledger.domain.event import EventKind
from ledger.domain.ring import Leg, RingKind, RingState
from ledger.reference import handbook_weight, longevity

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from ledger.domain.bird import Bird
    from ledger.domain.event import Event
    from ledger.domain.people import FlockSettings
    from ledger.domain.ring import Ring

ROUTINE_DAYS = 365
"""A bird without risk: once a year. Common practice, no source."""
FIRST_LOOK_DAYS = 7
"""After a ring went on: does it sit? Common practice, no source."""
OLD_SHARE = 0.6
"""Of the longest life on file, from which a bird counts as old: common practice."""
HEAVY_SHARE = 0.15
"""Over its own usual weight: obesity is 15 % over the optimum (taiwaiexotic.com)."""
HANDBOOK_SHARE = 0.40
"""Over the handbook's mean: kept birds differ from it by 10 to 40 %, so only more
counts, and only where the bird has no history of its own."""
TIGHT_SHARE = 0.05
"""Below the size for the species: less is how makers differ. Common practice."""
_OWN_WEIGHINGS = 3
_GROWING_DAYS = 365
_NOTES_DAYS = 365
_SORE_YEARS = 365

_SORE = re.compile(
    r"\b(sore|swollen|swelling|swell|red|raw|wound|bleed\w*|blood|dead skin|scab\w*|"
    r"cut in|tight)\b",
    re.IGNORECASE,
)
_DENIED = re.compile(r"\b(no|not|never|without)\b[^.;,]*$", re.IGNORECASE)
_PERCH = re.compile(
    r"\bhocks?\b|\blame\w*\b|\blimp\w*\b|\bbumblefoot\b|\bsoles?\b|\bfoot to foot\b|"
    r"\bon one (?:foot|leg)\b|"
    r"\b(?:smooth|hard|dowel|thin|thick|narrow|sand\w*|concrete|plastic) perch",
    re.IGNORECASE,
)
_BY_VET = {EventKind.EXAMINED, EventKind.TREATED}
_WRITTEN = {EventKind.NOTE, *_BY_VET}


@dataclass(frozen=True, slots=True)
class Risk:
    """One reason to look more often."""

    said: str
    """As a phrase."""
    source: str
    days: int
    """Between two looks, because of it."""


@dataclass(frozen=True, slots=True)
class RingCheck:
    """When the rings of a bird are due for a look, and why."""

    due: dt.date
    days: int
    """Between two looks."""
    last: dt.date | None
    """The last look; None where none is on file."""
    risks: tuple[Risk, ...]

    @property
    def why(self) -> str:
        """The reasons in words, the most pressing first."""
        if not self.risks:
            return f"no risk is known; a look once a year ({PRACTICE})"
        return "; ".join(risk.said for risk in self.risks)

    @property
    def source(self) -> str:
        """Where each risk is from; the days are practice."""
        told = dict.fromkeys(r.source for r in self.risks if r.source != PRACTICE)
        return "; ".join([*told, f"the days: {PRACTICE}"])


# A flock is of few species, and each name is looked up in several tables.
_record = lru_cache(maxsize=512)(longevity)
_handbook = lru_cache(maxsize=512)(handbook_weight)
_size = lru_cache(maxsize=512)(advise_size)


def worn_rings(rings: Sequence[Ring]) -> list[Ring]:
    """Those a bird wears now."""
    return [ring for ring in rings if ring.state is RingState.ON_BIRD]


def ring_check(
    bird: Bird,
    rings: Sequence[Ring],
    events: Sequence[Event],
    settings: FlockSettings,
    today: dt.date,
) -> RingCheck | None:
    """When a bird's rings are due for a look.

    Args:
        bird: One that lives here.
        rings: Those it wears or wore.
        events: What happened to it, newest first.
        settings: The flock's; the keeper's own sizes count.
        today: The day in question.

    Returns:
        None for a bird that wears no ring.
    """
    worn = worn_rings(rings)
    if not worn:
        return None
    risks = sorted(
        (
            *_of_age(bird, today),
            *_of_weight(bird, events),
            *_of_sores(events, today),
            *_of_notes(events, today),
            *_of_rings(bird, worn, settings),
            *_of_fit(worn, events),
        ),
        key=lambda risk: risk.days,
    )
    days = min([ROUTINE_DAYS, *(risk.days for risk in risks)])
    looked = next((e for e in events if e.kind in _LOOKED), None)
    last = looked.on.latest if looked else None
    put_on = max((r.put_on.latest for r in worn if r.put_on), default=None)
    if looked is not None and last is not None and (put_on is None or last >= put_on):
        grade = found(looked.finding)
        again = verdict(grade).look_again_days if grade else None
        due = last + dt.timedelta(days=days if again is None else min(days, again))
    elif put_on is not None and (today - put_on).days <= _GROWING_DAYS:
        due = put_on + dt.timedelta(days=FIRST_LOOK_DAYS)
    else:
        since = last or put_on or (bird.hatched.latest if bird.hatched else None)
        # Nobody ever looked, and nobody knows since when it could have been done.
        due = since + dt.timedelta(days=days) if since else today
    return RingCheck(due, days, last, tuple(risks))


_LOOKED = {EventKind.RING_CHECKED, EventKind.FIT_CHECKED}


def _of_age(bird: Bird, today: dt.date) -> Iterator[Risk]:
    if bird.hatched is None:
        return
    least, most = bird.hatched.days_until(today)
    if most < _GROWING_DAYS:
        yield Risk("still growing", PRACTICE, 60)
        return
    record = _record(bird.species)
    if record is not None and least / 365.25 >= OLD_SHARE * record.longest_years:
        yield Risk(
            f"old: {int(least / 365.25)} years, the longest life on file is "
            f"{record.longest_years:g}",
            record.source,
            90,
        )


def _of_weight(bird: Bird, events: Sequence[Event]) -> Iterator[Risk]:
    grown_from = bird.hatched.earliest if bird.hatched else None
    weights = [
        event.weight_g
        for event in events
        if event.weight_g is not None
        and (
            grown_from is None
            or (event.on.earliest - grown_from).days >= _GROWING_DAYS // 2
        )
    ]
    if not weights:
        return
    last, before = weights[0], weights[1:13]
    if len(before) >= _OWN_WEIGHINGS:
        usual = median(before)
        if last >= (1 + HEAVY_SHARE) * usual:
            yield Risk(
                f"heavy: {last:g} g, {last / usual - 1:.0%} over its own usual "
                f"{usual:g} g",
                "obesity is 15 % over the optimum (taiwaiexotic.com)",
                60,
            )
        return
    known = _handbook(bird.species)
    if known is not None and last >= (1 + HANDBOOK_SHARE) * known.mean_g:
        yield Risk(
            f"heavy: {last:g} g, {last / known.mean_g - 1:.0%} over the handbook's "
            f"mean of {known.mean_g:g} g",
            known.source,
            60,
        )


def _of_sores(events: Sequence[Event], today: dt.date) -> Iterator[Risk]:
    """The last trouble under a ring, graded or in words."""
    for event in events:
        if event.kind is not EventKind.RING_CHECKED or event.on.is_after(today):
            continue
        grade = found(event.finding)
        told = "" if grade and grade.is_well else grade.in_words if grade else ""
        if not grade:
            told = _trouble_in(event.text)
        if told:
            lately = (today - event.on.latest).days <= _SORE_YEARS
            yield Risk(
                f"trouble under a ring before ({event.on}: {told})",
                PRACTICE,
                30 if lately else 120,
            )
            return


def _of_notes(events: Sequence[Event], today: dt.date) -> Iterator[Risk]:
    """What was written of feet, perches and resting on the hocks within a year."""
    for event in events:
        if (today - event.on.latest).days > _NOTES_DAYS:
            return
        grade = found(event.finding) if event.finding else None
        if grade and grade.foot:
            yield Risk(f"bumblefoot grade {grade.foot} of 7 ({event.on})", PRACTICE, 30)
            return
        if event.kind in _WRITTEN and _PERCH.search(event.text):
            yield Risk(f"noted {event.on}: {_short(event.text)}", PRACTICE, 60)
            return


def _of_rings(
    bird: Bird, worn: Sequence[Ring], settings: FlockSettings
) -> Iterator[Risk]:
    if sum(ring.trial for ring in worn) > 1:
        yield Risk("two sizes on trial", PRACTICE, 30)
    legs = [ring.leg for ring in worn if ring.leg is not Leg.UNKNOWN]
    if len(legs) > len(set(legs)):
        yield Risk(
            "two rings on one leg",
            "most hurt birds wore two on one leg (Splittgerber and Clarke, Journal of "
            "Field Ornithology 2006)",
            60,
        )
    advice = _size(bird.species, bird.sex, settings)
    for ring in worn:
        if ring.kind in (RingKind.SPLIT, RingKind.QUARANTINE):
            yield Risk(
                f"a {ring.kind} ring",
                "toes caught in half-open rings (PLOS ONE 2012 e51891)",
                180,
            )
        size, least = ring.size_mm, advice.smallest_mm
        if size is None or least is None or advice.doubt:
            continue
        if size < (1 - TIGHT_SHARE) * least and not ring.trial:
            yield Risk(
                f"tight: {size:g} mm, {advice.smallest_mm:g} mm is the least",
                advice.source,
                60,
            )


def _of_fit(worn: Sequence[Ring], events: Sequence[Event]) -> Iterator[Risk]:
    """The leg as it was measured last, against each ring by the published rule."""
    measured = (found(e.finding) for e in events if e.finding and e.kind in _LOOKED)
    leg_mm = next((what.leg_mm for what in measured if what and what.leg_mm), None)
    for ring in worn:
        if leg_mm is None or ring.size_mm is None:
            continue
        fit = check_fit(leg_mm, ring.size_mm)
        if fit.fit is not Fit.RIGHT:
            yield Risk(
                f"{fit.fit}: the leg of {leg_mm:g} mm fills {fit.filled:.0%} of the "
                f"ring of {ring.size_mm:g} mm",
                FIT_SOURCE,
                60,
            )


def _trouble_in(text: str) -> str:
    """What a note says of trouble; "" where it says that there is none."""
    for word in _SORE.finditer(text):
        if not _DENIED.search(text[: word.start()]):
            return _short(text)
    return ""


def _short(text: str) -> str:
    words = " ".join(text.split())
    return words if len(words) <= 70 else words[:67].rsplit(" ", 1)[0] + " ..."
