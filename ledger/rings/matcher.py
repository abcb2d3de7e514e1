"""Evidence x flock -> ranked birds and a verdict that staff can act on."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from ledger.rings.alignment import align
from ledger.rings.candidate import Candidate, Doubt, Left, Ranking, Verdict
from ledger.rings.evidence import in_front
from ledger.rings.index import index_of
from ledger.rings.line_order import as_recorded
from ledger.rings.posterior import Posterior, by_order, posterior
from ledger.rings.serial import serial_places

if TYPE_CHECKING:
    from collections.abc import Iterator

    from ledger.domain.flock import Flock
    from ledger.rings.evidence import Evidence
    from ledger.rings.index import RingIndex

SURE_FROM = {True: 0.99, False: 0.98}
"""Chance from which a bird is sure, by a typed ring or by photos. In pictures of some
400 rings, one, two or all photos of each, the first bird was given 0.85 to 0.99, with
no other doubt, 159 times: by these chances six should have been wrong, and none was.
What is typed is not measured so, and is held to more."""
UNKNOWN_FROM = 0.6
"""From this chance on that it is none of ours the ring is called unknown."""
LEAST_LEGIBLE = 5
"""Fewer legible characters are never enough to be sure: common practice, no source."""
_LEAST_STRANGE = 0.01
"""If a stranger's ring is likelier than this, nothing is sure."""
_LIE_OTHERWISE = 0.05
"""Chance that photos which may lie otherwise do: of 81 such sets of pictures, tuning
pictures and others, 2 did, and 3 more with an earlier network."""
_ASLANT_DEG = 57.0
"""Characters seen more aslant than this decide nothing by themselves: the tuning
pictures' truth calls none beyond 58 degrees legible."""
_LEGIBLE = 0.7
_READ_FOR_CERTAIN = 0.95
_READ_AT_ALL = {True: 0.2, False: 0.95}
"""A serial character less likely than this, typed or read, may be another ring's that
is not on record; O for 0 is none. Of 1,180 readings of rings whose neighbours alone
were on record 2 were sure below 0.95, at 0.93, and none above."""
_MOST_LISTED = 10
_MOST_LEFT = 60
_LIST_UP_TO = 0.98
"""The birds listed make up so much of the chance that it is one of ours."""
_LEAST_LISTED = 0.02
"""Against the likeliest one."""
_LEAST_IF_UNKNOWN = 0.01
"""If the ring is unknown, only birds that it may yet be are listed."""


def rank(flock: Flock, evidence: Evidence) -> Ranking:
    """Which birds the ring may belong to.

    Args:
        flock: Every ring it ever recorded is compared.
        evidence: What was seen or typed.
    """
    if not evidence.ring_found:
        return Ranking("no ring", (), 0.0, 0)
    index = index_of(flock)
    if not evidence.n_legible or not index.rings:
        unknown = evidence.n_legible > 0
        verdict: Verdict = "unknown ring" if unknown else "unsure"
        return Ranking(verdict, (), float(unknown), index.n_bearers)
    weighed = posterior(index, evidence)
    left = _left(index, weighed)
    candidates = _candidates(left, weighed, evidence)
    doubts = tuple(_doubts(candidates[0], weighed, index.latest_year, evidence))
    # Asked last: each costs another sweep over the flock.
    if not doubts and not _lies_one_way(index, weighed, evidence):
        doubts = ("photos lie otherwise",)
    if not doubts and not _told_in_front(index, weighed, evidence):
        doubts = ("seen at an edge",)
    verdict = "unsure" if doubts else "sure"
    if weighed.none_of_ours >= UNKNOWN_FROM:
        verdict = "unknown ring"
        near = _LEAST_IF_UNKNOWN
        candidates = tuple(c for c in candidates if c.probability >= near)
    top = float(weighed.bearers.max())
    return Ranking(
        verdict,
        candidates if doubts else candidates[:1],
        weighed.none_of_ours,
        int((weighed.bearers > 0.1 * top).sum()),
        left,
        index.latest_year,
        doubts,
    )


def _lies_one_way(index: RingIndex, weighed: Posterior, evidence: Evidence) -> bool:
    """Whether the photos tell the first bird, should they lie otherwise.

    22 and 222 differ by where the next photo begins.
    """
    lines = tuple(line for view in evidence.apart for line in view)
    if not lines:
        return True
    by_photo = replace(evidence, lines=lines, apart=())
    first = int(weighed.bearers.argmax())
    either = (weighed.bearers[first], by_order(index, by_photo)[first])
    chance = float(np.dot((1 - _LIE_OTHERWISE, _LIE_OTHERWISE), either))
    return chance >= SURE_FROM[evidence.typed]


def _told_in_front(index: RingIndex, weighed: Posterior, evidence: Evidence) -> bool:
    """Whether one photo tells the first bird without what its edges show."""
    if not evidence.one_photo:
        return True
    front = replace(evidence, lines=in_front(evidence.lines, _ASLANT_DEG))
    if front.lines == evidence.lines:
        return True
    first = int(weighed.bearers.argmax())
    chance = posterior(index, front).bearers[first] if front.lines else 0.0
    return bool(chance >= SURE_FROM[False])


def _left(index: RingIndex, weighed: Posterior) -> tuple[Left, ...]:
    """The likeliest bearers, each by the likeliest of its rings."""
    found: list[Left] = []
    order = np.argsort(-weighed.bearers, kind="stable")[:_MOST_LEFT]
    least = _LEAST_LISTED * float(weighed.bearers.max(initial=0.0))
    for bearer in order:
        chance = float(weighed.bearers[bearer])
        if found and chance < least:
            break
        rings = np.flatnonzero(index.bearer == bearer)
        best = int(rings[np.argmax(weighed.rings[rings])])
        found.append(Left(index.rings[best], index.birds[best], chance))
    return tuple(found)


def _candidates(
    left: tuple[Left, ...], weighed: Posterior, evidence: Evidence
) -> tuple[Candidate, ...]:
    """Those of the birds left that are worth a line."""
    ours = float(weighed.bearers.sum()) or 1.0
    order = np.argsort(-weighed.bearers, kind="stable")
    listed: list[Candidate] = []
    told = 0.0
    for one, bearer in zip(left[:_MOST_LISTED], order, strict=False):
        if listed and told >= _LIST_UP_TO * ours:
            break
        laid = align(evidence, one.ring.inscription)
        alone = float(weighed.by_characters[bearer])
        listed.append(Candidate(one.ring, one.bird, one.probability, alone, laid))
        told += one.probability
    return tuple(listed)


def _doubts(
    top: Candidate, weighed: Posterior, year_now: int, evidence: Evidence
) -> Iterator[Doubt]:
    """Why the first bird is not certain; none where it is."""
    typed = evidence.typed
    if top.bird is None:
        yield "no bird"
    if min(top.by_characters, top.probability) < SURE_FROM[typed]:
        yield "several birds"
    if weighed.none_at_worst > _LEAST_STRANGE:
        yield "stranger"
    shown = [one for line in top.alignment.lines for one in line]
    if sum(one.slot.probability >= _LEGIBLE for one in shown) < LEAST_LEGIBLE:
        yield "too few"
    if top.alignment.contradictions(_READ_FOR_CERTAIN):
        yield "contradiction"
    serial = serial_places(top.ring.inscription, year_now)
    if serial - top.alignment.seen(_READ_AT_ALL[typed]):
        yield "serial unseen"
    if not as_recorded(evidence, top.ring.inscription):
        yield "other order"
    if top.alignment.upside_down:
        yield "upside down"
