"""All photos' characters, laid round one ring, made into one inscription."""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from ocr.characters import ALPHABET
from ocr.circle import SURE_DEG, difference_deg
from ocr.reading import Glyph, Line

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from ocr.circle import Placement, Sighting
    from ocr.reading import Direction

_PRIOR = 1.0 / 36
_KIN = 0.75
"""A second look at a character by the same readers counts for this much."""
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

    @property
    def mark(self) -> bool:
        """A full stop or a dash, whose size says nothing of the line's."""
        return ALPHABET[int(np.argmax(self.chances))] in ".-"


def spots_of(placement: Placement) -> list[Spot]:
    """Sightings of one character brought together, their evidence multiplied."""
    placed = [
        ((s.phi_deg + turn) % 360.0, s)
        for view, turn in zip(placement.views, placement.rotation_deg, strict=True)
        for s in view.sightings
    ]
    # Characters that face the camera are placed best and gather the others.
    placed.sort(key=lambda p: abs(p[1].phi_deg))
    groups: list[list[tuple[float, Sighting]]] = []
    for phi, s in placed:
        home = min(
            (g for g in groups if _belongs(phi, s, g)),
            key=lambda g: abs(difference_deg(phi, g[0][0])),
            default=None,
        )
        if home is None:
            groups.append([(phi, s)])
        else:
            home.append((phi, s))
    spots = [_spot(g, placement) for g in groups]
    return [s for s in spots if float(s.chances.max()) > 0.12]


def _belongs(phi: float, s: Sighting, group: Sequence[tuple[float, Sighting]]) -> bool:
    seed_phi, seed = group[0]
    if s.direction != seed.direction or any(s.photo == m.photo for _, m in group):
        return False
    reach = max(0.55 * max(s.width_deg, seed.width_deg), 5.0)
    if s.direction != "around":
        reach = max(0.6 * max(s.width_deg, seed.width_deg), 7.0)
        near = abs(s.height - seed.height) < 0.6 * min(s.height_span, seed.height_span)
    else:
        near = abs(s.height - seed.height) < 0.16
    return near and abs(difference_deg(phi, seed_phi)) < reach


def _spot(group: Sequence[tuple[float, Sighting]], placement: Placement) -> Spot:
    phi0 = group[0][0]
    trust = np.array([np.cos(np.radians(s.phi_deg)) for _, s in group]) + 1e-3
    trust /= trust.sum()
    sightings = [s for _, s in group]
    offs = [difference_deg(phi, phi0) for phi, _ in group]
    chances = multiplied([s.chances for s in sightings])
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
    weight = (1.0 + _KIN * (len(sightings) - 1)) / len(sightings)
    log = np.zeros(len(ALPHABET))
    unknown = 0.0
    for chances in sightings:
        rest = max(1.0 - float(chances.sum()), 1e-4)
        # What a reader left open may be any character it did not name.
        log += np.log(np.maximum(chances, rest * 0.01) / _PRIOR)
        unknown += np.log(rest)
    likelihood = np.exp(weight * log) * _PRIOR
    other = np.exp(weight * unknown) * 0.3
    return np.asarray(likelihood / (likelihood.sum() + other), np.float64)


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


# Lines.


def lines_of(spots: Sequence[Spot], seen: Sequence[bool]) -> tuple[Line, ...]:
    """The inscription in reading order.

    Args:
        spots: Characters round the ring.
        seen: For each whole degree, whether a photo showed it.

    Returns:
        Lines, their angles running on past 360 where the text does. The text
        begins after the widest empty stretch.
    """
    if not spots:
        return ()
    start = _start_deg(spots)
    unrolled = [(s, (s.phi_deg - start) % 360.0) for s in spots]
    unrolled.sort(key=lambda p: p[1])
    around = [(s, phi) for s, phi in unrolled if s.direction == "around"]
    columns = _columns([(s, phi) for s, phi in unrolled if s.direction != "around"])
    rows = [
        part
        for row in _rows(around)
        for part in _broken(row, [float(np.mean([p for _, p in c])) for c in columns])
    ]
    ordered = _ordered(rows, columns)
    return tuple(_line(line, start, seen) for line in ordered)


_Placed = tuple[Spot, float]


def _start_deg(spots: Sequence[Spot]) -> float:
    """The middle of the widest stretch without text."""
    edges = sorted(
        ((s.phi_deg - s.width_deg / 2) % 360.0, (s.phi_deg + s.width_deg / 2) % 360.0)
        for s in spots
    )
    best, middle = -1.0, 0.0
    for _, end in edges:
        ahead = min(
            (
                (begin - end) % 360.0
                for begin, _ in edges
                if not _covered(end + 0.01, edges)
            ),
            default=-1.0,
        )
        if ahead > best:
            best, middle = ahead, end + ahead / 2
    return middle % 360.0


def _covered(phi: float, edges: Sequence[tuple[float, float]]) -> bool:
    return any((phi - begin) % 360.0 < (end - begin) % 360.0 for begin, end in edges)


def _rows(around: Sequence[_Placed]) -> list[list[_Placed]]:
    rows: list[list[_Placed]] = []
    letters = [p for p in around if not p[0].mark]
    for spot, phi in letters:
        for row in rows:
            near = min(row, key=lambda p: abs(p[1] - phi))[0]
            close = 0.45 * min(near.height_span, spot.height_span)
            if abs(near.height - spot.height) < max(close, 0.08):
                row.append((spot, phi))
                break
        else:
            rows.append([(spot, phi)])
    for spot, phi in around:
        if spot.mark and rows:
            reach = [
                min(abs(p - phi) / 20 + abs(s.height - spot.height) / 0.3 for s, p in r)
                for r in rows
            ]
            rows[int(np.argmin(reach))].append((spot, phi))
    return [sorted(row, key=lambda p: p[1]) for row in rows]


def _columns(axial: Sequence[_Placed]) -> list[list[_Placed]]:
    columns: list[list[_Placed]] = []
    for spot, phi in axial:
        last = columns[-1] if columns else []
        width = np.median([s.width_deg for s, _ in last]) if last else 0.0
        if last and phi - float(np.mean([p for _, p in last])) < max(0.6 * width, 6.0):
            last.append((spot, phi))
        else:
            columns.append([(spot, phi)])
    for column in columns:
        down = column[0][0].direction == "axial_down"
        column.sort(key=lambda p: -p[0].height if down else p[0].height)
    return columns


def _broken(row: Sequence[_Placed], walls: Sequence[float]) -> list[list[_Placed]]:
    parts: dict[int, list[_Placed]] = {}
    for spot, phi in row:
        parts.setdefault(sum(w < phi for w in walls), []).append((spot, phi))
    return list(parts.values())


def _ordered(
    rows: Sequence[list[_Placed]], columns: Sequence[list[_Placed]]
) -> list[list[_Placed]]:
    def phi(line: Sequence[_Placed]) -> float:
        return float(np.mean([p for _, p in line]))

    def height(line: Sequence[_Placed]) -> float:
        return float(np.mean([s.height for s, _ in line]))

    if not columns:
        return sorted(rows, key=lambda r: -height(r))
    if not rows:
        down = columns[0][0][0].direction == "axial_down"
        return sorted(columns, key=phi, reverse=down)
    return sorted([*rows, *columns], key=lambda r: (phi(r), -height(r)))


def _line(line: Sequence[_Placed], start: float, seen: Sequence[bool]) -> Line:
    direction = line[0][0].direction
    glyphs = []
    gaps = _gaps(line)
    for (spot, phi), gap in zip(line, gaps, strict=True):
        order = np.argsort(-spot.chances)[:8]
        alternatives = tuple(
            (ALPHABET[i], round(float(spot.chances[i]), 5))
            for i in order
            if spot.chances[i] >= 0.002
        )
        glyphs.append(
            Glyph(
                text=ALPHABET[order[0]],
                probability=float(spot.chances[order[0]]),
                alternatives=alternatives,
                phi_deg=phi + start,
                height=spot.height,
                width_deg=spot.width_deg,
                height_span=spot.height_span,
                gap_before=gap,
                votes=spot.votes,
            )
        )
    if direction != "around":
        return Line(tuple(glyphs), direction)
    return Line(
        tuple(glyphs),
        direction,
        cut_start=_unseen_beside(glyphs[0], -1, seen),
        cut_end=_unseen_beside(glyphs[-1], 1, seen),
    )


def _gaps(line: Sequence[_Placed]) -> list[bool]:
    """Word gaps as the photos saw them; between photos, by the space itself."""
    gaps = [False]
    for (a, phi_a), (b, phi_b) in itertools.pairwise(line):
        if b.gap_seen is not None:
            gaps.append(b.gap_seen >= 0.5)
        else:
            clear = phi_b - phi_a - (a.width_deg + b.width_deg) / 2
            gaps.append(a.direction == "around" and clear > 0.8 * b.width_deg)
    return gaps


def _unseen_beside(glyph: Glyph, side: int, seen: Sequence[bool]) -> bool:
    """No photo shows whether another character follows."""
    pitch = 1.3 * glyph.width_deg
    return not all(
        seen[round(glyph.phi_deg + side * (pitch * k / 4 + glyph.width_deg / 2)) % 360]
        for k in range(1, 4)
    )
