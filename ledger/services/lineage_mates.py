"""Whom to pair a bird with: mates ranked, with what to be warned of."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from ledger.domain.bird import Sex, Status
from ledger.errors import RuleError
from ledger.lineage.doubt import Expected
from ledger.lineage.relationship import Relationship
from ledger.services.ledger import bird_of
from ledger.services.lineage import lineage_of
from ledger.services.lineage_limits import (
    Limits,
    is_grown,
    partner_of,
    shared_flags,
    warnings_of,
    why_not,
)

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Callable, Iterator

    from ledger.domain.bird import Bird
    from ledger.domain.flock import Flock
    from ledger.services.lineage import Lineage


@dataclass(frozen=True)
class Mate:
    """One bird that could be the mate."""

    bird: str
    """Bird id."""
    name: str
    inbreeding: float
    """Expected F of the young: the kinship of the two."""
    diversity_change: float
    """Of the living birds of the species, once one young of the two is added."""
    mean_kinship: float
    """Of the mate with the living birds of the species."""
    relation: str
    """What the mate is to the bird; "" where no kinship is known."""
    common_ancestors: tuple[str, ...]
    over_limit: tuple[str, ...]
    """Why this pair needs a reason; empty where it does not."""
    warnings: tuple[str, ...]
    """Kin, health of both families, age, proof of who it is."""
    in_doubt: Expected | None = None
    """Where a parent is in doubt: mean, least and most F of the young."""


@dataclass(frozen=True)
class Mates:
    """A bird and its mates, the best first."""

    bird: str
    name: str
    notes: tuple[str, ...]
    """About the bird itself: that it is paired already, is young, is old."""
    mates: tuple[Mate, ...]
    left_out: tuple[str, ...]
    """Of the right sex and species, yet not ranked, and why."""
    gene_diversity: float
    """Of the living birds of its species as they are."""
    said: tuple[str, ...] = ()
    """Doubts and kin of founders that bear on the bird or its mates."""


def mates_of(
    flock: Flock,
    bird_id: str,
    today: dt.date,
    limits: Limits | None = None,
    *,
    paired_too: bool = False,
    step: Callable[[], None] = lambda: None,
) -> Mates:
    """Living, free, grown birds of the other sex and the same species, ranked.

    Pairs within the limits come first; among them those that lift the gene
    diversity of the living birds most, then those with the least F.

    Args:
        flock: The flock.
        bird_id: The bird that seeks a mate.
        today: For ages.
        limits: None: those the keeper entered.
        paired_too: Also birds that have a mate.
        step: Called between steps; what it raises ends the ranking.

    Raises:
        NotFoundError: there is no such bird.
        RuleError: it is dead, gone, or of unknown sex.
        LineageError: the parents of the flock contradict each other.
    """
    bird = bird_of(flock, bird_id)
    limits = limits or Limits.of(flock)
    refuse_unfit(bird)
    lineage = lineage_of(flock)
    asked = ("mates", bird_id, today, limits, paired_too)
    return lineage.once(
        asked, lambda: _mates(lineage, bird, today, limits, paired_too, step)
    )


def _mates(
    lineage: Lineage,
    bird: Bird,
    today: dt.date,
    limits: Limits,
    paired_too: bool,
    step: Callable[[], None],
) -> Mates:
    flock, places = lineage.flock, lineage.living_like(bird)
    other = Sex.HEN if bird.sex is Sex.COCK else Sex.COCK
    fit: list[Bird] = []
    left_out: list[str] = []
    for place in places:
        mate = flock.birds[lineage.table.ids[place]]
        if mate.sex is not other:
            continue
        why = _not_free(flock, mate, bird, today, limits, paired_too=paired_too)
        if why:
            left_out.append(why)
        else:
            fit.append(mate)
    ranked = sorted(
        _ranked(lineage, bird, fit, today, limits, step),
        key=lambda it: (
            bool(it.over_limit),
            -round(it.diversity_change, 12),
            it.inbreeding,
            it.bird,
        ),
    )
    mean = lineage.mean_kinships(places, places)
    return Mates(
        bird.id,
        bird.title,
        tuple(_notes(flock, bird, today, limits)),
        tuple(ranked),
        tuple(left_out),
        1 - float(mean.mean()) if len(mean) else 0.0,
        lineage.said_about(bird.id, *(mate.id for mate in fit)),
    )


def refuse_unfit(bird: Bird) -> None:
    """Only a bird that lives here and whose sex is known can be paired.

    Raises:
        RuleError: it is not so.
    """
    if bird.status is not Status.ALIVE:
        raise RuleError(
            f"{bird.title} is entered as {bird.status} and cannot be paired here.",
            "Choose a bird that lives here.",
        )
    if bird.sex is Sex.UNKNOWN:
        raise RuleError(
            f"The sex of {bird.title} is not known.",
            "Have it sexed and enter the sex; then ask again.",
        )


def _not_free(
    flock: Flock,
    mate: Bird,
    bird: Bird,
    today: dt.date,
    limits: Limits,
    *,
    paired_too: bool,
) -> str:
    partner = partner_of(flock, mate)
    if partner is not None and partner.id != bird.id and not paired_too:
        return f"{mate.title} is paired with {partner.title}."
    if not is_grown(mate, today, limits):
        return f"{mate.title} is not grown: hatched {mate.hatched}."
    return ""


def _notes(flock: Flock, bird: Bird, today: dt.date, limits: Limits) -> Iterator[str]:
    partner = partner_of(flock, bird)
    if partner is not None:
        yield f"{bird.title} is paired with {partner.title} now."
    if not is_grown(bird, today, limits):
        yield f"{bird.title} is not grown: hatched {bird.hatched}."
    yield from warnings_of(flock, bird, today)


def _ranked(
    lineage: Lineage,
    bird: Bird,
    fit: list[Bird],
    today: dt.date,
    limits: Limits,
    step: Callable[[], None],
) -> Iterator[Mate]:
    flock, table = lineage.flock, lineage.table
    group = lineage.living_like(bird)
    places = table.places(mate.id for mate in fit)
    kin = lineage.kinships(table.places([bird.id]), places)
    kinship, least, most = (it[0].tolist() for it in (kin.mean, kin.least, kin.most))
    means = lineage.mean_kinships(places, group)
    own = float(lineage.mean_kinships(table.places([bird.id]), group)[0])
    mean = float(lineage.mean_kinships(group, group).mean())
    for i, (mate, mate_mean) in enumerate(zip(fit, means.tolist(), strict=True)):
        step()
        f, range_ = kinship[i], Expected(kinship[i], least[i], most[i])
        # Without kinship there is nothing to name, and looking for it takes long.
        relation = lineage.relation(mate.id, bird.id) if most[i] else Relationship(())
        cock, hen = (bird, mate) if bird.sex is Sex.COCK else (mate, bird)
        words = relation.words(str(mate.sex))
        yield Mate(
            mate.id,
            mate.title,
            f,
            diversity_change(len(group), mean, (own + mate_mean) / 2, f),
            mate_mean,
            words,
            tuple(table.ids[place] for place in relation.shared),
            tuple(why_not(flock, cock, hen, range_, limits)),
            tuple(_warnings(lineage, bird, mate, words, range_, today)),
            None if range_.is_certain else range_,
        )


def diversity_change(living: int, mean: float, of_young: float, f: float) -> float:
    """How gene diversity changes by one young.

    Args:
        living: Birds in the group now.
        mean: Mean kinship among them, each with itself included.
        of_young: Mean kinship of the young with them: the mean of its parents'.
        f: Of the young.
    """
    total = living**2 * mean + 2 * living * of_young + (1 + f) / 2
    return mean - total / (living + 1) ** 2


def _warnings(
    lineage: Lineage, bird: Bird, mate: Bird, words: str, f: Expected, today: dt.date
) -> Iterator[str]:
    flock = lineage.flock
    if words:
        yield f"Kin to {bird.title}: {words} (F of young {f.mean:.4f})."
    elif f.mean > 0:
        yield f"Kin to {bird.title} (F of young {f.mean:.4f})."
    if not f.is_certain:
        yield (
            f"A parent is in doubt: F of young {f.least:.4f} to {f.most:.4f}, "
            f"{f.mean:.4f} on average."
        )
    for flag in shared_flags(flock, bird, mate):
        yield (
            f"In both families: {flag}. Ask an avian vet whether it can be inherited."
        )
    yield from warnings_of(flock, mate, today)
