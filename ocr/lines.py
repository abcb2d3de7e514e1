"""From the characters of a strip to lines in reading order.

A ring carries text round it (`around`), along the leg (`axial_up`, turned
counter-clockwise; `axial_down`, turned clockwise), or both. The strip may lie
upside down: the text decides.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, cast

import numpy as np

from ocr.chains import Chain, along, chains_of, merge_duplicates
from ocr.glyphs import informative, punctuation, reread, stop, telling, untwinned

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from ocr.characters import RawGlyph, Turn
    from ocr.reading import Direction

WEAKEST = 0.25
"""A mark below this score is no character."""
LONE_WEAKEST = 0.55
"""A character that stands alone must be surer than one in company."""
_STOP_TELLS = 0.8
"""How much a full stop says of which way up a line stands, a clear letter saying 1."""
_TURN_TOLD = 0.8
"""Clear letters, or what they amount to, that tell for certain how a line stands."""
SEEN_DEG = 58.0
"""Characters further round than this are too oblique to be counted on."""


@dataclass(frozen=True)
class Sheet:
    """Size of a strip, and which part of the ring it shows."""

    width_px: int
    height_px: int
    span_deg: float

    def phi_deg(self, x: float) -> float:
        """Degrees round the ring of column `x`; 0 faces the camera."""
        return (x / self.width_px - 0.5) * self.span_deg

    def height(self, y: float) -> float:
        """Height between the rims of row `y`, 0 (lower) to 1 (upper)."""
        return 1.0 - y / self.height_px


@dataclass(frozen=True)
class RawLine:
    """Characters of one line in reading order, in pixels of the upright strip."""

    glyphs: tuple[RawGlyph, ...]
    direction: Direction
    gaps: tuple[bool, ...]
    """Whether a word gap stands before each character."""
    cut_start: bool = False
    cut_end: bool = False


@dataclass(frozen=True)
class Layout:
    """All lines of one strip."""

    lines: tuple[RawLine, ...]
    turned: bool
    """The strip must be turned by 180 degrees to be upright."""
    upright_chance: float
    """Chance that the decision `turned` is right; 0.5 where nothing tells."""


def group(found: Iterable[RawGlyph], sheet: Sheet) -> Layout:
    """Sort characters into lines and decide which way up the strip lies.

    Args:
        found: Characters in pixels of the strip as given.
        sheet: Size and span of that strip.

    Returns:
        Lines in pixels of the strip turned upright.
    """
    glyphs = merge_duplicates(g for g in found if g.score >= WEAKEST)
    chains = chains_of(glyphs)
    turned, chance = _which_way_up(chains)
    if turned:
        chains = [(axial, [_half_turn(g, sheet) for g in c]) for axial, c in chains]
    around = [_one_turn(c, 0) for axial, c in chains if not axial]
    columns = [c for axial, c in chains if axial]
    right, left = _stops(columns, axial=True)
    down = _vote(columns, 270) + left > _vote(columns, 90) + right
    columns = [_one_turn(c, 270 if down else 90) for c in columns]
    columns = [sorted(c, key=lambda g: g.y if down else -g.y) for c in columns]
    around = _break_at_columns(around, columns)
    direction: Direction = "axial_down" if down else "axial_up"
    lines = [_around_line(c, sheet) for c in around]
    lines += [RawLine(tuple(c), direction, _gaps(c, axial=True)) for c in columns]
    lines = [line for line in lines if _is_believable(line)]
    return Layout(_reading_order(lines), turned, chance)


# Turns.


def _vote(chains: Iterable[Sequence[RawGlyph]], turn: int) -> float:
    return sum(
        g.score * informative(g.probabilities)
        for chain in chains
        for g in chain
        if g.turn == turn
    )


def _stops(chains: Iterable[Sequence[RawGlyph]], *, axial: bool) -> tuple[float, float]:
    """Votes of full stops that lie below the middle of their row, and above it.

    A full stop stands at the foot of its line: where 8.0 lies upside down it is at
    the top. In columns: to the right of the middle, and to the left.
    """
    after = before = 0.0
    for chain in chains:
        letters = [along(g, axial) for g in chain if not punctuation(g.probabilities)]
        if not letters:
            continue
        size = float(np.median([p.size for p in letters]))
        for mark in (g for g in chain if punctuation(g.probabilities)):
            place = along(mark, axial)
            near = int(np.argmin([abs(p.s - place.s) for p in letters]))
            off = (place.t - letters[near].t) / size
            weight = _STOP_TELLS * mark.score * stop(mark.probabilities)
            after += weight * (off > 0.2)
            before += weight * (off < -0.2)
    return after, before


def _which_way_up(chains: Sequence[Chain]) -> tuple[bool, float]:
    rows = [c for axial, c in chains if not axial]
    low, high = _stops(rows, axial=False)
    up, down = _vote(rows, 0) + low, _vote(rows, 180) + high
    return down > up, 1.0 / (1.0 + math.exp(-2.5 * abs(up - down)))


def _half_turn(g: RawGlyph, sheet: Sheet) -> RawGlyph:
    turn = cast("Turn", (g.turn + 180) % 360)
    return replace(g, x=sheet.width_px - g.x, y=sheet.height_px - g.y, turn=turn)


def _one_turn(chain: Sequence[RawGlyph], turn: Turn) -> list[RawGlyph]:
    """All characters of a line share its turn; those seen otherwise are re-read.

    Where others tell the turn for certain, a 6 can no longer be a 9 on its head.
    """
    votes = [
        g.score * telling(g.probabilities) * ((g.turn == turn) - (g.turn != turn))
        for g in chain
    ]
    told = sum(votes)
    return [
        _stood(g, turn, certain=told - vote >= _TURN_TOLD)
        for g, vote in zip(chain, votes, strict=True)
    ]


def _stood(g: RawGlyph, turn: Turn, *, certain: bool) -> RawGlyph:
    chances = untwinned(g.probabilities, g.half_turn) if certain else g.probabilities
    return replace(g, probabilities=reread(chances, g.turn, turn), turn=turn)


# Lines.


def _break_at_columns(
    rows: Sequence[list[RawGlyph]], columns: Sequence[list[RawGlyph]]
) -> list[list[RawGlyph]]:
    """Text along the leg parts the text round it into lines of their own."""
    walls = sorted(float(np.mean([g.x for g in c])) for c in columns)
    parts: list[list[RawGlyph]] = []
    for row in rows:
        by_place: dict[int, list[RawGlyph]] = {}
        for g in sorted(row, key=lambda g: g.x):
            by_place.setdefault(sum(wall < g.x for wall in walls), []).append(g)
        parts.extend(by_place.values())
    return parts


def _gaps(chain: Sequence[RawGlyph], axial: bool) -> tuple[bool, ...]:
    """Where words begin: clear spaces wider than the line's own letter spacing."""
    seen = [along(g, axial) for g in chain]
    if len(seen) < 2:
        return (False,) * len(seen)
    marks = [punctuation(g.probabilities) for g in chain]
    letters = [p.length for p, mark in zip(seen, marks, strict=True) if not mark]
    typical = float(np.median(letters or [p.length for p in seen]))
    clear = [
        abs(b.s - a.s) - (a.length + b.length) / 2 for a, b in itertools.pairwise(seen)
    ]
    between = [
        c
        for c, pair in zip(clear, itertools.pairwise(marks), strict=True)
        if not any(pair)
    ] or clear
    usual = max(float(np.percentile(between, 25)), 0.0)
    if len(between) < 3:  # too few to tell wide spacing from a gap
        usual = min(usual, 0.9 * typical)
    limits = [
        usual + (1.3 if any(pair) else 0.38) * typical
        for pair in itertools.pairwise(marks)
    ]
    return (False, *(c > limit for c, limit in zip(clear, limits, strict=True)))


def _around_line(chain: Sequence[RawGlyph], sheet: Sheet) -> RawLine:
    first, last = chain[0], chain[-1]
    step = float(np.median([g.w for g in chain])) * 1.3
    if len(chain) > 2:
        step = float(np.median(np.diff([g.x for g in chain])))
    return RawLine(
        tuple(chain),
        "around",
        _gaps(chain, axial=False),
        cut_start=sheet.phi_deg(first.x - step) < -SEEN_DEG,
        cut_end=sheet.phi_deg(last.x + step) > SEEN_DEG,
    )


def _is_believable(line: RawLine) -> bool:
    strongest = max(g.score for g in line.glyphs)
    return strongest >= (LONE_WEAKEST if len(line.glyphs) == 1 else 0.4)


def _reading_order(lines: Sequence[RawLine]) -> tuple[RawLine, ...]:
    """Rows from the top; columns as the ring is read when turned to them.

    Rings with both kinds are read from left to right.
    """

    def x(line: RawLine) -> float:
        return float(np.mean([g.x for g in line.glyphs]))

    def y(line: RawLine) -> float:
        return float(np.mean([g.y for g in line.glyphs]))

    kinds = {line.direction for line in lines}
    if kinds == {"around"}:
        return tuple(sorted(lines, key=lambda line: (y(line), x(line))))
    if kinds == {"axial_down"}:
        return tuple(sorted(lines, key=x, reverse=True))
    return tuple(sorted(lines, key=lambda line: (x(line), y(line))))
