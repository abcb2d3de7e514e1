"""Where round the ring each photo looks: one rotation per photo fits all its lines.

A photo's own angles are relative to the camera. Two photos that share characters
tell how far the ring was turned between them; the rotation that explains all
photos best, characters and empty places alike, wins.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from ocr.characters import ALPHABET
from ocr.glyphs import informative, reread

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from numpy.typing import NDArray

    from ocr.reading import Direction, PhotoReading

SURE_DEG = 46.0
"""A character nearer to the camera's direction than this is hardly missed."""
SEEN_DEG = 64.0
"""Nothing further round than this is counted as seen."""
_LINK = -2.0
"""Before looking, what it costs in nats that a photo lies just there."""
_BEAM = 80
_PRIOR = 1.0 / 36
_FLOOR = 0.004
"""Chance that a reader gives a wholly wrong character with certainty."""
_MISSED = -1.6
"""A character that should stand where the other photo shows none, in nats."""
_TURNED: dict[Direction, Direction] = {
    "around": "around",
    "axial_up": "axial_down",
    "axial_down": "axial_up",
}


@dataclass(frozen=True)
class Sighting:
    """One character in one photo."""

    photo: int
    phi_deg: float
    height: float
    width_deg: float
    height_span: float
    direction: Direction
    chances: NDArray[np.float64]
    """(len(ALPHABET),), summing to at most 1."""
    gap_before: bool | None
    """Whether a word gap stands before it; None where it is the first seen."""
    votes: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class View:
    """One photo's characters, one way up."""

    photo: int
    turned: bool
    sightings: tuple[Sighting, ...]


@dataclass(frozen=True)
class Placement:
    """How all photos lie round the ring."""

    views: tuple[View, ...]
    """In the order of the photos, each the way up that was chosen."""
    rotation_deg: tuple[float, ...]
    """Add to a photo's own angles to get angles round the ring."""
    part: tuple[int, ...]
    """Photos with the same number are linked by characters they share."""
    margin: float
    """By how much, in nats, the best placement beats the next different one."""


def views_of(number: int, photo: PhotoReading) -> tuple[View, ...]:
    """The photo as read and, where its text does not tell, upside down too."""
    sightings = tuple(
        Sighting(
            number,
            g.phi_deg,
            g.height,
            g.width_deg,
            g.height_span,
            line.direction,
            _vector(g.alternatives or ((g.text, g.probability),)),
            g.gap_before if n else None,
            g.votes,
        )
        for line in photo.lines
        for n, g in enumerate(line.glyphs)
    )
    upright = View(number, False, sightings)
    told = sum(
        float(s.chances.max()) * informative(s.chances.astype(np.float32))
        for s in sightings
        if s.direction == "around"
    )
    if told > 1.0 or not sightings:
        return (upright,)
    turned = tuple(_half_turn(s) for s in sightings)
    return (upright, View(number, True, turned))


def _vector(alternatives: Iterable[tuple[str, float]]) -> NDArray[np.float64]:
    chances = np.zeros(len(ALPHABET))
    for character, chance in alternatives:
        chances[ALPHABET.index(character)] = chance
    return chances


def _half_turn(s: Sighting) -> Sighting:
    chances = s.chances
    if s.direction == "around":  # characters along the leg turn with their line
        chances = reread(chances.astype(np.float32), 180, 0).astype(np.float64)
    return replace(
        s,
        phi_deg=-s.phi_deg,
        height=1.0 - s.height,
        direction=_TURNED[s.direction],
        chances=chances,
    )


def difference_deg(a: float, b: float) -> float:
    """`a - b` on the circle, -180 to 180."""
    return (a - b + 180.0) % 360.0 - 180.0


def tolerance_deg(s: Sighting, phi_deg: float) -> float:
    """How exactly an angle is known: less so far round."""
    far = max(abs(s.phi_deg), abs(phi_deg)) / 60.0
    return 1.5 + 0.08 * s.width_deg + 3.0 * far * far


def agreement(a: NDArray[np.float64], b: NDArray[np.float64]) -> float:
    """Nats in favour of two sightings being of one character, not of two."""
    same = float((a * b).sum()) / _PRIOR
    unknown = (1.0 - float(a.sum())) * (1.0 - float(b.sum()))
    return float(np.log(same + max(unknown, 0.0) + _FLOOR / _PRIOR))


class Overlaps:
    """Scores how well two views agree at a given rotation; remembers its answers."""

    def __init__(self) -> None:
        self._known: dict[tuple[int, bool, int, bool, int], float] = {}
        self._pairs: dict[tuple[int, bool, int, bool], NDArray[np.float64]] = {}

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
        key = (a.photo, a.turned, b.photo, b.turned, round(turn_deg % 360.0))
        if key not in self._known:
            self._known[key] = self._score(a, b, turn_deg)
        return self._known[key]

    def _agreements(self, a: View, b: View) -> NDArray[np.float64]:
        key = (a.photo, a.turned, b.photo, b.turned)
        if key not in self._pairs:
            pair = np.full((len(a.sightings), len(b.sightings)), -np.inf)
            for i, s in enumerate(a.sightings):
                for j, t in enumerate(b.sightings):
                    if s.direction == t.direction and abs(s.height - t.height) < 0.16:
                        off = (s.height - t.height) / 0.06
                        pair[i, j] = agreement(s.chances, t.chances) - off * off / 4
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
        found: list[tuple[int, int]] = []
        for _, i, j in sorted(near):
            if all(i != x and j != y for x, y in found):
                found.append((i, j))
        return found

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


_State = dict[int, tuple[View, float]]


def place(photos: Sequence[PhotoReading]) -> Placement:
    """Find one rotation for every photo.

    Args:
        photos: Readings of single photos, in any order.

    Returns:
        The likeliest placement. Photos that share no character with the others
        are put behind them in the order given.
    """
    choices = [views_of(i, p) for i, p in enumerate(photos)]
    # The photo with most text, and a sure way up, holds the others.
    order = sorted(
        range(len(choices)),
        key=lambda i: (len(choices[i]), -len(choices[i][0].sightings)),
    )
    overlaps = Overlaps()
    parts: list[tuple[_State, float]] = []
    left = [i for i in order if choices[i][0].sightings]
    while left:
        state, margin = _grow(left, choices, overlaps)
        parts.append((state, margin))
        left = [i for i in left if i not in state]
    return _laid_out(choices, parts)


def _grow(
    left: Sequence[int], choices: Sequence[tuple[View, ...]], overlaps: Overlaps
) -> tuple[_State, float]:
    """The best set of photos linked to the first of `left`."""
    start: _State = {left[0]: (choices[left[0]][0], 0.0)}
    beam: list[tuple[float, _State]] = [(0.0, start)]
    finished: list[tuple[float, _State]] = list(beam)
    for _ in range(len(left) - 1):
        grown: dict[tuple[tuple[int, bool, int], ...], tuple[float, _State]] = {}
        for value, state in beam:
            for more, bigger in _extensions(value, state, left, choices, overlaps):
                key = tuple(
                    (i, v.turned, round((turn % 360.0) / 4.0))
                    for i, (v, turn) in sorted(bigger.items())
                )
                if key not in grown or grown[key][0] < more:
                    grown[key] = (more, bigger)
        beam = sorted(grown.values(), key=lambda s: -s[0])[:_BEAM]
        finished += beam
    finished.sort(key=lambda s: -s[0])
    best_value, best = finished[0]
    others = [value for value, state in finished[1:] if _differs(state, best)]
    return best, best_value - max(others, default=0.0)


def _extensions(
    value: float,
    state: _State,
    left: Sequence[int],
    choices: Sequence[tuple[View, ...]],
    overlaps: Overlaps,
) -> Iterable[tuple[float, _State]]:
    for i in left:
        if i in state:
            continue
        for view in choices[i]:
            turns = {
                round(turn + held_turn, 2)
                for held, held_turn in state.values()
                for turn in overlaps.candidates(held, view)
            }
            for turn in turns:
                more = sum(
                    overlaps.score(held, view, turn - held_turn)
                    for held, held_turn in state.values()
                )
                if more + _LINK > 0:
                    yield value + more + _LINK, {**state, i: (view, turn)}


def _differs(a: _State, b: _State) -> bool:
    return set(a) != set(b) or any(
        a[i][0].turned != b[i][0].turned or abs(difference_deg(a[i][1], b[i][1])) > 8.0
        for i in a
    )


def _laid_out(
    choices: Sequence[tuple[View, ...]], parts: Sequence[tuple[_State, float]]
) -> Placement:
    views = [c[0] for c in choices]
    turns, part = [0.0] * len(choices), [0] * len(choices)
    end = 0.0
    in_order = sorted(parts, key=lambda p: min(p[0]))
    for number, (state, _) in enumerate(in_order):
        first = min(turn for _, turn in state.values())
        for i, (view, turn) in state.items():
            views[i] = view
            turns[i], part[i] = turn - first + end, number
        end += max(t for _, t in state.values()) - first + 2 * SEEN_DEG
    for i, choice in enumerate(choices):
        if not choice[0].sightings:
            part[i] = -1
    linked = [margin for state, margin in parts if len(state) > 1]
    return Placement(
        tuple(views), tuple(turns), tuple(part), min(linked, default=float("inf"))
    )


def covered_deg(rotations: Iterable[float], seen_deg: float = SEEN_DEG) -> list[bool]:
    """For each whole degree round the ring, whether a photo showed it."""
    seen = [False] * 360
    for turn, d in itertools.product(rotations, range(360)):
        seen[d] = seen[d] or abs(difference_deg(d, turn)) <= seen_deg
    return seen
