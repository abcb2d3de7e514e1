"""Chance that falls the same way on every machine."""

from __future__ import annotations

import datetime as dt
import random
from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    from collections.abc import Sequence

T = TypeVar("T")
SEED = "Tidewrack"


class Chance:
    """One stream of chance, named by what it is for.

    Every bird has its own, so that one more chick in one aviary leaves all other
    birds as they were. Only `random()` is used: it is the one call whose results
    Python promises to keep.
    """

    def __init__(self, what: str) -> None:
        self._random = random.Random(f"{SEED}: {what}")

    def share(self) -> float:
        """Anything from 0 to 1."""
        return self._random.random()

    def happens(self, chance: float) -> bool:
        """True this often."""
        return self.share() < chance

    def between(self, least: int, most: int) -> int:
        """A whole number, both ends included."""
        return least + int(self.share() * (most - least + 1))

    def pick(self, things: Sequence[T]) -> T:
        """One of them."""
        return things[int(self.share() * len(things))]

    def spread(self, sd: float) -> float:
        """Around 0, bell-shaped, never beyond 3 sd."""
        bell = sum(self.share() for _ in range(12)) - 6.0
        return max(-3.0, min(3.0, bell)) * sd

    def day(self, year: int, first: tuple[int, int], last: tuple[int, int]) -> dt.date:
        """A day between two of a year, given as (month, day)."""
        start, end = dt.date(year, *first), dt.date(year, *last)
        return start + dt.timedelta(days=self.between(0, (end - start).days))
