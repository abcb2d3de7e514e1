"""From likelihoods to chances: which bird, and whether it is one of ours at all."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from ledger.rings.likelihood import likelihoods
from ledger.rings.line_order import in_order
from ledger.rings.read_once import read_once

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from ledger.rings.evidence import Evidence
    from ledger.rings.index import RingIndex

STRANGER = 0.06
"""Chance that a ring in hand is a stranger's, before anything is read."""
UNRECORDED = 0.03
"""Chance that it is of our own series and not on record."""
STRANGER_AT_WORST = 0.5
"""The same as `STRANGER` for one who answers letters about found birds."""


_SHAPELESS = 0.1
"""Share of strangers' rings that look like none that we know."""


@dataclass(frozen=True)
class Posterior:
    """Chances over n rings and b bearers, and none of them."""

    rings: NDArray[np.float64]
    """(n,) chance that it is this ring."""
    bearers: NDArray[np.float64]
    """(b,) chance that it is this bird's ring."""
    none_of_ours: float
    none_at_worst: float
    """The same where half of all rings read are strangers'."""
    by_characters: NDArray[np.float64]
    """(b,) what the characters alone say, all birds and only they being possible."""
    likelihood: NDArray[np.float64]
    """(n,) of the characters, relative to chance."""


def posterior(index: RingIndex, evidence: Evidence) -> Posterior:
    """Weigh every ring on record, and rings that are not, by the evidence."""
    n = len(index.rings)
    fits = likelihoods(index.tracks, index.classes, evidence)
    texts = [ring.inscription for ring in index.rings]
    ours = read_once(evidence, texts, in_order(evidence, texts, fits[:n]))
    others = fits[n:]
    # A stranger's ring fits what else was seen as well as ours do on average, so
    # the weights are taken relative to their sum.
    known = ours * index.weights(evidence)
    # Of rings not on record nobody knows how their lines stand: compared without it.
    strangers, series = _not_on_record(index, others, fits[:n])
    rest = max(1.0 - STRANGER - UNRECORDED, 0.0)
    scores = rest * known
    none = STRANGER * strangers + UNRECORDED * series
    at_worst = STRANGER_AT_WORST * strangers + UNRECORDED * series
    ours_sum = float(scores.sum())
    every = ours_sum + none or 1.0
    bearers = np.bincount(index.bearer, scores, minlength=index.n_bearers) / every
    half = ours_sum * (1 - STRANGER_AT_WORST) / rest
    return Posterior(
        scores / every,
        bearers,
        none / every,
        at_worst / (half + at_worst or 1.0),
        _by_bearer(index, ours),
        ours,
    )


def by_order(index: RingIndex, evidence: Evidence) -> NDArray[np.float64]:
    """(b,) what the characters in their order say, all birds being possible."""
    fits = likelihoods(index.tracks, index.classes, evidence)
    return _by_bearer(index, fits[: len(index.rings)])


def _by_bearer(index: RingIndex, ours: NDArray[np.float64]) -> NDArray[np.float64]:
    """(b,) chances from (n,) likelihoods of our rings, all bearers alike before."""
    flat = np.bincount(index.bearer, ours, minlength=index.n_bearers)
    return np.asarray(flat / (flat.sum() or 1.0))


def _not_on_record(
    index: RingIndex, others: NDArray[np.float64], ours: NDArray[np.float64]
) -> tuple[float, float]:
    """Likelihood of a stranger's ring, and of one of our series not on record."""
    made_up = index.background
    weighed = others * made_up.weights
    strangers = float(weighed[: made_up.n_strangers].sum())
    # A text of no shape that we know is as likely as chance makes it: 1.
    strangers = (1 - _SHAPELESS) * strangers + _SHAPELESS
    whole = float(weighed[made_up.n_strangers :].sum())
    on_record = float((made_up.own_chance * ours).sum())
    # What is left is never nothing: series are guessed from shapes.
    return strangers, max(whole - on_record, 0.02 * whole)
