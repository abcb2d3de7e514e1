"""How well lines of evidence fit every inscription at once.

A line is laid along a track from any starting place. Each of its slots either
shows the next character, or one after it where the reader missed some, or is no
character at all. All ways to lay it are summed. Likelihoods are relative to a
line whose characters are drawn evenly at random, which has likelihood 1.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, cast

import numpy as np

from ledger.rings.alphabet import MARKS, N_SIGNS, chances_of, turned_chances
from ledger.rings.manner import BY_KEEPER, BY_PHOTO, BY_PHOTOS
from ledger.rings.pieces import GAP, NO_GAP, SEAM, UNKNOWN_GAP
from ledger.rings.tracks import SEPARATOR, Tracks

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from ledger.rings.evidence import Evidence, EvidenceLine, Slot
    from ledger.rings.manner import Manner


_READ_TWICE = 0.05
"""Chance that joined photos give a part of the ring twice."""
_LEAST_LOOKED_AT = 1e-5
_MOST_LOOKED_AT = 400
_LEAST_NONE = 1e-6
"""Chance that all slots so far show nothing, below which it is not looked at."""


def likelihoods(
    tracks: Tracks, classes: NDArray[np.float64], evidence: Evidence
) -> NDArray[np.float64]:
    """Likelihood of all lines for every text.

    Args:
        tracks: n texts.
        classes: (codes, N_SIGNS) shares of characters for every code in use.
        evidence: Lines with their slots.

    Returns:
        (n,) likelihoods, relative to chance; comparable with one another.
    """
    by_photos = BY_PHOTOS if evidence.joined else BY_PHOTO
    manner = BY_KEEPER if evidence.typed else by_photos
    told = _either_way_up(tracks, classes, evidence, manner)
    if not manner.gaps_mislead:
        return told
    blind = replace(
        manner, gap_where_none=1.0, no_gap_where_one=1.0, no_gap_at_seam=1.0
    )
    untold = _either_way_up(tracks, classes, evidence, blind)
    return (1 - manner.gaps_mislead) * told + manner.gaps_mislead * untold


def _either_way_up(
    tracks: Tracks,
    classes: NDArray[np.float64],
    evidence: Evidence,
    manner: Manner,
) -> NDArray[np.float64]:
    """(n,) likelihoods; the ring was seldom read upside down."""
    beliefs = [_beliefs(line, manner) for line in evidence.lines]
    only = len(evidence.lines) == 1
    lines = [_steps(line, manner, only=only) for line in evidence.lines]
    upright = _fits(tracks, classes, lines, beliefs, manner)
    turned = [np.array([turned_chances(b) for b in rows[::-1]]) for rows in beliefs]
    best = float(np.prod([(r.max(axis=1) * N_SIGNS).prod() for r in turned]))
    if manner.upside_down * best < 1e-4 * float(upright.max(initial=0.0)):
        return upright
    on_head = [_reversed(line) for line in lines]
    other = _fits(tracks, classes, on_head, turned, manner)
    return np.asarray((1 - manner.upside_down) * upright + manner.upside_down * other)


def _beliefs(line: EvidenceLine, manner: Manner) -> NDArray[np.float64]:
    """(slots, N_SIGNS) chances of what truly stands in each slot."""
    rows = np.array(
        [
            chances_of(
                dict(slot.chances), typed=manner.typed, nothing=_nothing(slot, manner)
            )
            for slot in line.slots
        ]
    )
    for at, cut in ((0, line.cut_start), (-1, line.cut_end)):
        if cut:
            doubt = manner.edge_doubt
            rows[at] = (1 - doubt) * rows[at] + doubt / N_SIGNS
    return rows


@dataclass(frozen=True)
class _Steps:
    """What the sweep needs to know of a line besides its characters."""

    gaps: tuple[bool, ...]
    runs: tuple[bool, ...]
    false: tuple[float, ...]
    """Chance of each slot to show nothing that is on the ring."""
    stray: float
    """Chance that all of the line is not on it."""
    cut_start: bool
    cut_end: bool
    column: bool
    """It stands along the leg."""


def _steps(line: EvidenceLine, manner: Manner, *, only: bool) -> _Steps:
    """Args: `only`: it is the only line, so it can hardly be a stray one."""
    left_open = [
        _nothing(slot, manner) * (1.0 - sum(p for _, p in slot.chances))
        for slot in line.slots
    ]
    return _Steps(
        tuple(slot.gap_before for slot in line.slots),
        tuple(slot.run_before for slot in line.slots),
        tuple(
            (manner.false_mark if slot.text in MARKS else manner.false_slot) + rest
            for slot, rest in zip(line.slots, left_open, strict=True)
        ),
        # All of a stray line is made up.
        (manner.stray_line + min(left_open)) / (100 if only else 1),
        line.cut_start,
        line.cut_end,
        line.direction in ("axial_up", "axial_down"),
    )


def _nothing(slot: Slot, manner: Manner) -> float:
    """Share of what a slot leaves open that is no character; one not read is one."""
    return manner.nothing if slot.chances else 0.0


def _reversed(line: _Steps) -> _Steps:
    """The line as it would be laid if the ring stood on its head."""
    return _Steps(
        (False, *line.gaps[:0:-1]),
        (False, *line.runs[:0:-1]),
        line.false[::-1],
        line.stray,
        line.cut_end,
        line.cut_start,
        line.column,
    )


def _fits(
    tracks: Tracks,
    classes: NDArray[np.float64],
    lines: list[_Steps],
    beliefs: list[NDArray[np.float64]],
    manner: Manner,
) -> NDArray[np.float64]:
    """(n,) likelihood of every text; of the likeliest, seldom with a place twice.

    Photos show the ring once round, so what follows the last character is not the
    first again. To hold every text to that would cost as many sweeps as it has
    characters.
    """
    fits = _of_all(tracks, classes, lines, beliefs, manner)
    if manner.typed or not len(fits):
        return fits
    likely = np.flatnonzero(fits > _LEAST_LOOKED_AT * fits.max())
    if len(likely) <= _MOST_LOOKED_AT:
        once = _of_all(tracks.opened(likely), classes, lines, beliefs, manner)
        fits[likely] = (1 - _READ_TWICE) * once + _READ_TWICE * fits[likely]
    return fits


def _of_all(
    tracks: Tracks,
    classes: NDArray[np.float64],
    lines: list[_Steps],
    beliefs: list[NDArray[np.float64]],
    manner: Manner,
) -> NDArray[np.float64]:
    total = np.ones(len(tracks.first_track))
    for line, rows in zip(lines, beliefs, strict=True):
        emissions = rows @ classes.T * N_SIGNS
        swept = [_sweep(block, line, emissions, manner) for block in tracks.blocks]
        fit = tracks.by_text(np.concatenate(swept))
        total *= (1 - line.stray) * fit + line.stray
    return total


def _sweep(
    tracks: Tracks, line: _Steps, emissions: NDArray[np.float64], manner: Manner
) -> NDArray[np.float64]:
    """(T,) likelihood of the line with its last slot at each place."""
    weights = np.asarray(manner.start_weights)
    go_on = manner.other_column if line.column else manner.other_line
    skip, skip_two = tracks.skips(go_on)
    start = tracks.shares if line.cut_start else begins(tracks, weights)
    state = _seen(tracks, emissions[0], None, manner, go_on) * start
    room = np.empty_like(state)
    none_yet = 1.0
    for at in range(1, len(emissions)):
        before, gap = state, cast("bool | None", line.gaps[at])
        if line.runs[at]:
            before, gap = _after_run(tracks, state), None
        elif gap and manner.left_out_at_gap:
            before = state + manner.left_out_at_gap * _after_run(tracks, state)
        arrived = np.empty_like(state)
        arrived[0] = 0.0
        arrived[1:] = before[:-1]
        # One character missed, then two.
        arrived[2:] += np.multiply(before[:-2], skip[1:-1], out=room[2:])
        arrived[3:] += np.multiply(before[:-3], skip_two[2:-1], out=room[3:])
        arrived *= _seen(tracks, emissions[at], gap, manner, go_on)
        arrived += np.multiply(line.false[at], state, out=room)
        # Or all slots before this one showed nothing that is on the ring.
        none_yet *= line.false[at - 1]
        if none_yet > _LEAST_NONE:
            first = _seen(tracks, emissions[at], None, manner, go_on)
            arrived += np.multiply(none_yet * start, first, out=room)
        state = arrived
    return state if line.cut_end else state * weights[tracks.ends]


def begins(tracks: Tracks, weights: NDArray[np.float64]) -> NDArray[np.float64]:
    """(T,) chance that a line begins here that does not go on before its start."""
    return np.asarray(tracks.shares * weights[tracks.starts] / (weights @ tracks.edges))


def _seen(
    tracks: Tracks,
    emission: NDArray[np.float64],
    gap: bool | None,
    manner: Manner,
    go_on: float,
) -> NDArray[np.float64]:
    """(T,) how well one slot fits each place; `gap` None: nothing known of it."""
    table = np.zeros((SEAM + 1, SEPARATOR + 1))
    table[:, : len(emission)] = emission
    if gap is not None:
        table[NO_GAP] *= manner.gap_where_none if gap else 1.0
        table[GAP] *= 1.0 if gap else manner.no_gap_where_one
        table[SEAM] *= 1.0 if gap else manner.no_gap_at_seam
        table[UNKNOWN_GAP] *= go_on
    return np.take(table.ravel(), tracks.keys)


def _after_run(tracks: Tracks, state: NDArray[np.float64]) -> NDArray[np.float64]:
    """The state after any number of unseen characters, none included."""
    sums = np.cumsum(state)
    sums -= sums[tracks.before_track]
    # Sums of tracks long before may leave a trace of rounding.
    np.maximum(sums, 0.0, out=sums)
    sums *= tracks.run_share
    return sums
