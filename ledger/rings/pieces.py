"""An inscription taken apart, and the ways along which it may be read."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from ledger.rings.alphabet import CODE, OTHER, is_sign, plain

if TYPE_CHECKING:
    from collections.abc import Sequence

NO_GAP, GAP, UNKNOWN_GAP, SEAM = 0, 1, 2, 3
"""Whether a space stands before a character: not known where a reading goes on
from one recorded line to the next; at the seam, where a text round the ring ends
and begins, there is a wide one."""
IN_WORD, WORD_EDGE, LINE_EDGE = 0, 1, 2

_SHORTEST_CIRCLE = 3
"""Shorter lines do not go round a ring by themselves."""


@dataclass(frozen=True)
class Inscription:
    """A recorded inscription, letter by letter."""

    signs: str
    """All characters in reading order, no spaces, lines joined."""
    line_starts: tuple[int, ...]
    gaps: frozenset[int]
    """Places in `signs` that a space stands before, in one line."""

    def line_bounds(self) -> list[tuple[int, int]]:
        """First place and the place after the last, line by line."""
        ends = (*self.line_starts[1:], len(self.signs))
        return list(zip(self.line_starts, ends, strict=True))


@lru_cache(maxsize=65536)
def inscribed(text: str) -> Inscription:
    """Take an inscription apart; lines are parted by `/`."""
    signs: list[str] = []
    starts: list[int] = []
    gaps: set[int] = set()
    for line in plain(text).split("/"):
        start, gap = len(signs), False
        for sign in line:
            if is_sign(sign):
                if gap and len(signs) > start:
                    gaps.add(len(signs))
                signs.append(sign)
                gap = False
            else:
                gap = True
        if len(signs) > start:
            starts.append(start)
    return Inscription("".join(signs), tuple(starts) or (0,), frozenset(gaps))


@dataclass(frozen=True)
class Piece:
    """One track of an inscription before it joins the row."""

    codes: Sequence[int]
    gaps: Sequence[int]
    starts: Sequence[int]
    """Edge kind before each place."""
    ends: Sequence[int]
    """Edge kind after each place."""
    n_starts: int
    """How many of the first places a reading may begin at."""


def _piece(
    codes: Sequence[int], gaps: Sequence[int], edges: Sequence[int], seam: int
) -> Piece:
    """A text round a ring.

    Args: `gaps` and `edges` tell what stands before each place; `seam`, what stands
    before the first one once round.
    """
    n = len(codes)
    ends = [*edges[1:], LINE_EDGE]
    first_again = [seam, *gaps[1:]]
    return Piece(
        [*codes, *codes],
        [*gaps, *first_again],
        [*edges, *edges],
        [*ends, *ends],
        n,
    )


@lru_cache(maxsize=65536)
def pieces_of(text: str) -> tuple[Piece, ...]:
    """The tracks of one inscription; none where it holds no character."""
    inscription = inscribed(text)
    codes = [CODE.get(sign, OTHER) for sign in inscription.signs]
    return tuple(pieces(codes, inscription))


def pieces(codes: Sequence[int], inscription: Inscription) -> list[Piece]:
    """The tracks of an inscription whose characters have these codes."""
    n = len(codes)
    if not n:
        return []
    starts = set(inscription.line_starts)
    gaps = [
        UNKNOWN_GAP if at in starts else GAP if at in inscription.gaps else NO_GAP
        for at in range(n)
    ]
    edges = [
        LINE_EDGE if at in starts else WORD_EDGE if at in inscription.gaps else IN_WORD
        for at in range(n)
    ]
    bounds = inscription.line_bounds()
    # Of several lines, the last goes on in the first as any does in the next.
    made = [_piece(codes, gaps, edges, SEAM if len(bounds) == 1 else UNKNOWN_GAP)]
    if len(bounds) > 1:
        made += [
            _piece(codes[a:b], gaps[a:b], edges[a:b], SEAM)
            for a, b in bounds
            if b - a >= _SHORTEST_CIRCLE
        ]
    return made
