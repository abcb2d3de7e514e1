"""Every inscription ever recorded, laid end to end for one sweep over all.

A track is a text that may be read along: the whole inscription round the ring,
twice over so that a reading may begin anywhere, and each of its lines by itself.
All tracks lie in one long row of codes, parted by a separator that nothing
matches, so that a step along every track is one step along the row.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from ledger.rings.alphabet import CODE, MARKS
from ledger.rings.pieces import IN_WORD, LINE_EDGE, SEAM, UNKNOWN_GAP, WORD_EDGE

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray

    from ledger.rings.pieces import Piece

SEPARATOR = 255
_BLOCK = 16384
_SKIP = 0.02
"""Chance that a reader misses a character in the middle of a line."""
_NO_EDGES = (1.0, 0.0, 0.0)
_SKIP_MARK = 0.5
"""The same for a point or a dash; typed fragments often leave them out."""


@dataclass
class Row:
    """Tracks being laid end to end; `laid` closes it."""

    _codes: list[int] = field(default_factory=lambda: [SEPARATOR])
    _gaps: list[int] = field(default_factory=lambda: [0])
    _starts: list[int] = field(default_factory=lambda: [0])
    _ends: list[int] = field(default_factory=lambda: [0])
    _shares: list[float] = field(default_factory=lambda: [0.0])
    _edges: list[tuple[float, ...]] = field(default_factory=lambda: [_NO_EDGES])
    _track_at: list[int] = field(default_factory=list)
    _first_track: list[int] = field(default_factory=list)

    def add(self, tracks: Sequence[Piece]) -> None:
        """Lay the tracks of one more inscription; the first is the whole of it."""
        self._first_track.append(len(self._track_at))
        n = tracks[0].n_starts
        share = 1.0 / n
        starts = list(tracks[0].starts[:n])
        edges = tuple(starts.count(k) / n for k in (IN_WORD, WORD_EDGE, LINE_EDGE))
        for track in tracks:
            self._track_at.append(len(self._codes))
            rest = len(track.codes) - track.n_starts
            self._codes += [*track.codes, SEPARATOR]
            self._gaps += [*track.gaps, 0]
            self._starts += [*track.starts, 0]
            self._ends += [*track.ends, 0]
            self._shares += [share] * track.n_starts + [0.0] * (rest + 1)
            self._edges += [*[edges] * len(track.codes), _NO_EDGES]

    def laid(self) -> Tracks:
        """All of it as arrays."""
        codes = np.asarray(self._codes, np.int16)
        gaps = np.asarray(self._gaps, np.int8)
        marks = np.isin(codes, [CODE[mark] for mark in MARKS])
        skip = np.where(marks, _SKIP_MARK, _SKIP)
        skip[codes == SEPARATOR] = 0.0
        return Tracks(
            codes,
            codes.astype(np.intp) + gaps.astype(np.intp) * (SEPARATOR + 1),
            np.asarray(self._starts, np.int8),
            np.asarray(self._ends, np.int8),
            np.asarray(self._shares),
            np.asarray(self._edges).T,
            skip,
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
    edges: NDArray[np.float64]
    """(3, T) share of its text's places that are in a word, at a word's edge, and at
    a line's edge."""
    skip: NDArray[np.float64]
    """Chance that a reader misses this character."""
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
        return Tracks(
            self.codes[take],
            self.keys[take],
            self.starts[take],
            self.ends[take],
            np.concatenate(shares),
            self.edges[:, take],
            self.skip[take],
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

    def skips(self, go_on: float) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """(T,) chance that a reader misses this character; and the one before it too.

        Where that is the first of a line, the line before is read on, which has the
        weight `go_on` by itself.
        """
        kept = self._skips.get(go_on)
        if kept is None:
            gaps = self.keys // (SEPARATOR + 1)
            first = (gaps == UNKNOWN_GAP) | (gaps == SEAM)
            skip = np.where(first, self.skip * go_on, self.skip)
            kept = self._skips[go_on] = skip, skip * np.append(0.0, skip[:-1])
        return kept

    @cached_property
    def _skips(self) -> dict[float, tuple[NDArray[np.float64], NDArray[np.float64]]]:
        return {}

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
            self.edges[:, here],
            self.skip[here],
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
