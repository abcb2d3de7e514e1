"""What must hold where parents are in doubt or of two species, and pairs limited."""

from __future__ import annotations

from math import isclose
from typing import TYPE_CHECKING

from ledger.domain.bird import Sex
from ledger.domain.family_rules import may_be_older
from ledger.domain.finding import Finding, Severity
from ledger.domain.indexes import parents_of
from ledger.reference.species import species_key

if TYPE_CHECKING:
    from collections.abc import Iterator

    from ledger.domain.bird import Bird
    from ledger.domain.flock import Flock
    from ledger.domain.people import FlockSettings


def check_doubts(flock: Flock, bird: Bird) -> Iterator[Finding]:
    """Who may be a parent is a known bird, of the right sex, older, and no young."""
    for told, role, sex in (
        (bird.sire_may_be, "sire", Sex.COCK),
        (bird.dam_may_be, "dam", Sex.HEN),
    ):
        for who, _ in told:
            parent = flock.birds.get(who)
            if who and parent is None:
                yield _error(
                    bird,
                    f"The {role} of {bird.title} may be {who}, and there is no such "
                    "bird.",
                    "Enter it as a bird, or take it out of those it may be.",
                )
            elif parent is not None:
                yield from _check_candidate(flock, bird, parent, role, sex)
        chances = [chance for _, chance in told]
        if told and (min(chances) < 0 or not isclose(sum(chances), 1, abs_tol=1e-6)):
            yield _error(
                bird,
                f"The chances for the {role} of {bird.title} sum to {sum(chances):g}.",
                "Give each candidate a chance of 0 to 1, 1 in all.",
            )


def check_species(flock: Flock, bird: Bird) -> Iterator[Finding]:
    """A bird is of its parents' species, for all that is entered."""
    for parent_id, role in ((bird.sire, "sire"), (bird.dam, "dam")):
        parent = flock.birds.get(parent_id or "")
        if parent is None or not bird.species or not parent.species:
            continue
        if parent.species == bird.species:
            continue
        if species_key(parent.species) != species_key(bird.species):
            yield Finding(
                Severity.WARNING,
                bird.id,
                f"{bird.title} is entered as {bird.species}, and its {role} "
                f"{parent.title} as {parent.species}.",
                "Correct one of the two; for a hybrid, say so in its notes.",
                "species",
            )


def _check_candidate(
    flock: Flock, bird: Bird, parent: Bird, role: str, sex: Sex
) -> Iterator[Finding]:
    may_be = f"The {role} of {bird.title} may be {parent.title}"
    if parent.sex not in (sex, Sex.UNKNOWN):
        yield _error(
            bird,
            f"{may_be}, which is a {parent.sex}.",
            f"Name another bird, or correct the sex of {parent.title}.",
        )
    if bird.hatched and parent.hatched and not may_be_older(parent, bird):
        yield _error(
            bird,
            f"{may_be}, which hatched only {parent.hatched}; {bird.title} hatched "
            f"{bird.hatched}.",
            "Correct one of the dates, or name another bird.",
        )
    if _descends(flock, parent, bird.id):
        yield _error(
            bird,
            f"{may_be}, which is {bird.title} itself or may descend from it.",
            "No bird is its own ancestor: name another one.",
        )


def _descends(flock: Flock, bird: Bird, ancestor: str) -> bool:
    """The ancestor stands above the bird in some way the doubts can fall."""
    seen: set[str] = set()
    wanted = [bird.id]
    while wanted:
        at = flock.birds.get(wanted.pop())
        if at is None or at.id in seen:
            continue
        if at.id == ancestor:
            return True
        seen.add(at.id)
        wanted += parents_of(at)
        wanted += [who for who, _ in (*at.sire_may_be, *at.dam_may_be)]
    return False


def check_limits(flock: Flock, settings: FlockSettings) -> Iterator[Finding]:
    """The keeper's limits are numbers that can be; kin of founders are birds."""
    f, years = settings.highest_inbreeding, settings.youngest_years
    if f is not None and not 0 <= f <= 1:
        yield Finding(
            Severity.ERROR,
            settings.id,
            f"The limit of F of the young is {f:g}, and F lies between 0 and 1.",
            "Give a fraction: 0.0625 are young of first cousins.",
        )
    if years is not None and not 0 <= years < 100:
        yield Finding(
            Severity.ERROR,
            settings.id,
            f"Birds count as grown from {years:g} years on, which is no age.",
            "Give years, 0 or more and below 100.",
        )
    for it in settings.founder_kin:
        if not 0 <= it.kinship <= 1:
            yield Finding(
                Severity.ERROR,
                settings.id,
                f"The kinship of {it.first} and {it.second} is {it.kinship:g}, and "
                "kinship lies between 0 and 1.",
                "Give 0.25 for full siblings, 0.125 for half siblings.",
            )


def _error(bird: Bird, message: str, remedy: str) -> Finding:
    return Finding(Severity.ERROR, bird.id, message, remedy)
