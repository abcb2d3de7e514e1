"""Evidence x flock -> ranked birds and a verdict that staff can act on."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from ledger.domain.ring import RingState
from ledger.rings.alignment import align
from ledger.rings.candidate import Candidate, Ranking, Verdict
from ledger.rings.index import index_of
from ledger.rings.posterior import Posterior, posterior
from ledger.rings.serial import serial_places

if TYPE_CHECKING:
    from ledger.domain.flock import Flock
    from ledger.rings.evidence import Evidence
    from ledger.rings.index import RingIndex

SURE_FROM = 0.99
UNKNOWN_FROM = 0.6
"""From this chance on that it is none of ours the ring is called unknown."""
LEAST_LEGIBLE = 5
"""Fewer legible characters are never enough to be sure: common practice, no source."""
_LEGIBLE = 0.7
_READ_FOR_CERTAIN = 0.8
_READ_AT_ALL = 0.2
_MOST_LISTED = 10
_LIST_UP_TO = 0.98
"""The birds listed make up so much of the chance that it is one of ours."""
_LEAST_LISTED = 0.02
"""Against the likeliest one."""


def rank(flock: Flock, evidence: Evidence) -> Ranking:
    """Which birds the ring may belong to.

    Args:
        flock: Every ring it ever recorded is compared.
        evidence: What was seen or typed.
    """
    if not evidence.ring_found:
        return Ranking("no ring", (), 0.0, 0)
    index = index_of(flock)
    if not evidence.lines or not evidence.n_legible or not index.rings:
        everything = 1.0 if evidence.n_legible else 0.0
        verdict: Verdict = "unknown ring" if evidence.n_legible else "unsure"
        return Ranking(verdict, (), everything, index.n_bearers)
    weighed = posterior(index, evidence)
    candidates = _candidates(index, weighed, evidence)
    n_left = int((weighed.bearers > 0.1 * weighed.bearers.max()).sum())
    if weighed.none_of_ours >= UNKNOWN_FROM:
        return Ranking("unknown ring", candidates, weighed.none_of_ours, n_left)
    doubts = tuple(_doubts(candidates[0], weighed, index.latest_year))
    return Ranking(
        "unsure" if doubts else "sure",
        candidates[:1] if not doubts else candidates,
        weighed.none_of_ours,
        n_left,
        doubts,
    )


def _candidates(
    index: RingIndex, weighed: Posterior, evidence: Evidence
) -> tuple[Candidate, ...]:
    """The likeliest bearers, each by the likeliest of its rings."""
    order = np.argsort(-weighed.bearers, kind="stable")[: _MOST_LISTED * 2]
    ours = float(weighed.bearers.sum()) or 1.0
    least = _LEAST_LISTED * float(weighed.bearers.max(initial=0.0))
    listed: list[Candidate] = []
    told = 0.0
    for bearer in order:
        chance = float(weighed.bearers[bearer])
        enough = told >= _LIST_UP_TO * ours or chance < least
        if listed and (len(listed) >= _MOST_LISTED or enough):
            break
        rings = np.flatnonzero(index.bearer == bearer)
        best = int(rings[np.argmax(weighed.rings[rings])])
        ring = index.rings[best]
        listed.append(
            Candidate(
                ring,
                index.birds[best],
                chance,
                float(weighed.by_characters[bearer]),
                align(evidence, ring.inscription),
            )
        )
        told += chance
    return tuple(listed)


def _doubts(top: Candidate, weighed: Posterior, year_now: int) -> list[str]:
    """Why the first bird is not certain; none where it is."""
    doubts = []
    if top.bird is None:
        state = top.ring.state
        where = "in stock" if state is RingState.IN_STOCK else f"entered as {state}"
        doubts.append(f"Ring {top.ring.inscription} is {where} and on no bird.")
    if top.by_characters < SURE_FROM or top.probability < SURE_FROM:
        doubts.append("The characters in view leave more than one bird.")
    if weighed.none_at_worst > 1 - SURE_FROM:
        doubts.append("A stranger's ring could show the same characters.")
    lines = top.alignment.lines
    legible = [s for line in lines for s in line if s.slot.probability >= _LEGIBLE]
    if len(legible) < LEAST_LEGIBLE:
        doubts.append("Too few characters are legible.")
    if top.alignment.contradictions(_READ_FOR_CERTAIN):
        doubts.append("Some characters read well do not stand on that ring.")
    serial = serial_places(top.ring.inscription, year_now)
    unseen = serial - top.alignment.seen(_READ_AT_ALL)
    if unseen:
        doubts.append("Not every character of its serial is in view.")
    if top.alignment.upside_down:
        doubts.append("The ring may have been read upside down.")
    return doubts
