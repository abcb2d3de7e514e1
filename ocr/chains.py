"""Which characters of a strip stand together: rows and columns."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from ocr.glyphs import punctuation, reread, symmetric

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from ocr.characters import RawGlyph

Chain = tuple[bool, "list[RawGlyph]"]
"""Whether it runs along the leg, and its characters in order of place."""


def merge_duplicates(glyphs: Iterable[RawGlyph]) -> list[RawGlyph]:
    """One character per place; what overlaps becomes alternatives of one."""
    kept: list[RawGlyph] = []
    for glyph in sorted(glyphs, key=lambda g: -g.score):
        twin = next((i for i, k in enumerate(kept) if _same_place(k, glyph)), None)
        if twin is None:
            kept.append(glyph)
            continue
        best = kept[twin]
        other = reread(glyph.probabilities, glyph.turn, best.turn)
        share = glyph.score / (glyph.score + best.score)
        mixed = (1 - share) * best.probabilities + share * other
        kept[twin] = replace(best, probabilities=mixed.astype(np.float32))
    return kept


def _same_place(a: RawGlyph, b: RawGlyph) -> bool:
    wide = min(a.x + a.w / 2, b.x + b.w / 2) - max(a.x - a.w / 2, b.x - b.w / 2)
    high = min(a.y + a.h / 2, b.y + b.h / 2) - max(a.y - a.h / 2, b.y - b.h / 2)
    if wide <= 0 or high <= 0:
        return False
    return wide * high > 0.45 * min(a.w * a.h, b.w * b.h)


@dataclass(frozen=True)
class Along:
    """A character seen along its line: `s` on, `t` across, and its extents."""

    s: float
    t: float
    length: float
    size: float


def along(g: RawGlyph, axial: bool) -> Along:
    """A character's place and extents as seen along a column or a row."""
    return Along(g.y, g.x, g.h, g.w) if axial else Along(g.x, g.y, g.w, g.h)


def _is_axial(g: RawGlyph) -> bool:
    return g.turn in (90, 270)


def _may_join(g: RawGlyph, axial: bool) -> bool:
    """Its turn fits the line, or its shape tells little about its turn."""
    return _is_axial(g) == axial or g.score < 0.5 or symmetric(g.probabilities) > 0.6


def _linked(a: RawGlyph, b: RawGlyph, axial: bool) -> bool:
    p, q = along(a, axial), along(b, axial)
    small, big = sorted((p.size, q.size))
    between = abs(p.s - q.s) - (p.length + q.length) / 2
    if axial and between > 2.5 * big:
        return False
    return big < 1.45 * small and abs(p.t - q.t) < 0.38 * small


def chains_of(glyphs: Sequence[RawGlyph]) -> list[Chain]:
    """Split characters into rows round the ring and columns along the leg.

    The chain with the most support is taken first, so that a character whose
    turn was misjudged follows its neighbours.
    """
    letters = [g for g in glyphs if not punctuation(g.probabilities)]
    marks = [g for g in glyphs if punctuation(g.probabilities)]
    chains: list[Chain] = []
    while letters:
        candidates = [
            (_support(chain, axial), axial, chain)
            for axial in (False, True)
            for chain in _components(letters, axial)
        ]
        _, axial, chain = max(candidates, key=lambda c: c[0])
        taken = {id(g) for g in chain}
        letters = [g for g in letters if id(g) not in taken]
        chain.sort(key=lambda g: along(g, axial).s)
        chains.append((axial, chain))
    for mark in marks:
        _attach(mark, chains)
    return chains


def _support(chain: Sequence[RawGlyph], axial: bool) -> float:
    return sum(g.score * (1.0 if _is_axial(g) == axial else -0.4) for g in chain)


def _components(glyphs: Sequence[RawGlyph], axial: bool) -> list[list[RawGlyph]]:
    """Connected sets of characters that may stand on one line."""
    left = [g for g in glyphs if _may_join(g, axial)]
    parts: list[list[RawGlyph]] = []
    while left:
        part = [left.pop()]
        for member in part:  # grows while it is walked
            near = [g for g in left if _linked(member, g, axial)]
            part.extend(near)
            left = [g for g in left if not any(g is n for n in near)]
        parts.append(part)
    return parts


def _attach(mark: RawGlyph, chains: list[Chain]) -> None:
    """Put a full stop or a dash into the line it stands in, if it stands in one."""
    best: tuple[float, bool, list[RawGlyph]] | None = None
    for axial, chain in chains:
        place = along(mark, axial)
        for g in chain:
            p = along(g, axial)
            off, on = abs(place.t - p.t), abs(place.s - p.s) - p.length / 2
            if off > 0.62 * p.size or on > 1.1 * p.size:
                continue
            cost = off / p.size + max(on, 0.0) / p.size
            cost += 0.3 * (_is_axial(mark) != axial)
            if best is None or cost < best[0]:
                best = (cost, axial, chain)
    if best is not None:
        _, axial, chain = best
        chain.append(mark)
        chain.sort(key=lambda g: along(g, axial).s)
