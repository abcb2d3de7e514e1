"""How many chicks a season may bring, species by species, and by what that is reckoned.

Every pair that is together and alive is taken to breed: a ring too many lies in a
drawer, a ring too few is a chick without one.
"""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ledger.domain.bird import Status
from ledger.domain.breeding import EggFate
from ledger.domain.ring import RingKind
from ledger.reference.breeding import breeding_figures

if TYPE_CHECKING:
    from collections.abc import Sequence

    from ledger.domain.breeding import Clutch, Pair
    from ledger.domain.flock import Flock

LEAST_CLUTCHES = 5
"""From so many own clutches of a species on, its own mean counts."""
LEAST_EGGS = 10
"""From so many own eggs on whose end is known, its own hatching counts."""
ENOUGH_SEASONS = 0.9
"""Rings shall be enough in so many of all seasons. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Need:
    """What one species may need in one season."""

    species: str
    pairs: tuple[str, ...]
    """Names of the two, pair by pair."""
    clutches: int
    """Expected, of all its pairs together."""
    eggs: float
    """In a clutch."""
    eggs_by: str
    """Whose figure that is."""
    hatched: float
    """Share of the eggs that hatch."""
    hatched_by: str
    expected: float
    """Chicks, as a mean."""
    ringed: int
    """Chicks of that year that wear a closed ring already."""
    enough: int
    """Chicks to have rings for, those ringed left out."""

    @property
    def why(self) -> tuple[str, ...]:
        """The reckoning, as sentences."""
        pairs = f"{_count(len(self.pairs), 'pair')} ({'; '.join(self.pairs)})"
        ringed = (
            (f"{_count(self.ringed, 'chick')} of the year are ringed already.",)
            if self.ringed
            else ()
        )
        return (
            f"{pairs}, {_count(self.clutches, 'clutch', 'clutches')} expected.",
            f"{self.eggs:.2g} eggs a clutch ({self.eggs_by}), of which "
            f"{self.hatched:.0%} hatch ({self.hatched_by}): {self.expected:.1f} chicks "
            f"as a mean; rings for {self.enough + self.ringed} are enough in 9 of 10 "
            "seasons.",
            *ringed,
        )


def season_needs(
    flock: Flock, year: int, *, clutches_a_pair: int = 0
) -> tuple[Need, ...]:
    """What each species with a breeding pair may need, by species.

    Args:
        flock: The flock; pairs as they are together now.
        year: The season.
        clutches_a_pair: To reckon with; 0: as many as a pair of the species laid here
            in its best year, at least one.
    """
    by_species: dict[str, list[Pair]] = {}
    for pair in flock.pairs.values():
        if may_breed(flock, pair):
            by_species.setdefault(species_of(flock, pair), []).append(pair)
    past: dict[str, list[Clutch]] = {}
    for clutch in flock.clutches.values():
        its_pair = flock.pairs.get(clutch.pair or "")
        if its_pair is not None:
            past.setdefault(species_of(flock, its_pair), []).append(clutch)
    return tuple(
        _need(flock, species, pairs, past.get(species, []), year, clutches_a_pair)
        for species, pairs in sorted(by_species.items())
        if species
    )


def may_breed(flock: Flock, pair: Pair) -> bool:
    """They are together, and whoever of the two is known lives here."""
    both = [flock.birds.get(who or "") for who in (pair.cock, pair.hen)]
    known = [bird for bird in both if bird is not None]
    return (
        pair.parted is None
        and bool(known)
        and all(bird.status is Status.ALIVE for bird in known)
    )


def species_of(flock: Flock, pair: Pair) -> str:
    """The species of a pair's young, by the hen where the two differ; "" if unknown."""
    both = [flock.birds.get(who or "") for who in (pair.hen, pair.cock)]
    return next((bird.species for bird in both if bird and bird.species), "")


def enough_of(eggs: int, hatched: float) -> int:
    """Chicks that are not exceeded in `ENOUGH_SEASONS` of all seasons.

    Each egg is taken to hatch by itself with the same chance: the quantile of the
    binomial distribution. Eggs of one nest share their luck, so it is a guide.

    Args:
        eggs: Laid in the season.
        hatched: Chance of each to hatch, 0 to 1.
    """
    reached = 0.0
    for chicks in range(eggs + 1):
        reached += (
            math.comb(eggs, chicks) * hatched**chicks * (1 - hatched) ** (eggs - chicks)
        )
        if reached >= ENOUGH_SEASONS - 1e-12:
            return chicks
    return eggs


def _need(
    flock: Flock,
    species: str,
    pairs: Sequence[Pair],
    past: Sequence[Clutch],
    year: int,
    clutches_a_pair: int,
) -> Need:
    clutches = len(pairs) * (clutches_a_pair or _most_in_a_year(past))
    eggs, eggs_by = _eggs(species, past)
    hatched, hatched_by = _hatched(past)
    ringed = sum(
        bird.species == species
        and bird.hatched is not None
        and bird.hatched.year == year
        and any(ring.kind is RingKind.CLOSED for ring in flock.rings_of(bird.id))
        for pair in pairs
        for bird in flock.young_of(pair.hen or pair.cock or "")
    )
    laid = math.ceil(clutches * eggs - 1e-9)
    return Need(
        species,
        tuple(_called(flock, pair) for pair in pairs),
        clutches,
        eggs,
        eggs_by,
        hatched,
        hatched_by,
        clutches * eggs * hatched,
        ringed,
        max(enough_of(laid, hatched) - ringed, 0),
    )


def _most_in_a_year(past: Sequence[Clutch]) -> int:
    years = Counter(
        (clutch.pair, clutch.laid.year) for clutch in past if clutch.laid is not None
    )
    return max(years.values(), default=1)


def _eggs(species: str, past: Sequence[Clutch]) -> tuple[float, str]:
    """Eggs in a clutch: own mean, else the largest published typical number."""
    counted = [len(clutch.eggs) for clutch in past if clutch.eggs]
    if len(counted) >= LEAST_CLUTCHES:
        return sum(counted) / len(counted), f"your own {len(counted)} clutches"
    typical = [
        ((row.fewest_eggs + row.most_eggs) / 2, row.source.partition(" (")[0])
        for row in breeding_figures(species)
        if row.fewest_eggs is not None and row.most_eggs is not None
    ]
    if typical:
        return max(typical)
    if counted:
        return sum(counted) / len(counted), f"your own {len(counted)} clutches only"
    return 4.0, "no figure at hand: 4 are taken, common practice, no source"


def _hatched(past: Sequence[Clutch]) -> tuple[float, str]:
    ended = [
        egg
        for clutch in past
        for egg in clutch.eggs
        if egg.fate not in (EggFate.IN_NEST, EggFate.FERTILE)
    ]
    if len(ended) < LEAST_EGGS:
        return 1.0, "too few own eggs to tell: all are taken to"
    hatched = sum(egg.fate is EggFate.HATCHED for egg in ended)
    return hatched / len(ended), f"your own {len(ended)} eggs"


def _called(flock: Flock, pair: Pair) -> str:
    both = [flock.birds.get(who or "") for who in (pair.cock, pair.hen)]
    two = [bird.title if bird else "?" for bird in both]
    return " and ".join(two) + (f", {pair.location}" if pair.location else "")


def _count(number: int, one: str, many: str = "") -> str:
    return f"{number} {one if number == 1 else many or one + 's'}"
