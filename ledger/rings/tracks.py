"""Every inscription ever recorded, laid end to end for one sweep over all.

A track is a text that may be read along: the whole inscription round the ring,
twice over so that a reading may begin anywhere, and each of its lines by itself.
All tracks lie in one long row of codes, parted by a separator that nothing
matches, so that a step along every track is one step along the row.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from typing import TYPE_CHECKING

import numpy as np

from ledger.rings.alphabet import CODE, MARKS, OTHER, is_sign, plain

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray

SEPARATOR = 255
NO_GAP, GAP, UNKNOWN_GAP, SEAM = 0, 1, 2, 3
"""Whether a space stands before a character: not known where a reading goes on
from one recorded line to the next; at the seam, where a text round the ring ends
and begins, there is a wide one."""
IN_WORD, WORD_EDGE, LINE_EDGE = 0, 1, 2

_BLOCK = 16384
_SHORTEST_CIRCLE = 3
"""Shorter lines do not go round a ring by themselves."""
_SKIP = 0.02
"""Chance that a reader misses a character in the middle of a line."""
_SKIP_FIRST = 0.1
"""That much less often the first one of a line, where the line before is read on."""
_SKIP_MARK = 0.5
"""The same for a point or a dash; typed fragments often leave them out."""


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
    codes: Sequence[int], gaps: Sequence[int], edges: Sequence[int], circle: bool
) -> Piece:
    """Args: `gaps` and `edges` tell what stands before each place."""
    n = len(codes)
    ends = [*edges[1:], LINE_EDGE]
    if not circle:
        return Piece(codes, gaps, edges, ends, n)
    first_again = [SEAM, *gaps[1:]]
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
    made = [_piece(codes, gaps, edges, circle=True)]
    bounds = inscription.line_bounds()
    if len(bounds) > 1:
        made += [
            _piece(codes[a:b], gaps[a:b], edges[a:b], circle=True)
            for a, b in bounds
            if b - a >= _SHORTEST_CIRCLE
        ]
    return made


@dataclass
class Row:
    """Tracks being laid end to end; `laid` closes it."""

    _codes: list[int] = field(default_factory=lambda: [SEPARATOR])
    _gaps: list[int] = field(default_factory=lambda: [0])
    _starts: list[int] = field(default_factory=lambda: [0])
    _ends: list[int] = field(default_factory=lambda: [0])
    _shares: list[float] = field(default_factory=lambda: [0.0])
    _track_at: list[int] = field(default_factory=list)
    _first_track: list[int] = field(default_factory=list)

    def add(self, tracks: Sequence[Piece]) -> None:
        """Lay the tracks of one more inscription; the first is the whole of it."""
        self._first_track.append(len(self._track_at))
        share = 1.0 / tracks[0].n_starts
        for track in tracks:
            self._track_at.append(len(self._codes))
            rest = len(track.codes) - track.n_starts
            self._codes += [*track.codes, SEPARATOR]
            self._gaps += [*track.gaps, 0]
            self._starts += [*track.starts, 0]
            self._ends += [*track.ends, 0]
            self._shares += [share] * track.n_starts + [0.0] * (rest + 1)

    def laid(self) -> Tracks:
        """All of it as arrays."""
        codes = np.asarray(self._codes, np.int16)
        gaps = np.asarray(self._gaps, np.int8)
        marks = np.isin(codes, [CODE[mark] for mark in MARKS])
        skip = np.where(marks, _SKIP_MARK, _SKIP)
        # A reading that goes on in another line is rare by itself.
        skip[(gaps == UNKNOWN_GAP) & ~marks] *= _SKIP_FIRST
        skip[codes == SEPARATOR] = 0.0
        return Tracks(
            codes,
            codes.astype(np.intp) + gaps.astype(np.intp) * (SEPARATOR + 1),
            np.asarray(self._starts, np.int8),
            np.asarray(self._ends, np.int8),
            np.asarray(self._shares),
            skip,
            skip * np.append(0.0, skip[:-1]),
            *_run_shares(np.asarray(self._track_at, np.intp), len(codes)),
            np.asarray(self._track_at, np.intp),
            np.asarray(self._first_track, np.intp),
        )


def _run_shares(
    track_at: NDArray[np.intp], n: int
) -> tuple[NDArray[np.intp], NDArray[np.float64]]:
    """Before which place each track begins, and the chance of one length of run."""
    lengths = np.diff(track_at, append=n)
    before = np.zeros(n, np.intp)
    share = np.zeros(n)
    if len(track_at):
        first = track_at[0]
        before[first:] = np.repeat(track_at - 1, lengths)
        share[first:] = np.repeat(1.0 / np.maximum((lengths - 1) / 2, 1.0), lengths)
        share[np.append(track_at[1:] - 1, n - 1)] = 0.0
    return before, share


@dataclass(frozen=True)
class Tracks:
    """(T,) arrays over the places of the row; (t,) over tracks; (n,) over texts."""

    codes: NDArray[np.int16]
    keys: NDArray[np.intp]
    """Code and gap in one number: `code + gap * (SEPARATOR + 1)`."""
    starts: NDArray[np.int8]
    ends: NDArray[np.int8]
    shares: NDArray[np.float64]
    """Chance that a reading begins here, given its track."""
    skip: NDArray[np.float64]
    """Chance that a reader misses this character."""
    skip_two: NDArray[np.float64]
    """Chance that a reader misses this character and the one before it."""
    before_track: NDArray[np.intp]
    """The separator before the track of each place."""
    run_share: NDArray[np.float64]
    """Chance that unseen characters end at this very place; 0 at separators."""
    track_at: NDArray[np.intp]
    """First place of each track."""
    first_track: NDArray[np.intp]
    """First track of each text."""

    def opened(self, texts: NDArray[np.intp]) -> Tracks:
        """The tracks of a few texts, each circle cut open at each of its places.

        Laid along these a reading shows no place twice. A track's cuts follow one
        another and count as one track in `by_text`.
        """
        bounds = np.append(self.track_at, len(self.codes))
        firsts = np.append(self.first_track, len(self.track_at))
        places, shares = [np.zeros(1, np.intp)], [np.zeros(1)]
        cut_at: list[int] = []
        track_at: list[int] = []
        first_track: list[int] = []
        at = 1
        for text in texts:
            first_track.append(len(track_at))
            for track in range(firsts[text], firsts[text + 1]):
                track_at.append(at)
                for here, begin in self._cuts(bounds[track], bounds[track + 1] - 1):
                    cut_at.append(at)
                    places.append(np.append(here, 0))
                    shares.append(np.append(begin, 0.0))
                    at += len(here) + 1
        take = np.concatenate(places)
        skip = self.skip[take]
        return Tracks(
            self.codes[take],
            self.keys[take],
            self.starts[take],
            self.ends[take],
            np.concatenate(shares),
            skip,
            skip * np.append(0.0, skip[:-1]),
            *_run_shares(np.asarray(cut_at, np.intp), len(take)),
            np.asarray(track_at, np.intp),
            np.asarray(first_track, np.intp),
        )

    def _cuts(
        self, start: int, end: int
    ) -> Iterator[tuple[NDArray[np.intp], NDArray[np.float64]]]:
        """The places of one track, once round from each place it may begin at."""
        n = int(np.count_nonzero(self.shares[start:end]))
        if n == end - start:  # a line that does not go round
            yield np.arange(start, end), self.shares[start:end]
            return
        for at in range(start, start + n):
            begin = np.zeros(n)
            begin[0] = self.shares[at]
            yield np.arange(at, at + n), begin

    @cached_property
    def blocks(self) -> tuple[Tracks, ...]:
        """The same row in pieces that stay in the processor's cache; in order."""
        step = np.arange(_BLOCK, len(self.codes), _BLOCK)
        cuts = self.track_at[np.searchsorted(self.track_at, step)[:-1]] - 1
        ends = [0, *sorted(set(cuts.tolist()) - {0}), len(self.codes)]
        return tuple(self._block(a, b) for a, b in itertools.pairwise(ends))

    def _block(self, start: int, end: int) -> Tracks:
        here = slice(start, end)
        of_track = (self.track_at > start) & (self.track_at < end)
        return Tracks(
            self.codes[here],
            self.keys[here],
            self.starts[here],
            self.ends[here],
            self.shares[here],
            self.skip[here],
            self.skip_two[here],
            np.maximum(self.before_track[here] - start, 0),
            self.run_share[here],
            self.track_at[of_track] - start,
            np.zeros(0, np.intp),
        )

    def by_text(self, per_place: NDArray[np.float64]) -> NDArray[np.float64]:
        """Sum over the places of a track, then the best track of each text."""
        if not len(self.first_track):
            return np.zeros(0)
        sums = np.add.reduceat(per_place, self.track_at)
        return np.maximum.reduceat(sums, self.first_track)
