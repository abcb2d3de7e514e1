"""The keeper's limits for pairs, and what to be warned of in a pair."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from ledger.domain.bird import Sex, Status
from ledger.domain.ring import RingKind, RingState
from ledger.reference.longevity import longevity
from ledger.services.lineage import species_key

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Iterator

    from ledger.domain.bird import Bird
    from ledger.domain.breeding import Pair
    from ledger.domain.flock import Flock
    from ledger.lineage.doubt import Expected

_YEAR = 365.25
_OLD_PART = 0.75
"""Of the greatest age known of its species; from there on a bird is called old.
Common practice, no source."""


@dataclass(frozen=True)
class Limits:
    """What a keeper allows without a word of reason."""

    highest_inbreeding: float = 0.03125
    """F of the young at most; the default allows half first cousins (.03125) and
    stops first cousins (.0625)."""
    youngest_years: float = 2.0
    """A bird is grown from this age on. Common practice, no source: small parakeets
    breed earlier, large parrots later."""

    @classmethod
    def of(cls, flock: Flock) -> Limits:
        """The keeper's own, where they are entered."""
        usual, own = cls(), flock.settings
        return cls(
            usual.highest_inbreeding
            if own.highest_inbreeding is None
            else own.highest_inbreeding,
            usual.youngest_years if own.youngest_years is None else own.youngest_years,
        )


def open_pair(flock: Flock, bird: Bird) -> Pair | None:
    """The pair a bird lives in now: not parted, and both still here."""
    for pair in reversed(flock.pairs_of(bird.id)):
        both = [flock.birds.get(part or "") for part in (pair.cock, pair.hen)]
        alive = all(it is not None and it.status is Status.ALIVE for it in both)
        if pair.parted is None and alive:
            return pair
    return None


def partner_of(flock: Flock, bird: Bird) -> Bird | None:
    """The bird it is paired with now."""
    pair = open_pair(flock, bird)
    if pair is None:
        return None
    return flock.birds.get((pair.hen if pair.cock == bird.id else pair.cock) or "")


def is_grown(bird: Bird, today: dt.date, limits: Limits) -> bool:
    """Old enough, for all that is known; a bird of unknown age counts as grown."""
    if bird.hatched is None:
        return True
    _, most = bird.hatched.days_until(today)
    return most >= limits.youngest_years * _YEAR


def warnings_of(flock: Flock, bird: Bird, today: dt.date) -> Iterator[str]:
    """What a keeper should know of one bird before it breeds."""
    yield from age_warnings(bird, today)
    if not _is_proven(flock, bird):
        yield (
            f"{bird.title}: who it is rests on no closed ring and no chip that it "
            "carries now."
        )
    missing = [
        role for role, id_ in (("sire", bird.sire), ("dam", bird.dam)) if not id_
    ]
    if missing:
        yield f"{bird.title}: {' and '.join(missing)} not known."
    for relative, role in family(flock, bird):
        for flag in relative.health_flags:
            whose = "itself" if relative.id == bird.id else f"{role} {relative.title}"
            yield f"{bird.title}, {whose}: {flag}."


def age_warnings(bird: Bird, today: dt.date) -> Iterator[str]:
    """That it is old, or that nobody knows."""
    if bird.hatched is None:
        yield f"{bird.title}: its age is not known."
        return
    least, _ = bird.hatched.days_until(today)
    known = longevity(bird.species)
    if known and least > _OLD_PART * known.longest_years * _YEAR:
        yield (
            f"{bird.title} is old: {least / _YEAR:.0f} years; the oldest of its "
            f"species on file reached {known.longest_years:g} (AnAge)."
        )


def family(flock: Flock, bird: Bird) -> Iterator[tuple[Bird, str]]:
    """A bird, its parents and its siblings, with what each is to it."""
    yield bird, "itself"
    for parent, role in zip(flock.parents_of(bird.id), ("sire", "dam"), strict=True):
        if parent is not None:
            yield parent, role
    for sibling in flock.siblings_of(bird.id):
        yield sibling.bird, "sibling" if sibling.is_full else "half sibling"


def shared_flags(flock: Flock, first: Bird, second: Bird) -> tuple[str, ...]:
    """Health flags that stand in both families."""
    both = [
        {
            flag.casefold(): flag
            for bird, _ in family(flock, it)
            for flag in bird.health_flags
        }
        for it in (first, second)
    ]
    return tuple(both[0][key] for key in sorted(both[0].keys() & both[1].keys()))


def _is_proven(flock: Flock, bird: Bird) -> bool:
    closed = any(
        ring.kind is RingKind.CLOSED and ring.state is RingState.ON_BIRD
        for ring in flock.rings_of(bird.id)
    )
    return closed or bool(flock.chips_of(bird.id))


def why_not(
    flock: Flock, cock: Bird, hen: Bird, inbreeding: Expected, limits: Limits
) -> Iterator[str]:
    """What makes a pair one to give a reason for; nothing where all is well.

    Where a parent is in doubt, the limit is held to the worst case.
    """
    if species_key(cock.species) != species_key(hen.species):
        yield f"{cock.title} and {hen.title} are of different species."
    if inbreeding.most > limits.highest_inbreeding + 1e-12:
        would = "would have" if inbreeding.is_certain else "may have"
        yield (
            f"Their young {would} F {inbreeding.most:.4f}; your limit is "
            f"{limits.highest_inbreeding:g}."
        )
    for bird in (cock, hen):
        partner = partner_of(flock, bird)
        if partner is not None and partner.id not in (cock.id, hen.id):
            yield f"{bird.title} is paired with {partner.title}."


def right_sexes(cock: Bird, hen: Bird) -> bool:
    """One is a cock and the other a hen, for all that is known."""
    return cock.sex is Sex.COCK and hen.sex is Sex.HEN
