"""A reading shows no character of a ring in two of its lines."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from ledger.rings.alignment import chance_of, laid_line, reweighed

if TYPE_CHECKING:
    from collections.abc import Sequence

    import numpy as np
    from numpy.typing import NDArray

    from ledger.rings.alignment import Alignment, Shown
    from ledger.rings.evidence import Evidence
    from ledger.rings.pieces import Inscription

READ_TWICE = 0.02
"""Weight of a ring of which two lines show the same place. Of 159 rings in pictures
whose photos lie in one way, 2 were read so: by the rule of succession one in 54."""
_AS_LIKELY = 1e-4
_MOST = 300
_AS_WELL = 0.5
"""Nats less that mean nothing."""
_SHOWN = 0.02


def read_once(
    evidence: Evidence, texts: Sequence[str], fits: NDArray[np.float64]
) -> NDArray[np.float64]:
    """The (n,) likelihoods of texts, less where lines must show a place together.

    Each line was laid along a text by itself: a lone 5 fits 1 / 11.5 though the 5 of
    11.5 is shown by a line of its own. Only texts that are not quite unlikely are
    looked at. Photos that may lie several ways do show places twice.
    """
    if evidence.typed or evidence.apart or len(evidence.lines) < 2:
        return fits
    return reweighed(
        evidence,
        texts,
        fits,
        lambda laid: _weight(evidence, laid),
        as_likely=_AS_LIKELY,
        most=_MOST,
    )


def _weight(evidence: Evidence, laid: Alignment) -> float:
    """1 where every line has its own places, down to `READ_TWICE`."""
    lines = range(len(evidence.lines))
    # Which line goes first matters only where two could show the same place.
    longest = sorted(lines, key=lambda i: -len(evidence.lines[i].slots))
    orders = [longest, *([i, *(k for k in longest if k != i)] for i in longest[1:])]
    lost = math.inf
    for order in orders:
        lost = min(lost, laid.score - _one_by_one(evidence, laid, order))
        if lost < _AS_WELL:
            return 1.0
    return max(READ_TWICE, math.exp(-lost))


def _one_by_one(evidence: Evidence, laid: Alignment, order: Sequence[int]) -> float:
    """Score of all lines, none of which may show what those before it show."""
    inscription, upside_down = laid.inscription, laid.upside_down
    score, taken = 0.0, frozenset[int]()
    for i in order:
        more, line = laid_line(evidence.lines[i], inscription, upside_down, taken)
        score += more
        taken |= _places(line, inscription, upside_down)
    return score


def _places(
    line: Sequence[Shown], inscription: Inscription, upside_down: bool
) -> frozenset[int]:
    return frozenset(
        shown.at
        for shown in line
        if shown.at is not None
        and chance_of(shown.slot, inscription.signs[shown.at], upside_down) > _SHOWN
    )
