"""The keeper's own ring sizes: what holds for each species, and setting it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from ledger.care.sizes import (
    SizeAdvice,
    advise_size,
    check_size,
    same_species,
    size_words,
)
from ledger.domain.bird import Sex
from ledger.domain.change import Put
from ledger.domain.people import OwnSize
from ledger.errors import RuleError

if TYPE_CHECKING:
    from ledger.domain.flock import Flock
    from ledger.services.ledger import Ledger


@dataclass(frozen=True, slots=True)
class SizeLine:
    """A species, or one sex of it, and the size that holds for it."""

    species: str
    sex: Sex
    """Unknown where one size holds for both."""
    birds: int
    """Of the species, ever entered."""
    size: str
    """In mm; "" where nobody gives one."""
    by: str
    """"yours", "published" or "none"."""
    said: tuple[str, ...]
    """The size, who gives it and what speaks against it, as sentences."""


def size_lines(flock: Flock) -> tuple[SizeLine, ...]:
    """Every species of the flock and every own size, by species; sexes apart."""
    birds: dict[str, int] = {}
    for bird in flock.birds.values():
        if bird.species:
            birds[bird.species] = birds.get(bird.species, 0) + 1
    for own in flock.settings.own_sizes:
        if not any(same_species(own.species, known) for known in birds):
            birds[own.species] = 0
    return tuple(
        line
        for species, number in sorted(birds.items())
        for line in _lines_of(flock, species, number)
    )


def set_own_size(
    ledger: Ledger,
    species: str,
    size_mm: float | None,
    author: str,
    *,
    sex: Sex = Sex.UNKNOWN,
    notes: str = "",
) -> tuple[str, ...]:
    """Set the keeper's own size for a species, or take it back.

    Args:
        ledger: An open ledger.
        species: As the keeper's birds have it.
        size_mm: Inner diameter; None takes the own size back.
        author: Who sets it.
        sex: Where it holds for one sex only.
        notes: Why, or from whom.

    Returns:
        What to be warned of: that it is not what is published.

    Raises:
        RuleError: no species, or no size that a ring has.
    """
    species = " ".join(species.split())
    if not species:
        raise RuleError("No species is named.", "Write it as your birds have it.")
    if size_mm is not None and not 1 < size_mm < 60:
        raise RuleError(
            f"No bird's ring has {size_mm:g} mm.",
            "Give the inner diameter in mm: 5.5.",
        )
    settings = ledger.flock.settings
    which = "" if sex is Sex.UNKNOWN else str(sex)
    others = tuple(
        own
        for own in settings.own_sizes
        if not (same_species(own.species, species) and own.sex == which)
    )
    if size_mm is None and len(others) == len(settings.own_sizes):
        raise RuleError(
            f"There is no own size for {species} to take back.",
            "Give a size, or leave without storing.",
        )
    without = replace(settings, own_sizes=others)
    said: tuple[str, ...] = ()
    if size_mm is None:
        kept = without
        what = f"own ring size for {_of(species, which)} taken back"
    else:
        if advise_size(species, sex, without).is_known:
            said = check_size(species, sex, size_mm, without)
        own = OwnSize(species, size_mm, which, notes.strip())
        kept = replace(settings, own_sizes=(*others, own))
        what = f"own ring size for {_of(species, which)}: {size_mm:g} mm"
    ledger.commit([Put(kept)], author=author, what=what)
    return said


def _of(species: str, sex: str) -> str:
    return f"{species}, {sex}s" if sex else species


def _lines_of(flock: Flock, species: str, number: int) -> tuple[SizeLine, ...]:
    both = [
        (sex, advise_size(species, sex, flock.settings)) for sex in (Sex.COCK, Sex.HEN)
    ]
    if len({advice.size_mm for _, advice in both}) == 1:
        both = [(Sex.UNKNOWN, advise_size(species, Sex.UNKNOWN, flock.settings))]
    return tuple(_line(flock, species, sex, number, it) for sex, it in both)


def _line(
    flock: Flock, species: str, sex: Sex, number: int, advice: SizeAdvice
) -> SizeLine:
    size = ""
    if advice.smallest_mm is not None and advice.largest_mm is not None:
        size = size_words(advice.smallest_mm, advice.largest_mm)
    notes = [
        own.notes
        for own in flock.settings.own_sizes
        if advice.is_own and same_species(own.species, species) and own.notes
    ]
    return SizeLine(
        species,
        sex,
        number,
        size,
        "yours" if advice.is_own else "published" if advice.is_known else "none",
        tuple(filter(None, [advice.said, *notes, advice.doubt, *advice.also])),
    )
