"""Whom to pair a bird with: mates ranked, with what to be warned of."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from ledger.domain.bird import Sex, Status
from ledger.errors import RuleError
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
    from collections.abc import Iterator

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


def mates_of(
    flock: Flock,
    bird_id: str,
    today: dt.date,
    limits: Limits | None = None,
    *,
    paired_too: bool = False,
) -> Mates:
    """Living, free, grown birds of the other sex and the same species, ranked.

    Pairs within the limits come first; among them those that lift the gene
    diversity of the living birds most, then those with the least F.

    Args:
        flock: The flock.
        bird_id: The bird that seeks a mate.
        today: For ages.
        limits: The keeper's.
        paired_too: Also birds that have a mate.

    Raises:
        NotFoundError: there is no such bird.
        RuleError: it is dead, gone, or of unknown sex.
        LineageError: the parents of the flock contradict each other.
    """
    bird = bird_of(flock, bird_id)
    limits = limits or Limits()
    refuse_unfit(bird)
    lineage = lineage_of(flock)
    places = lineage.living_like(bird)
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
        _ranked(lineage, bird, fit, today, limits),
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
) -> Iterator[Mate]:
    flock, table = lineage.flock, lineage.table
    group = lineage.living_like(bird)
    places = table.places(mate.id for mate in fit)
    kinship = lineage.kinships(table.places([bird.id]), places)[0]
    means = lineage.mean_kinships(places, group)
    own = float(lineage.mean_kinships(table.places([bird.id]), group)[0])
    mean = float(lineage.mean_kinships(group, group).mean())
    for mate, f, mate_mean in zip(fit, kinship.tolist(), means.tolist(), strict=True):
        # Without kinship there is nothing to name, and looking for it takes long.
        relation = lineage.relation(mate.id, bird.id) if f else Relationship(())
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
            tuple(why_not(flock, cock, hen, f, limits)),
            tuple(_warnings(flock, bird, mate, words, f, today)),
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
    flock: Flock, bird: Bird, mate: Bird, words: str, f: float, today: dt.date
) -> Iterator[str]:
    if words:
        yield f"Kin to {bird.title}: {words} (F of young {f:.4f})."
    elif f > 0:
        yield f"Distant kin (F of young {f:.4f})."
    for flag in shared_flags(flock, bird, mate):
        yield (
            f"In both families: {flag}. Ask an avian vet whether it can be inherited."
        )
    yield from warnings_of(flock, mate, today)
