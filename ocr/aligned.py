"""Photos placed round a ring, each with its own errors of scale taken out.

Where a photo's pose is a little wrong, all its characters lie too far round or too
high, and in proportion: those that other photos show too tell by how much.
"""

from __future__ import annotations

import itertools
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from ocr.circle import agreement, difference_deg, each_once

if TYPE_CHECKING:
    from collections.abc import Sequence

    from ocr.placing import Placement
    from ocr.views import Sighting, View

_Pair = tuple[float, float]
"""What a photo says, and what those that hold it say."""

_NEAR_DEG, _NEAR_HEIGHT = 16.0, 0.22
"""Further apart than this, two sightings are not of one character."""
_ALIKE = 1.5
"""Nats for being of one character from which a pair counts."""
_LEAST_SPREAD_DEG, _LEAST_SPREAD_HEIGHT = 25.0, 0.2
"""Of characters nearer together a scale cannot be told."""
_OFF_DEG, _OFF_HEIGHT = 2.5, 0.025
"""Usual errors; smaller ones are left as they are."""
_MOST_SCALE = 1.35
_LEAST_PAIRS = 3


def aligned(placement: Placement) -> Placement:
    """The same places with angles and heights corrected where characters tell how."""
    views = list(placement.views)
    for part in set(placement.part) - {-1}:
        members = [i for i, p in enumerate(placement.part) if p == part]
        members.sort(key=lambda i: -_worth(views[i]))
        held = [_placed(views[members[0]], placement.rotation_deg[members[0]])]
        for i in members[1:]:
            turn = placement.rotation_deg[i]
            views[i] = _fitted(views[i], turn, held)
            held.append(_placed(views[i], turn))
    return replace(placement, views=tuple(views))


def _worth(view: View) -> float:
    """How well a photo serves to hold others: much text that faces the camera."""
    facing = [
        float(s.chances.max() * np.cos(np.radians(s.phi_deg))) for s in view.sightings
    ]
    return sum(facing) / (1 + (view.rim != 0))


def _placed(view: View, turn: float) -> list[Sighting]:
    """The photo's characters at their angles round the ring."""
    return [replace(s, phi_deg=s.phi_deg + turn) for s in view.sightings]


def _fitted(view: View, turn: float, held: Sequence[Sequence[Sighting]]) -> View:
    sightings = list(view.sightings)
    for _ in range(2):  # better placed, more of them find their partner
        pairs = [pair for other in held for pair in _pairs(sightings, turn, other)]
        phi = [
            (s.phi_deg, s.phi_deg + difference_deg(o.phi_deg, s.phi_deg + turn))
            for s, o in pairs
        ]
        scale, shift = _line(phi, _LEAST_SPREAD_DEG, _OFF_DEG)
        high = [(s.height, o.height) for s, o in pairs]
        taller, up = _line(high, _LEAST_SPREAD_HEIGHT, _OFF_HEIGHT)
        sightings = [
            replace(
                s,
                phi_deg=scale * s.phi_deg + shift,
                width_deg=scale * s.width_deg,
                height=taller * s.height + up,
                height_span=taller * s.height_span,
            )
            for s in sightings
        ]
    return replace(view, sightings=tuple(sightings))


def _pairs(
    sightings: Sequence[Sighting], turn: float, other: Sequence[Sighting]
) -> list[tuple[Sighting, Sighting]]:
    """Sightings of one character in two photos, each once, the surest first."""
    found = []
    for i, s in enumerate(sightings):
        for j, o in enumerate(other):
            off = abs(difference_deg(o.phi_deg, s.phi_deg + turn)) / _NEAR_DEG
            high = abs(o.height - s.height) / _NEAR_HEIGHT
            if s.direction != o.direction or max(off, high) > 1.0:
                continue
            alike = agreement(s.chances, o.chances)
            if alike > _ALIKE:
                found.append((2 * off * off + 2 * high * high - alike, i, j))
    return [(sightings[i], other[j]) for i, j in each_once(found)]


def _line(
    pairs: Sequence[_Pair], least_spread: float, usual_off: float
) -> tuple[float, float]:
    """Scale and shift that bring what a photo says to what the others say.

    By the median of all slopes between two pairs, so that a few wrong pairs do no
    harm: P. K. Sen, Journal of the American Statistical Association 63, 1968.

    Returns:
        1 and 0 where the pairs agree as well as they usually do, or tell nothing.
    """
    if len(pairs) < _LEAST_PAIRS:
        return 1.0, 0.0
    mine, theirs = np.array(pairs).T
    before = float(np.median(np.abs(theirs - mine)))
    slopes = [
        (b[1] - a[1]) / (b[0] - a[0])
        for a, b in itertools.combinations(pairs, 2)
        if abs(b[0] - a[0]) > least_spread
    ]
    if before < usual_off or len(slopes) < _LEAST_PAIRS:
        return 1.0, 0.0
    scale = float(np.clip(np.median(slopes), 1 / _MOST_SCALE, _MOST_SCALE))
    shift = float(np.median(theirs - scale * mine))
    after = float(np.median(np.abs(theirs - scale * mine - shift)))
    return (scale, shift) if after < 0.6 * before else (1.0, 0.0)
