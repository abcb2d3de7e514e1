"""The season's pairs for each species: as much variety as the keeper's limits allow."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from ledger.domain.bird import Sex
from ledger.lineage import season as maths
from ledger.lineage.season_question import Question
from ledger.services.lineage import lineage_of, species_key
from ledger.services.lineage_limits import (
    Limits,
    age_warnings,
    is_grown,
    open_pair,
    partner_of,
    shared_flags,
)

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Callable

    from ledger.domain.bird import Bird
    from ledger.domain.flock import Flock
    from ledger.lineage.doubt import Expected
    from ledger.services.lineage import Lineage

_ALTERNATIVES = 5


@dataclass(frozen=True)
class PlannedPair:
    """One pair of a plan."""

    cock: str
    hen: str
    """Bird ids."""
    inbreeding: float
    """Expected F of the young."""
    relation: str
    """What the cock is to the hen; "" where no kinship is known."""
    warnings: tuple[str, ...]
    """Age, and health flags in both families."""
    in_doubt: Expected | None = None
    """Where a parent is in doubt: mean, least and most F of the young."""


@dataclass(frozen=True)
class Alternative:
    """Another pair instead, and the best plan around it."""

    cock: str
    hen: str
    mean_kinship_more: float
    """How much higher the mean kinship of all young would be."""
    inbreeding_more: float
    """How much higher their mean F would be; may be less than 0."""


@dataclass(frozen=True)
class Comparison:
    """What a simpler way to choose as many pairs comes to."""

    way: str
    mean_kinship: float
    mean_inbreeding: float


@dataclass(frozen=True)
class SpeciesSeason:
    """The plan for one species."""

    species: str
    pairs: tuple[PlannedPair, ...]
    mean_kinship: float
    """Of the next generation: all young of the plan, each with itself included."""
    mean_inbreeding: float
    is_best: bool
    """It is proved that no set of as many pairs has a lower mean kinship."""
    bound: float
    """No set of as many pairs has a lower mean kinship than this."""
    others: tuple[Comparison, ...]
    alternatives: tuple[Alternative, ...]
    """The least costly other pairs."""
    single: tuple[str, ...]
    """Candidates that stay without a mate."""
    left_out: tuple[str, ...]
    """Not grown or not free, and why."""
    said: tuple[str, ...] = ()
    """Doubts about parents and kin of founders that bear on it, in sentences."""


def season_plan(
    flock: Flock,
    today: dt.date,
    limits: Limits | None = None,
    *,
    species: str = "",
    pairs: int | None = None,
    young: int = 2,
    paired_too: bool = False,
    step: Callable[[], None] = lambda: None,
) -> tuple[SpeciesSeason, ...]:
    """The season's pairs, species by species.

    Args:
        flock: The flock.
        today: For ages.
        limits: The keeper's.
        species: Only this one; "" for all.
        pairs: At most so many of each species; None: as many as can be.
        young: Expected of each pair.
        paired_too: Birds that have a mate may get another one.
        step: Called between steps; what it raises ends the planning.

    Raises:
        LineageError: the parents of the flock contradict each other.
    """
    lineage = lineage_of(flock)
    wanted = species_key(species) if species else ""
    asked = (today, limits or Limits.of(flock), pairs, young, paired_too)
    plans = [
        lineage.once(
            ("season", key, *asked), partial(_plan, lineage, key, *asked, step)
        )
        for key in lineage.living
        if not wanted or key == wanted
    ]
    return tuple(sorted((it for it in plans if it), key=lambda it: it.species))


def _plan(
    lineage: Lineage,
    species: str,
    today: dt.date,
    limits: Limits,
    pairs: int | None,
    young: int,
    paired_too: bool,
    step: Callable[[], None],
) -> SpeciesSeason | None:
    flock, ids = lineage.flock, lineage.table.ids
    birds = [flock.birds[ids[place]] for place in lineage.living[species]]
    left_out: list[str] = []
    fit: list[Bird] = []
    for bird in birds:
        why = _not_fit(flock, bird, today, limits, paired_too=paired_too)
        if why:
            left_out.append(why)
        else:
            fit.append(bird)
    cocks = [bird for bird in fit if bird.sex is Sex.COCK]
    hens = [bird for bird in fit if bird.sex is Sex.HEN]
    if not cocks or not hens:
        return None
    question = _question(lineage, cocks, hens, limits, young)
    step()
    best = maths.plan(question, pairs, step)
    count = len(best.pairs)
    rivals = (
        ("greedy: least mean kinship first", maths.greedy(question, count)),
        ("least F only", maths.least_inbred(question, count)),
    )
    paired = {bird for pair in best.pairs for bird in _ids(pair, cocks, hens)}
    return SpeciesSeason(
        birds[0].species,
        tuple(
            _pair(lineage, cocks[pair[0]], hens[pair[1]], today) for pair in best.pairs
        ),
        best.mean_kinship,
        best.mean_inbreeding,
        best.is_best,
        best.bound,
        tuple(
            Comparison(way, it.mean_kinship, it.mean_inbreeding) for way, it in rivals
        ),
        tuple(_alternatives(question, best, cocks, hens, step)),
        tuple(bird.id for bird in fit if bird.id not in paired),
        tuple(left_out),
        lineage.said_about(*(bird.id for bird in (*cocks, *hens))),
    )


def _not_fit(
    flock: Flock, bird: Bird, today: dt.date, limits: Limits, *, paired_too: bool
) -> str:
    if bird.sex is Sex.UNKNOWN:
        return f"{bird.title}: its sex is not known."
    if not is_grown(bird, today, limits):
        return f"{bird.title} is not grown: hatched {bird.hatched}."
    if not paired_too and open_pair(flock, bird) is not None:
        partner = partner_of(flock, bird)
        return f"{bird.title} is paired with {partner.title if partner else 'one'}."
    return ""


def _question(
    lineage: Lineage,
    cocks: list[Bird],
    hens: list[Bird],
    limits: Limits,
    young: int,
) -> Question:
    table = lineage.table
    places = table.places(bird.id for bird in (*cocks, *hens))
    kin = lineage.kinships(places, places)
    mean, c = kin.mean, len(cocks)
    # A doubt about a parent: variety by the mean, the limit held to the worst case.
    allowed = kin.most[:c, c:] <= limits.highest_inbreeding + 1e-12
    return Question(mean[:c, :c], mean[c:, c:], mean[:c, c:], allowed, young)


def _ids(pair: tuple[int, int], cocks: list[Bird], hens: list[Bird]) -> tuple[str, str]:
    return cocks[pair[0]].id, hens[pair[1]].id


def _pair(lineage: Lineage, cock: Bird, hen: Bird, today: dt.date) -> PlannedPair:
    words = lineage.relation(cock.id, hen.id).words("cock")
    warnings = [*age_warnings(cock, today), *age_warnings(hen, today)]
    warnings += [
        f"In both families: {flag}." for flag in shared_flags(lineage.flock, cock, hen)
    ]
    f = lineage.kinship(cock.id, hen.id)
    return PlannedPair(
        cock.id,
        hen.id,
        f.mean,
        words,
        tuple(warnings),
        None if f.is_certain else f,
    )


def _alternatives(
    question: Question,
    best: maths.Season,
    cocks: list[Bird],
    hens: list[Bird],
    step: Callable[[], None],
) -> list[Alternative]:
    """What the best plan with each other pair costs more; the least first."""
    found: list[Alternative] = []
    if not question.is_counted_out(len(best.pairs)):
        return found
    for cock, hen in zip(*np.nonzero(question.allowed), strict=True):
        pair = (int(cock), int(hen))
        if pair in best.pairs or not best.pairs:
            continue
        step()
        other = maths.with_pair(question, *pair, len(best.pairs))
        if other is not None:
            found.append(
                Alternative(
                    *_ids(pair, cocks, hens),
                    other.mean_kinship - best.mean_kinship,
                    other.mean_inbreeding - best.mean_inbreeding,
                )
            )
    found.sort(key=lambda it: (round(it.mean_kinship_more, 12), it.inbreeding_more))
    return found[:_ALTERNATIVES]
