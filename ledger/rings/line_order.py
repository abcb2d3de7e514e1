"""What the order of a ring's lines says: 23 / 04 is another ring than 04 / 23."""

from __future__ import annotations

import itertools
from typing import TYPE_CHECKING

import numpy as np

from ledger.rings.alignment import reweighed

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from ledger.rings.alignment import Alignment
    from ledger.rings.evidence import Evidence

OTHER_ORDER = 0.1
"""Weight of a ring whose lines are recorded in another order than they were read:
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
    if not _tells(evidence):
        return fits
    return reweighed(evidence, texts, fits, _weight, as_likely=_AS_LIKELY, most=_MOST)


def _weight(laid: Alignment) -> float:
    return 1.0 if _follows(laid) else OTHER_ORDER


def as_recorded(evidence: Evidence, laid: Alignment) -> bool:
    """Whether the lines stand in the record's order, or their order tells nothing."""
    return not _tells(evidence) or _follows(laid)


def _tells(evidence: Evidence) -> bool:
    return not (evidence.typed or evidence.apart or len(evidence.lines) < _LEAST_LINES)


def _follows(laid: Alignment) -> bool:
    """Whether lines, as read, come round in the order of the record."""
    starts = laid.inscription.line_starts
    found = []
    for line in laid.lines:
        places = [shown.at for shown in line if shown.at is not None]
        if places:
            found.append(int(np.searchsorted(starts, np.median(places), "right")))
    distinct = [line for line, _ in itertools.groupby(found)]
    if len(distinct) < _LEAST_LINES or len(set(distinct)) < len(distinct):
        return True
    first = distinct.index(min(distinct))
    turned = distinct[first:] + distinct[:first]
    return turned == sorted(turned)
