"""A reading shows no character of a ring in two of its lines."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from ledger.rings.alignment import AS_WELL, laid_line, places_of, reweighed
from ledger.rings.manner import BY_PHOTO

if TYPE_CHECKING:
    from collections.abc import Sequence

    import numpy as np
    from numpy.typing import NDArray

    from ledger.rings.alignment import Alignment, Shown
    from ledger.rings.evidence import Evidence

READ_TWICE = 0.02
"""Least weight of a ring of which two lines of joined photos show the same place. Of
159 rings in pictures whose photos lie in one way, 2 were read so: by the rule of
succession one in 54."""
READ_TWICE_IN_ONE = 0.0012
"""The same of two lines in one photo. Of 833 photos in the tuning pictures and eight
sets of another make 10 showed a line more than is on the ring, none of them with
certainty: by the same rule one in 835."""
_AS_LIKELY = 1e-4
_MOST = 300


def read_once(
    evidence: Evidence, texts: Sequence[str], fits: NDArray[np.float64]
) -> NDArray[np.float64]:
    """The (n,) likelihoods of texts, less where lines must show a place together.

    Each line was laid along a text by itself: a lone 5 fits 1 / 11.5 though the 5 of
    11.5 is shown by a line of its own. Only texts that are not quite unlikely are
    looked at. Photos that may lie several ways may show a place twice; each by itself
    does not.
    """
    if evidence.typed:
        return fits
    views = [view for view in evidence.views() if len(view.lines) > 1]
    return reweighed(views, texts, fits, _weight, as_likely=_AS_LIKELY, most=_MOST)


def _weight(evidence: Evidence, laid: Alignment) -> float:
    """1 where every line has its own places, less where one must be made up."""
    lines = range(len(evidence.lines))
    # Which line goes first matters only where two could show the same place.
    longest = sorted(lines, key=lambda i: -len(evidence.lines[i].slots))
    orders = [longest, *([i, *(k for k in longest if k != i)] for i in longest[1:])]
    lost = math.inf
    for order in orders:
        lost = min(lost, laid.score - _one_by_one(evidence, laid, order))
        if lost < AS_WELL:
            return 1.0
    least = READ_TWICE_IN_ONE if evidence.one_photo else READ_TWICE
    return max(least, math.exp(-lost))


def _one_by_one(evidence: Evidence, laid: Alignment, order: Sequence[int]) -> float:
    """Score of all lines, none of which may show what those before it show."""
    inscription, upside_down = laid.inscription, laid.upside_down
    score, taken = 0.0, frozenset[int]()
    for i in order:
        more, line = laid_line(evidence.lines[i], inscription, upside_down, taken)
        shown = places_of(line, inscription, upside_down)
        score += more if shown or not taken else more + _made_up(line)
        taken |= shown
    return score


def _made_up(line: Sequence[Shown]) -> float:
    """The log of the chance that all of a line is not on the ring."""
    left_open = min(1.0 - sum(p for _, p in one.slot.chances) for one in line)
    return math.log(BY_PHOTO.stray_line + BY_PHOTO.nothing * max(left_open, 0.0))
