"""What the order of a ring's lines says: 23 / 04 is another ring than 04 / 23."""

from __future__ import annotations

import itertools
import math
from typing import TYPE_CHECKING

import numpy as np

from ledger.rings.alignment import align, reweighed

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from ledger.rings.alignment import Alignment
    from ledger.rings.evidence import Evidence

OTHER_ORDER = 0.05
"""Chance that a keeper recorded the lines of a ring in another order than they stand:
keepers begin where they like, seldom jump. Common practice, no source."""
_LEAST_LINES = 3
"""Of two lines round a ring, either follows the other."""
_AS_LIKELY = 0.05
_MOST = 40


def in_order(
    evidence: Evidence, texts: Sequence[str], fits: NDArray[np.float64]
) -> NDArray[np.float64]:
    """The (n,) likelihoods of texts, less where their lines stand in another order.

    Only texts nearly as likely as the likeliest are looked at. Where none stands in
    the order that was read, the ring is rather none of them.
    """
    views = _telling(evidence)
    return reweighed(views, texts, fits, _weight, as_likely=_AS_LIKELY, most=_MOST)


def _weight(_view: Evidence, laid: Alignment) -> float:
    """1 in the order of the record; who jumps has many ways to, each as likely."""
    if _follows(laid):
        return 1.0
    ways = math.factorial(len(_lines_shown(laid)) - 1) - 1
    return OTHER_ORDER / ways / (1 - OTHER_ORDER)


def as_recorded(evidence: Evidence, text: str) -> bool:
    """Whether the lines stand in the record's order, or their order tells nothing."""
    return all(_follows(align(view, text)) for view in _telling(evidence))


def _telling(evidence: Evidence) -> list[Evidence]:
    """What shows lines enough to tell their order."""
    if evidence.typed:
        return []
    return [view for view in evidence.views() if len(view.lines) >= _LEAST_LINES]


def _follows(laid: Alignment) -> bool:
    """Whether lines, as read, come round in the order of the record."""
    distinct = _lines_shown(laid)
    if len(distinct) < _LEAST_LINES or len(set(distinct)) < len(distinct):
        return True
    first = distinct.index(min(distinct))
    turned = distinct[first:] + distinct[:first]
    return turned == sorted(turned)


def _lines_shown(laid: Alignment) -> list[int]:
    """Which lines of the record the lines read show, in the order of reading."""
    starts = laid.inscription.line_starts
    found = []
    for line in laid.lines:
        places = [shown.at for shown in line if shown.at is not None]
        if places:
            found.append(int(np.searchsorted(starts, np.median(places), "right")))
    return [line for line, _ in itertools.groupby(found)]
