"""The rings to order for a year, size by size, each number with its reason."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from ledger.care.season_needs import season_needs
from ledger.care.sizes import advise_size, is_size, neighbour_sizes, same_species
from ledger.domain.bird import Sex
from ledger.domain.ring import RingState

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from ledger.care.season_needs import Need
    from ledger.care.sizes import SizeAdvice
    from ledger.domain.flock import Flock
    from ledger.domain.ring import Ring

LEAST_LOSS = 0.05
"""Share of rings that are spoiled or lost, at least. Common practice, no source."""
CHICKS_A_TRIAL = 5
"""One spare of the neighbour size for so many chicks. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class OrderLine:
    """One size."""

    size_mm: float
    """Inner diameter."""
    chicks: int
    """Rings for chicks."""
    trial: int
    """Spares of this size, to put on trial beside its neighbour."""
    spare: int
    """For what is spoiled and lost."""
    have: int
    """Of that ring year in stock, or ordered and not come yet."""
    species: tuple[str, ...]
    why: tuple[str, ...]
    """Each number with its reason, as sentences."""

    @property
    def needed(self) -> int:
        """Rings that the year may take."""
        return self.chicks + self.trial + self.spare

    @property
    def to_order(self) -> int:
        """What is missing."""
        return max(self.needed - self.have, 0)


@dataclass(frozen=True, slots=True)
class OrderPlan:
    """What to order, and for whom no size is known."""

    year: int
    lines: tuple[OrderLine, ...]
    """By size."""
    without_size: tuple[Need, ...]
    notes: tuple[str, ...]

    @property
    def to_order(self) -> int:
        """Rings in all."""
        return sum(line.to_order for line in self.lines)


@dataclass(slots=True)
class _Sum:
    """What comes together under one size."""

    chicks: int = 0
    trial: int = 0
    species: list[str] = field(default_factory=list)
    why: list[str] = field(default_factory=list)
    why_trial: list[str] = field(default_factory=list)


def plan_order(
    flock: Flock,
    year: int,
    on_the_way: Mapping[float, int],
    *,
    clutches_a_pair: int = 0,
) -> OrderPlan:
    """Work out the order of a year.

    Args:
        flock: The flock, with its pairs and past clutches.
        year: Ring year.
        on_the_way: Closed rings of that year by size, in stock or ordered.
        clutches_a_pair: To reckon with; 0: as experience has it, at least one.
    """
    sums: dict[float, _Sum] = {}
    without: list[Need] = []
    for need in season_needs(flock, year, clutches_a_pair=clutches_a_pair):
        sizes = _sizes(flock, need)
        if not sizes:
            without.append(need)
        for advice, chicks in sizes:
            _add(flock, sums, need, advice, chicks)
    share, share_by = _loss(flock)
    lines = [
        _line(size_mm, it, share, share_by, on_the_way)
        for size_mm, it in sorted(sums.items())
    ]
    notes = [
        "Every pair that is together is taken to breed; leave out what you do not mean "
        "to raise.",
        "Rings left over from other years show another year: they are not counted.",
    ]
    return OrderPlan(year, tuple(lines), tuple(without), tuple(notes))


def _sizes(flock: Flock, need: Need) -> list[tuple[SizeAdvice, int]]:
    """Sizes for a species' chicks, each with its number; two where sexes differ."""
    cocks, hens, any_sex = (
        advise_size(need.species, sex, flock.settings)
        for sex in (Sex.COCK, Sex.HEN, Sex.UNKNOWN)
    )
    if cocks.size_mm is None or hens.size_mm is None:
        return []
    if cocks.size_mm == hens.size_mm:
        return [(any_sex, need.enough)]
    # Nobody knows the sex of a chick: half of each, rounded up.
    half = math.ceil(need.enough / 2)
    return [(cocks, half), (hens, half)]


def _add(
    flock: Flock, sums: dict[float, _Sum], need: Need, advice: SizeAdvice, chicks: int
) -> None:
    size_mm = advice.size_mm
    if size_mm is None or not chicks:
        return
    line = sums.setdefault(size_mm, _Sum())
    line.chicks += chicks
    line.species.append(need.species)
    doubt = f" {advice.doubt}" if advice.doubt else ""
    line.why += [f"{advice.said}{doubt}", *need.why]
    neighbour_mm, why = _neighbour(flock, need.species, size_mm)
    if neighbour_mm is None:
        return
    spares = math.ceil(chicks / CHICKS_A_TRIAL)
    beside = sums.setdefault(neighbour_mm, _Sum())
    beside.trial += spares
    if need.species not in beside.species:
        beside.species.append(need.species)
    beside.why_trial.append(
        f"{spares} to put on trial beside {size_mm:g} mm on the smallest chicks of "
        f"{need.species}: {why} (one for {CHICKS_A_TRIAL} chicks, common practice, no "
        "source)."
    )


def _neighbour(flock: Flock, species: str, size_mm: float) -> tuple[float | None, str]:
    """The size to try beside: the one tried before, else the next smaller."""
    tried = [
        ring.size_mm
        for bird in flock.birds.values()
        if same_species(bird.species, species)
        for ring in flock.rings_of(bird.id)
        if ring.trial and ring.size_mm and not is_size(ring.size_mm, size_mm)
    ]
    if tried:
        return tried[-1], "the size you tried before"
    smaller, _ = neighbour_sizes(size_mm)
    return smaller, "the next smaller size in BArtSchV Anlage 6"


def _loss(flock: Flock) -> tuple[float, str]:
    """Share of own rings that were spoiled or lost, and by what it is known."""
    used = [
        ring
        for ring in flock.rings.values()
        if _is_own(flock, ring) and ring.state is not RingState.IN_STOCK
    ]
    gone = sum(ring.state in (RingState.SPOILED, RingState.LOST) for ring in used)
    if used and gone / len(used) > LEAST_LOSS:
        return gone / len(used), f"{gone} of the {len(used)} rings you used so far"
    return LEAST_LOSS, "common practice, no source"


def _is_own(flock: Flock, ring: Ring) -> bool:
    name = flock.settings.name.casefold()
    return bool(name) and ring.issuer.casefold() == name


def _line(
    size_mm: float,
    its: _Sum,
    share: float,
    share_by: str,
    on_the_way: Mapping[float, int],
) -> OrderLine:
    spare = math.ceil(its.chicks * share)
    have = sum(n for size, n in on_the_way.items() if is_size(size, size_mm))
    why = [*its.why, *its.why_trial]
    if spare:
        why.append(
            f"{spare} for what is spoiled or lost: {share:.0%} ({share_by}), rounded "
            "up."
        )
    if have:
        why.append(f"{have} of this year are in stock or on their way.")
    return OrderLine(
        size_mm, its.chicks, its.trial, spare, have, _once(its.species), tuple(why)
    )


def _once(words: Iterable[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(words))
