"""All photos' characters laid round one ring, each with all its evidence."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from ocr.characters import ALPHABET
from ocr.circle import SURE_DEG, agreement, difference_deg

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from ocr.placing import Placement
    from ocr.reading import Direction
    from ocr.views import Sighting

_PRIOR = 1.0 / 36
_KIN = 0.75
"""A second look at a character by the same readers counts for this much..."""
_KIN_FROM, _KIN_UP_TO = 0.6, 0.95
"""...where one look is as certain as the higher figure, and for nothing up to the
lower: a flake of dirt is the same 7 in every photo. In the tuning pictures and eight
sets of another make 8 of 11 characters were wrong that several saw, none with 0.7."""
_LEAST_SPOT = 0.3
"""After all looks, what is less likely is no character."""
_MOST_CERTAIN = {False: 0.997, True: 0.999}
"""However many photos agree, on a letter and on a digit. They share a typeface, and
one that is unlike others misleads them alike: in two sets of pictures of another
make 2 of 632 characters that several photos agreed on were wrong, a K each time."""
_ABSENT = 0.3
"""Odds of a character that another photo should show and does not."""


@dataclass(frozen=True)
class Spot:
    """One character of the ring with all its sightings."""

    phi_deg: float
    height: float
    width_deg: float
    height_span: float
    direction: Direction
    chances: NDArray[np.float64]
    votes: tuple[tuple[str, str], ...]
    gap_seen: float | None
    """Share of the sightings that saw a word gap before it; None: none could tell."""
    part: int
    """Characters of one part were placed by characters their photos share."""
    begins: bool
    """All sightings saw empty metal before it."""
    ends: bool
    """All sightings saw empty metal after it."""

    @property
    def mark(self) -> bool:
        """A full stop or a dash, whose size says nothing of the line's."""
        return _is_mark(self.chances)


def spots_of(placement: Placement) -> list[Spot]:
    """Sightings of one character brought together, their evidence multiplied."""
    placed = [
        ((s.phi_deg + turn) % 360.0, s)
        for view, turn in zip(placement.views, placement.rotation_deg, strict=True)
        for s in view.sightings
    ]
    # Characters that face the camera are placed best and gather the others.
    placed.sort(key=lambda p: abs(p[1].phi_deg))
    usual = _usual([s for _, s in placed])
    groups: list[list[tuple[float, Sighting]]] = []
    for phi, s in placed:
        home = min(
            (
                g
                for g in groups
                if placement.part[s.photo] == placement.part[g[0][1].photo]
                and _belongs(phi, s, g, usual)
            ),
            key=lambda g: abs(difference_deg(phi, g[0][0])),
            default=None,
        )
        if home is None:
            groups.append([(phi, s)])
        else:
            home.append((phi, s))
    spots = [_spot(g, placement) for g in groups]
    return [s for s in spots if float(s.chances.max()) > _LEAST_SPOT]


def _usual(sightings: Sequence[Sighting]) -> tuple[float, float]:
    """How wide characters of rows are, degrees, and how high those of columns."""
    wide = [s.width_deg for s in sightings if s.direction == "around"]
    high = [s.height_span for s in sightings if s.direction != "around"]
    return (
        0.8 * float(np.median(wide)) if wide else 0.0,
        0.8 * float(np.median(high)) if high else 0.0,
    )


def _belongs(
    phi: float,
    s: Sighting,
    group: Sequence[tuple[float, Sighting]],
    usual: tuple[float, float],
) -> bool:
    """Whether a sighting is of the same character; narrow ones count as usual."""
    seed_phi, seed = group[0]
    if s.direction != seed.direction or any(s.photo == m.photo for _, m in group):
        return False
    wide = max(s.width_deg, seed.width_deg, usual[0])
    # Angles far round are rough: what reads alike may lie further apart.
    alike = agreement(s.chances, seed.chances) > 1.5
    off = abs(s.height - seed.height)
    if s.direction == "around":
        # A point stands so near its neighbour that nothing is granted to angles.
        least = 0.0 if _is_mark(s.chances) != _is_mark(seed.chances) else 5.0
        reach = max(0.9 * wide, 8.0) if alike else max(0.55 * wide, least)
        return off < 0.16 and abs(difference_deg(phi, seed_phi)) < reach
    wide = max(s.width_deg, seed.width_deg)
    reach = max(0.75 * wide, 11.0) if alike else max(0.6 * wide, 7.0)
    # An I or a 1 takes up less of the column, yet its neighbours stand as far off.
    near = off < 0.6 * max(min(s.height_span, seed.height_span), usual[1])
    return near and abs(difference_deg(phi, seed_phi)) < reach


def _is_mark(chances: NDArray[np.float64]) -> bool:
    return ALPHABET[int(np.argmax(chances))] in ".-"


def _spot(group: Sequence[tuple[float, Sighting]], placement: Placement) -> Spot:
    phi0 = group[0][0]
    trust = np.array([np.cos(np.radians(s.phi_deg)) for _, s in group]) + 1e-3
    trust /= trust.sum()
    sightings = [s for _, s in group]
    offs = [difference_deg(phi, phi0) for phi, _ in group]
    chances = _bounded(multiplied([s.chances for s in sightings]))
    absent = _absences(phi0, {s.photo for s in sightings}, placement)
    return Spot(
        phi_deg=(phi0 + float(np.dot(trust, offs))) % 360.0,
        height=float(np.dot(trust, [s.height for s in sightings])),
        width_deg=float(np.dot(trust, [s.width_deg for s in sightings])),
        height_span=float(np.dot(trust, [s.height_span for s in sightings])),
        direction=sightings[0].direction,
        chances=_less_likely(chances, _ABSENT**absent),
        votes=tuple(v for s in sightings for v in s.votes),
        gap_seen=_gap_seen(sightings),
        part=placement.part[sightings[0].photo],
        begins=all(s.begins for s in sightings),
        ends=all(s.ends for s in sightings),
    )


def _gap_seen(sightings: Sequence[Sighting]) -> float | None:
    told = [s.gap_before for s in sightings if s.gap_before is not None]
    return sum(told) / len(told) if told else None


def multiplied(sightings: Sequence[NDArray[np.float64]]) -> NDArray[np.float64]:
    """Chances of one character after several looks at it.

    Args:
        sightings: (len(ALPHABET),) each, summing to at most 1.
    """
    if len(sightings) == 1:
        return sightings[0]
    surest = max(float(chances.max()) for chances in sightings)
    kin = _KIN * np.clip((surest - _KIN_FROM) / (_KIN_UP_TO - _KIN_FROM), 0.0, 1.0)
    weight = (1.0 + kin * (len(sightings) - 1)) / len(sightings)
    log = np.zeros(len(ALPHABET))
    unknown = 0.0
    for chances in sightings:
        rest = max(1.0 - float(chances.sum()), 1e-4)
        # What a reader left open may be any character it did not name.
        log += np.log(np.maximum(chances, rest * 0.01) / _PRIOR)
        unknown += np.log(rest)
    likelihood = np.exp(weight * log) * _PRIOR
    other = np.exp(weight * unknown)
    return np.asarray(likelihood / (likelihood.sum() + other), np.float64)


def _bounded(chances: NDArray[np.float64]) -> NDArray[np.float64]:
    """The likeliest no more certain than measured; the rest is left open."""
    best = int(np.argmax(chances))
    bounded = chances.copy()
    bounded[best] = min(chances[best], _MOST_CERTAIN[ALPHABET[best].isdigit()])
    return bounded


def _absences(phi: float, seen_by: set[int], placement: Placement) -> int:
    home = {placement.part[i] for i in seen_by}
    return sum(
        bool(view.sightings)
        and view.photo not in seen_by
        and placement.part[view.photo] in home
        and abs(difference_deg(phi, turn)) < SURE_DEG
        for view, turn in zip(placement.views, placement.rotation_deg, strict=True)
    )


def _less_likely(chances: NDArray[np.float64], odds: float) -> NDArray[np.float64]:
    total = min(float(chances.sum()), 0.999)
    if odds >= 1.0 or total <= 0:
        return chances
    smaller = total * odds / (total * odds + 1.0 - total)
    return np.asarray(chances * (smaller / total), np.float64)
