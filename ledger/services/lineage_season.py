"""The season's pairs for each species: as much variety as the keeper's limits allow."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from ledger.domain.bird import Sex
from ledger.lineage import season as maths
from ledger.lineage.season_around import around, rough_cost
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
from ledger.services.lineage_plan import (
    Alternative,
    Comparison,
    PlannedPair,
    SpeciesSeason,
)

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Callable

    from numpy.typing import NDArray

    from ledger.domain.bird import Bird
    from ledger.domain.flock import Flock
    from ledger.lineage.doubt import Expected
    from ledger.lineage.ways import Kinships
    from ledger.services.lineage import Lineage

    _Asked = tuple[dt.date, Limits, int | None, int, bool]

_LOOKED_AT = 12
"""Other pairs whose cost is found where not all can be counted out."""


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
        _planned(lineage, key, asked, step)
        for key in lineage.living
        if not wanted or key == wanted
    ]
    return tuple(sorted((it.told for it in plans if it), key=lambda it: it.species))


def alternatives_to(
    flock: Flock,
    today: dt.date,
    pair: PlannedPair,
    limits: Limits | None = None,
    *,
    pairs: int | None = None,
    young: int = 2,
    paired_too: bool = False,
    step: Callable[[], None] = lambda: None,
) -> tuple[Alternative, ...]:
    """What it costs to give the cock or the hen of a planned pair another mate.

    Args:
        flock: The flock.
        today: As for the plan, like all that follows.
        pair: Of the plan.
        limits: The keeper's.
        pairs: At most so many.
        young: Expected of each pair.
        paired_too: Birds that have a mate may get another one.
        step: Called between steps; what it raises ends the search.

    Returns:
        The least costly first; none for a pair that is not of this plan.
    """
    lineage = lineage_of(flock)
    asked = (today, limits or Limits.of(flock), pairs, young, paired_too)
    key = species_key(flock.birds[pair.cock].species)
    planned = _planned(lineage, key, asked, step)
    if planned is None or pair not in planned.told.pairs:
        return ()
    if planned.is_counted_out:
        return tuple(
            it
            for it in planned.told.alternatives
            if it.cock == pair.cock or it.hen == pair.hen
        )
    cock = next(i for i, it in enumerate(planned.cocks) if it.id == pair.cock)
    hen = next(i for i, it in enumerate(planned.hens) if it.id == pair.hen)
    cost = rough_cost(planned.question, planned.best)
    others = np.full(cost.shape, np.inf)
    others[cock], others[:, hen] = cost[cock], cost[:, hen]
    asked_about = ("alternatives", key, *asked, pair.cock, pair.hen)
    return lineage.once(asked_about, lambda: tuple(planned.least_of(others, step)))


@dataclass(frozen=True, eq=False)
class _Planned:
    """A plan, and what it was made from."""

    told: SpeciesSeason
    question: Question
    best: maths.Season
    cocks: list[Bird]
    hens: list[Bird]

    @property
    def is_counted_out(self) -> bool:
        """Every other pair was looked at."""
        return self.question.is_counted_out(len(self.best.pairs))

    def least_of(
        self, cost: NDArray[np.float64], step: Callable[[], None]
    ) -> list[Alternative]:
        """The pairs that seem to cost least, with what they do cost."""
        return _alternatives(
            self.question, self.best, self.cocks, self.hens, cost, step
        )


def _planned(
    lineage: Lineage, species: str, asked: _Asked, step: Callable[[], None]
) -> _Planned | None:
    return lineage.once(
        ("season", species, *asked), partial(_plan, lineage, species, *asked, step)
    )


def _plan(
    lineage: Lineage,
    species: str,
    today: dt.date,
    limits: Limits,
    pairs: int | None,
    young: int,
    paired_too: bool,
    step: Callable[[], None],
) -> _Planned | None:
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
    places = lineage.table.places(bird.id for bird in (*cocks, *hens))
    kin = lineage.kinships(places, places)
    question = _question(kin, len(cocks), limits, young)
    step()
    best = maths.plan(question, pairs, step)
    count = len(best.pairs)
    rivals = (
        ("greedy: least mean kinship first", maths.greedy(question, count)),
        ("least F only", maths.least_inbred(question, count)),
    )
    paired = {bird for pair in best.pairs for bird in _ids(pair, cocks, hens)}
    told = SpeciesSeason(
        birds[0].species,
        tuple(
            _pair(
                lineage, cocks[cock], hens[hen], kin.of(cock, len(cocks) + hen), today
            )
            for cock, hen in best.pairs
        ),
        best.mean_kinship,
        best.mean_inbreeding,
        best.is_best,
        best.bound,
        tuple(
            Comparison(way, it.mean_kinship, it.mean_inbreeding) for way, it in rivals
        ),
        tuple(
            _alternatives(question, best, cocks, hens, rough_cost(question, best), step)
        ),
        tuple(bird.id for bird in fit if bird.id not in paired),
        tuple(left_out),
        lineage.said_about(*(bird.id for bird in (*cocks, *hens))),
    )
    return _Planned(told, question, best, cocks, hens)


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


def _question(kin: Kinships, cocks: int, limits: Limits, young: int) -> Question:
    """What is asked of the maths: kinship of all with all, cocks first."""
    mean, c = kin.mean, cocks
    # A doubt about a parent: variety by the mean, the limit held to the worst case.
    allowed = kin.most[:c, c:] <= limits.highest_inbreeding + 1e-12
    return Question(mean[:c, :c], mean[c:, c:], mean[:c, c:], allowed, young)


def _ids(pair: tuple[int, int], cocks: list[Bird], hens: list[Bird]) -> tuple[str, str]:
    return cocks[pair[0]].id, hens[pair[1]].id


def _pair(
    lineage: Lineage, cock: Bird, hen: Bird, f: Expected, today: dt.date
) -> PlannedPair:
    # Without kinship there is nothing to name, and looking for it takes long.
    words = lineage.relation(cock.id, hen.id).words("cock") if f.most else ""
    warnings = [*age_warnings(cock, today), *age_warnings(hen, today)]
    warnings += [
        f"In both families: {flag}." for flag in shared_flags(lineage.flock, cock, hen)
    ]
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
    cost: NDArray[np.float64],
    step: Callable[[], None],
) -> list[Alternative]:
    """What the best plan with each other pair costs more; the least first.

    Where that cannot be counted out, only those that seem to cost least.
    """
    found: list[Alternative] = []
    is_counted_out = question.is_counted_out(len(best.pairs))
    # Pairs that cost the same in kinship: the least inbred first.
    order = np.lexsort((question.between.ravel(), cost.round(12).ravel()))
    order = order[: np.isfinite(cost).sum()]
    for place in order if is_counted_out else order[:_LOOKED_AT]:
        step()
        cock, hen = (int(it) for it in np.unravel_index(place, cost.shape))
        other = around(question, best, cock, hen)
        if other is not None:
            found.append(
                Alternative(
                    *_ids((cock, hen), cocks, hens),
                    other.mean_kinship - best.mean_kinship,
                    other.mean_inbreeding - best.mean_inbreeding,
                    is_counted_out,
                )
            )
    found.sort(key=lambda it: (round(it.mean_kinship_more, 12), it.inbreeding_more))
    return found
