"""Two photos of one ring: how well they agree when one is turned against the other.

A photo's own angles are relative to the camera. Two photos that share characters
tell how far the ring was turned between them: characters must coincide, and none
may be missing where the other photo looks straight at it.
"""

from __future__ import annotations

import itertools
from typing import TYPE_CHECKING

import numpy as np

from ocr.characters import ALPHABET

if TYPE_CHECKING:
    from collections.abc import Iterable

    from numpy.typing import NDArray

    from ocr.views import Key, Sighting, View

SURE_DEG = 46.0
"""A character nearer to the camera's direction than this is hardly missed."""
SEEN_DEG = 64.0
"""Nothing further round than this is counted as seen."""
_PRIOR = 1.0 / 36
_REPEATS = 12.0
"""As many pairs of different characters are taken as seen before the first look."""
_FLOOR = 0.004
"""Chance that a reader gives a wholly wrong character with certainty."""
_MISSED = -1.6
"""A character that should stand where the other photo shows none, in nats."""


def difference_deg(a: float, b: float) -> float:
    """`a - b` on the circle, -180 to 180."""
    return (a - b + 180.0) % 360.0 - 180.0


def tolerance_deg(s: Sighting, phi_deg: float) -> float:
    """How exactly an angle is known: less so far round."""
    far = max(abs(s.phi_deg), abs(phi_deg)) / 60.0
    return 1.5 + 0.08 * s.width_deg + 3.0 * far * far


def agreement(
    a: NDArray[np.float64],
    b: NDArray[np.float64],
    chance_alike: NDArray[np.float64] | float = _PRIOR,
) -> float:
    """Nats in favour of two sightings being of one character, not of two.

    Args:
        a: (len(ALPHABET),) chances of the one sighting.
        b: (len(ALPHABET),) chances of the other.
        chance_alike: How often another place shows the same character.
    """
    same = float((a * b / chance_alike).sum())
    # What one reading leaves open may be any character, that of the other too.
    left_a, left_b = max(1.0 - float(a.sum()), 0.0), max(1.0 - float(b.sum()), 0.0)
    unknown = left_a * float(b.sum()) + left_b * float(a.sum()) + left_a * left_b
    return float(np.log(same + unknown + _FLOOR / _PRIOR))


def each_once(costs: Iterable[tuple[float, int, int]]) -> list[tuple[int, int]]:
    """Pairs of one of each of two rows, nothing taken twice, the cheapest first.

    Args:
        costs: Cost, place in the one row, place in the other.
    """
    found: list[tuple[int, int]] = []
    for _, i, j in sorted(costs):
        if all(i != x and j != y for x, y in found):
            found.append((i, j))
    return found


def repeats(views: Iterable[View]) -> NDArray[np.float64]:
    """(len(ALPHABET),) chance that another place of this ring shows the same.

    Counted over pairs of places in one photo, which cannot be one place: where a
    ring says 2 again and again, two photos that both show a 2 share nothing yet.
    """
    same, any_other = np.zeros(len(ALPHABET)), np.zeros(len(ALPHABET))
    for view in views:
        for s, t in itertools.permutations(view.sightings, 2):
            same += s.chances * t.chances
            any_other += s.chances * float(t.chances.sum())
    return np.maximum((same + _REPEATS * _PRIOR) / (any_other + _REPEATS), _PRIOR)


class Overlaps:
    """Scores how well two views agree at a given rotation; remembers its answers.

    Args:
        chance_alike: (len(ALPHABET),) as `repeats` counts it.
    """

    def __init__(self, chance_alike: NDArray[np.float64] | float = _PRIOR) -> None:
        self._chance_alike = chance_alike
        self._known: dict[tuple[Key, Key, int], float] = {}
        self._pairs: dict[tuple[Key, Key], NDArray[np.float64]] = {}

    def candidates(self, a: View, b: View, most: int = 14) -> list[float]:
        """Rotations of `b` against `a` at which some characters coincide."""
        pair = self._agreements(a, b)
        found: list[tuple[float, float]] = []
        for i, j in zip(*np.nonzero(pair > 0.5), strict=True):
            turn = a.sightings[i].phi_deg - b.sightings[j].phi_deg
            turn = self._settled(a, b, turn)
            if all(abs(difference_deg(turn, t)) > 2.0 for _, t in found):
                found.append((self.score(a, b, turn), turn))
        found.sort(reverse=True)
        return [turn for value, turn in found[:most] if value > 0]

    def score(self, a: View, b: View, turn_deg: float) -> float:
        """Nats for `b` being rotated by `turn_deg` against `a`; 0: nothing shared."""
        key = (a.key, b.key, round(turn_deg % 360.0))
        if key not in self._known:
            self._known[key] = self._score(a, b, turn_deg)
        return self._known[key]

    def _agreements(self, a: View, b: View) -> NDArray[np.float64]:
        key = (a.key, b.key)
        if key not in self._pairs:
            pair = np.full((len(a.sightings), len(b.sightings)), -np.inf)
            for i, s in enumerate(a.sightings):
                for j, t in enumerate(b.sightings):
                    if s.direction == t.direction and abs(s.height - t.height) < 0.16:
                        off = (s.height - t.height) / 0.06
                        alike = agreement(s.chances, t.chances, self._chance_alike)
                        pair[i, j] = alike - off * off / 4
            self._pairs[key] = pair
        return self._pairs[key]

    def matches(self, a: View, b: View, turn_deg: float) -> list[tuple[int, int]]:
        """Index pairs of sightings that fall on one place."""
        pair = self._agreements(a, b)
        near: list[tuple[float, int, int]] = []
        for i, j in zip(*np.nonzero(np.isfinite(pair)), strict=True):
            s, t = a.sightings[i], b.sightings[j]
            off = difference_deg(s.phi_deg, t.phi_deg + turn_deg)
            off /= tolerance_deg(s, t.phi_deg)
            if abs(off) < 3.0:
                near.append((0.5 * off * off - pair[i, j], int(i), int(j)))
        return each_once(near)

    def _settled(self, a: View, b: View, turn_deg: float) -> float:
        """The rotation moved to the mean of all characters that coincide there."""
        offs = [
            difference_deg(a.sightings[i].phi_deg - b.sightings[j].phi_deg, turn_deg)
            for i, j in self.matches(a, b, turn_deg)
            if self._agreements(a, b)[i, j] > 0
        ]
        return turn_deg + (float(np.mean(offs)) if offs else 0.0)

    def _score(self, a: View, b: View, turn_deg: float) -> float:
        pair, total = self._agreements(a, b), 0.0
        matched = self.matches(a, b, turn_deg)
        for i, j in matched:
            s, t = a.sightings[i], b.sightings[j]
            off = difference_deg(s.phi_deg, t.phi_deg + turn_deg)
            off /= tolerance_deg(s, t.phi_deg)
            total += max(pair[i, j] - 0.5 * off * off, -5.0)
        in_a, in_b = {i for i, _ in matched}, {j for _, j in matched}
        for i, s in enumerate(a.sightings):
            if i not in in_a:
                total += _missed(s, s.phi_deg - turn_deg)
        for j, t in enumerate(b.sightings):
            if j not in in_b:
                total += _missed(t, t.phi_deg + turn_deg)
        return total


def _missed(s: Sighting, phi_there_deg: float) -> float:
    """What it costs that a photo looking there shows nothing."""
    away = abs(difference_deg(phi_there_deg, 0.0))
    weight = float(np.clip((SEEN_DEG - away) / (SEEN_DEG - SURE_DEG), 0.0, 1.0))
    return _MISSED * weight * min(1.0, 1.2 * float(s.chances.sum()))


def covered_deg(rotations: Iterable[float], seen_deg: float = SEEN_DEG) -> list[bool]:
    """For each whole degree round the ring, whether a photo showed it."""
    seen = [False] * 360
    for turn, d in itertools.product(rotations, range(360)):
        seen[d] = seen[d] or abs(difference_deg(d, turn)) <= seen_deg
    return seen
