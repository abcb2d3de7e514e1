"""Where round the ring each photo looks: one rotation per photo fits all its lines.

The rotations that explain all photos best, characters and empty places alike, win.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ocr.circle import SEEN_DEG, Overlaps, difference_deg, repeats
from ocr.views import View, views_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from ocr.reading import PhotoReading

_LINK = -2.0
"""Before looking, what it costs in nats that a photo lies just there."""
_BEAM = 80
_UNOPPOSED = 7.0
"""Nats granted to a placement that nothing speaks against: a text that repeats
itself overlaps by chance in more places than it does in truth."""


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


_State = dict[int, tuple[View, float]]


def place(photos: Sequence[PhotoReading]) -> Placement:
    """Find one rotation for every photo.

    Args:
        photos: Readings of single photos, in any order.

    Returns:
        The likeliest placement. Photos that share no character with the others
        are put behind them in the order given.
    """
    aspect = _usual([p.aspect for p in photos if p.aspect])
    choices = [views_of(i, p, aspect) for i, p in enumerate(photos)]
    # The photo with most text, and a sure way up, holds the others.
    order = sorted(
        range(len(choices)),
        key=lambda i: (len(choices[i]), -len(choices[i][0].sightings)),
    )
    overlaps = Overlaps()
    wary = Overlaps(repeats(c[0] for c in choices))
    parts: list[tuple[_State, float]] = []
    left = [i for i in order if choices[i][0].sightings]
    while left:
        found = _grow(left, choices, overlaps)
        state = found[0][1]
        margin = min(_margin(found, overlaps), _margin(found, wary))
        parts.append((state, margin))
        left = [i for i in left if i not in state]
    return _laid_out(choices, parts)


def _usual(aspects: Sequence[float]) -> float:
    """The one in the middle, of two the smaller; 0 where there is none."""
    return sorted(aspects)[(len(aspects) - 1) // 2] if aspects else 0.0


def _grow(
    left: Sequence[int], choices: Sequence[tuple[View, ...]], overlaps: Overlaps
) -> list[tuple[float, _State]]:
    """The sets of photos linked to the first of `left`, the likeliest first."""
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
    return sorted(finished, key=lambda s: -s[0])


def _margin(found: Sequence[tuple[float, _State]], overlaps: Overlaps) -> float:
    """By how much the first beats every different one; below 0: it does not."""
    best = found[0][1]
    others = (
        _value(s, overlaps) + _UNOPPOSED * (set(s) == set(best) and _fits(s, overlaps))
        for _, s in found[1:]
        if _differs(s, best)
    )
    return _value(best, overlaps) - max(others, default=0.0)


def _fits(state: _State, overlaps: Overlaps) -> bool:
    """Whether no two photos speak against lying so."""
    pairs = itertools.combinations(state.values(), 2)
    return all(overlaps.score(a, b, to - held) > -0.5 for (a, held), (b, to) in pairs)


def _value(state: _State, overlaps: Overlaps) -> float:
    pairs = itertools.combinations(state.values(), 2)
    agreed = sum(overlaps.score(a, b, turn - held) for (a, held), (b, turn) in pairs)
    return agreed + _LINK * (len(state) - 1)


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
    in_order = sorted(parts, key=lambda p: min(p[0]))
    extents = [_extent(state) for state, _ in in_order]
    for number, ((state, _), start) in enumerate(
        zip(in_order, _starts(extents), strict=True)
    ):
        for i, (view, turn) in state.items():
            views[i] = view
            turns[i], part[i] = turn - extents[number].first + start, number
    for i, choice in enumerate(choices):
        if not choice[0].sightings:
            part[i] = -1
    linked = [margin for state, margin in parts if len(state) > 1]
    return Placement(
        tuple(views), tuple(turns), tuple(part), min(linked, default=float("inf"))
    )


@dataclass(frozen=True)
class _Extent:
    """What linked photos show: from where to where, and between which characters."""

    seen_from: float
    first: float
    last: float
    seen_to: float


def _extent(state: _State) -> _Extent:
    places = [turn + s.phi_deg for view, turn in state.values() for s in view.sightings]
    turns = [turn for _, turn in state.values()]
    first, last = min(places), max(places)
    return _Extent(
        min(min(turns) - SEEN_DEG, first), first, last, max(max(turns) + SEEN_DEG, last)
    )


def _starts(extents: Sequence[_Extent]) -> list[float]:
    """Where the first character of each part lies if their views just touch.

    Views that together show more than the ring has overlap in empty metal: the
    gaps between the texts shrink alike.
    """
    if len(extents) == 1:
        return [extents[0].first]
    pairs = zip(extents, [*extents[1:], extents[0]], strict=True)
    gaps = [a.seen_to - a.last + b.first - b.seen_from for a, b in pairs]
    room = 360.0 - sum(e.last - e.first for e in extents)
    shrink = min(1.0, max(room, 0.0) / max(sum(gaps), 1.0))
    starts = [0.0]
    for extent, gap in zip(extents[:-1], gaps[:-1], strict=True):
        starts.append(starts[-1] + extent.last - extent.first + gap * shrink)
    return starts
