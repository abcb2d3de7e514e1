"""From characters round a ring to lines in reading order."""

from __future__ import annotations

import itertools
from typing import TYPE_CHECKING

import numpy as np

from ocr.characters import ALPHABET
from ocr.reading import Glyph, Line

if TYPE_CHECKING:
    from collections.abc import Sequence

    from ocr.fuse import Spot


def lines_of(spots: Sequence[Spot], seen: Sequence[bool]) -> tuple[Line, ...]:
    """The inscription in reading order.

    Args:
        spots: Characters round the ring.
        seen: For each whole degree, whether a photo showed it.

    Returns:
        Lines, their angles running on past 360 where the text does. The text
        begins after the widest empty stretch, or with the first photo where
        the photos share nothing and stretches between them are guesses.
    """
    if not spots:
        return ()
    guessed = len({s.part for s in spots}) > 1
    start = _before_first_part(spots) if guessed else _start_deg(spots)
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


_Placed = tuple["Spot", float]
"""A character and its angle, running on past 360."""


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


def _before_first_part(spots: Sequence[Spot]) -> float:
    """The middle of the stretch before the first photo's first character."""
    lead = min(s.part for s in spots)
    first = min((s.phi_deg + 20.0) % 360.0 for s in spots if s.part == lead) - 20.0
    ahead = min((first - s.phi_deg) % 360.0 for s in spots if s.part != lead)
    return (first - ahead / 2) % 360.0


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
    # A full stop stands at its column's edge: it joins a column, it begins none.
    letters = [p for p in axial if not p[0].mark]
    marks = [p for p in axial if p[0].mark]
    for spot, phi in letters or marks:
        last = columns[-1] if columns else []
        width = np.median([s.width_deg for s, _ in last]) if last else 0.0
        if last and phi - float(np.mean([p for _, p in last])) < max(0.6 * width, 6.0):
            last.append((spot, phi))
        else:
            columns.append([(spot, phi)])
    for spot, phi in marks if letters else ():
        away = [abs(float(np.mean([p for _, p in c])) - phi) for c in columns]
        columns[int(np.argmin(away))].append((spot, phi))
    for column in columns:
        down = column[0][0].direction == "axial_down"
        column.sort(key=lambda p: -p[0].height if down else p[0].height)
    return columns


def _broken(row: Sequence[_Placed], walls: Sequence[float]) -> list[list[_Placed]]:
    """A row parted by columns, and where photos that share nothing show both ends."""
    parts: list[list[_Placed]] = []
    before: tuple[Spot, int] | None = None
    for spot, phi in row:
        place = sum(w < phi for w in walls)
        if before is None or place != before[1] or _ends_between(before[0], spot):
            parts.append([])
        parts[-1].append((spot, phi))
        before = (spot, place)
    return parts


def _ends_between(a: Spot, b: Spot) -> bool:
    return a.part != b.part and a.ends and b.begins


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
