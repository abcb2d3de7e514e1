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
from ledger.rings.tracks import GAP, NO_GAP, SEAM, SEPARATOR, UNKNOWN_GAP, Tracks

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from ledger.rings.evidence import Evidence, EvidenceLine


_READ_TWICE = 0.05
"""Chance that joined photos give a part of the ring twice."""
_ONE_PHOTO, _LEAST_MADE_UP = 0.002, 0.25
"""What the surest reading of one photo leaves open (`ocr.calibration`), and the
least share of the usual made-up characters that more photos leave."""
_LEAST_LOOKED_AT = 1e-5
_MOST_LOOKED_AT = 400


@dataclass(frozen=True)
class Manner:
    """How a kind of reader errs: a machine with photos, or a keeper typing."""

    typed: bool
    """Characters come without chances, from a keeper."""
    false_slot: tuple[float, float]
    """Chance that a slot shows nothing that is on the ring: of one read well, and
    how much more of one of which nothing is certain."""
    false_mark: float
    """Chance that a point or a dash is none: dirt and scratches look like them."""
    stray_line: tuple[float, float]
    """Chance that a whole line is not on the ring: likewise."""
    upside_down: float
    """Chance that the ring was read the wrong way up."""
    gap_where_none: float
    """Weight of a word gap seen where the record has none."""
    no_gap_where_one: float
    no_gap_at_seam: float
    other_line: float
    """Weight of a line that goes on in another line of the record."""
    start_weights: tuple[float, float, float]
    """Of beginning or ending within a word, at a word's edge, at a line's edge,
    where the line is said not to go on."""
    left_out_at_gap: float
    """Weight of a word gap that stands for words left out."""
    edge_doubt: float
    """Share of an edge character's chances lost where the line is cut off."""


# Weights of gaps and edges are mild: they rank, and one alone never tells two birds
# apart. Common practice, no source; the benchmark in tests/bench measures them.
BY_MACHINE = Manner(
    typed=False,
    # Of 322 characters given 0.97 or more in the tuning pictures none was made up:
    # one in 324, by the rule of succession.
    false_slot=(0.003, 0.25),
    # Of 16 given 0.5 or more in pictures of another make 2 were none: by the same
    # rule one in six.
    false_mark=0.17,
    # No oftener than a character: all of a stray line's are made up.
    stray_line=(0.003, 0.4),
    upside_down=0.02,
    gap_where_none=0.3,
    no_gap_where_one=0.5,
    no_gap_at_seam=0.1,
    # Lines stand in rows or columns of their own; a keeper may have parted one.
    other_line=0.1,
    start_weights=(0.25, 0.6, 1.0),
    left_out_at_gap=0.0,
    # Of 75 at a line's cut end none was wrong, as of the other 247: together one in
    # 324. In drawn strips such a character is wrong oftener than others, one of 754.
    edge_doubt=0.004,
)
BY_KEEPER = Manner(
    typed=True,
    false_slot=(0.001, 0.0),
    false_mark=0.001,
    stray_line=(0.002, 0.0),
    upside_down=0.01,
    gap_where_none=0.5,
    no_gap_where_one=0.8,
    no_gap_at_seam=0.1,
    other_line=1.0,
    start_weights=(0.2, 1.0, 1.0),
    left_out_at_gap=0.3,
    edge_doubt=0.0,
)


def likelihoods(
    tracks: Tracks,
    classes: NDArray[np.float64],
    evidence: Evidence,
    *,
    gaps_tell: bool = True,
) -> NDArray[np.float64]:
    """Likelihood of all lines for every text.

    Args:
        tracks: n texts.
        classes: (codes, N_SIGNS) shares of characters for every code in use.
        evidence: Lines with their slots.
        gaps_tell: Word gaps weigh; if not, only the order of characters does.

    Returns:
        (n,) likelihoods, relative to chance; comparable with one another.
    """
    manner = BY_KEEPER if evidence.typed else BY_MACHINE
    if not gaps_tell:
        manner = replace(
            manner, gap_where_none=1.0, no_gap_where_one=1.0, no_gap_at_seam=1.0
        )
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
        [chances_of(dict(slot.chances), typed=manner.typed) for slot in line.slots]
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


def _steps(line: EvidenceLine, manner: Manner, *, only: bool) -> _Steps:
    """Args: `only`: it is the only line, so it can hardly be a stray one."""
    least, more = manner.false_slot
    doubts = [(1.0 - slot.probability) ** 2 for slot in line.slots]
    looks = [1.0 if manner.typed else _made_up(s.probability) for s in line.slots]
    stray, more_stray = manner.stray_line
    stray = stray / 100 if only else stray * min(looks)
    return _Steps(
        tuple(slot.gap_before for slot in line.slots),
        tuple(slot.run_before for slot in line.slots),
        tuple(
            (manner.false_mark if slot.text in MARKS else least * look) + more * doubt
            for slot, look, doubt in zip(line.slots, looks, doubts, strict=True)
        ),
        stray + more_stray * sum(doubts) / len(doubts),
        line.cut_start,
        line.cut_end,
    )


def _made_up(probability: float) -> float:
    """How much seldomer than usual a character is none, by how sure it is.

    One that several photos show is surer than any photo alone may be. The same dirt
    may mislead them all, so this has its end.
    """
    return min(1.0, max(_LEAST_MADE_UP, (1.0 - probability) / _ONE_PHOTO))


def _reversed(line: _Steps) -> _Steps:
    """The line as it would be laid if the ring stood on its head."""
    return _Steps(
        (False, *line.gaps[:0:-1]),
        (False, *line.runs[:0:-1]),
        line.false[::-1],
        line.stray,
        line.cut_end,
        line.cut_start,
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
    seen = _seen(tracks, emissions[0], gap=None, manner=manner)
    begin = tracks.shares if line.cut_start else tracks.shares * weights[tracks.starts]
    state = np.asarray(begin * seen)
    room = np.empty_like(state)
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
        arrived[2:] += np.multiply(before[:-2], tracks.skip[1:-1], out=room[2:])
        arrived[3:] += np.multiply(before[:-3], tracks.skip_two[2:-1], out=room[3:])
        arrived *= _seen(tracks, emissions[at], gap, manner)
        arrived += np.multiply(line.false[at], state, out=room)
        state = arrived
    return state if line.cut_end else state * weights[tracks.ends]


def _seen(
    tracks: Tracks, emission: NDArray[np.float64], gap: bool | None, manner: Manner
) -> NDArray[np.float64]:
    """(T,) how well one slot fits each place; `gap` None: nothing known of it."""
    table = np.zeros((SEAM + 1, SEPARATOR + 1))
    table[:, : len(emission)] = emission
    if gap is not None:
        table[NO_GAP] *= manner.gap_where_none if gap else 1.0
        table[GAP] *= 1.0 if gap else manner.no_gap_where_one
        table[SEAM] *= 1.0 if gap else manner.no_gap_at_seam
        table[UNKNOWN_GAP] *= manner.other_line
    return np.take(table.ravel(), tracks.keys)


def _after_run(tracks: Tracks, state: NDArray[np.float64]) -> NDArray[np.float64]:
    """The state after any number of unseen characters, none included."""
    sums = np.cumsum(state)
    sums -= sums[tracks.before_track]
    # Sums of tracks long before may leave a trace of rounding.
    np.maximum(sums, 0.0, out=sums)
    sums *= tracks.run_share
    return sums
