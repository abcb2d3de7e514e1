"""A folder of photos from a phone: which of them show one ring.

Each photo is read by itself. Two photos belong together when one bird fits both, or,
where no bird of ours does, when their characters coincide round one ring; photos
taken shortly after each other do so more often. What shows no ring or nothing
legible is set apart and told, and so are copies of one picture.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from ledger.rings.evidence import Evidence
from ledger.rings.index import index_of
from ledger.rings.posterior import STRANGER, UNRECORDED, posterior
from ledger.rings.priors import fit_of_colour
from ledger.services import ring_reading

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from ledger.domain.flock import Flock
    from ledger.rings.evidence import Expectation
    from ledger.services.photo_folder import PhotoRead
    from ocr import Reading

# Log odds, in nats, that two photos show one ring before either is read, by how far
# apart they were taken; common practice, no source: a ring is photographed in a row.
_WITHIN_S = ((15.0, 0.5), (60.0, -1.0), (300.0, -3.5))
_LATER = -5.0
_MOST_JOINED = 6
"""The reader joins up to six photos of a ring."""
# What two photos show besides birds, as log odds for one ring. Fitted to the pairs of
# 136 rendered photos of 40 rings, the weights of colour and shape then halved: rings
# of one maker differ less than those.
_ANY_TWO, _NOTHING_SHARED, _FOR_EACH_NAT, _MOST_NATS = 1.6, -1.7, 0.45, 20.0
_COLOUR = ((1.0, 0.9), (0.3, -0.3), (0.0, -3.0))
"""From this fit of colours on."""
_SHAPE, _MOST_SHAPE = -10.0, 0.4
"""For each unit of the logarithm of height over diameter."""
_PHOTOS_OF_A_RING = 3
_SURELY_OURS = -16.0
"""Log of the chance that two photos are of strangers' rings, below which the dear
comparison of their characters cannot change anything."""
_LEAST_LEGIBLE = 3
_TINY = 1e-12
_ONE_BIRD_AT_MOST = 0.7
"""How much of what one bird explains is denied to two rings: not all of it, for a few
signs fit many birds of a flock, and an expected one draws them all."""


@dataclass(frozen=True)
class Group:
    """Photos of one ring."""

    photos: tuple[PhotoRead, ...]
    """In the order they were taken."""
    reading: Reading
    """Of the best of them, joined."""


@dataclass(frozen=True)
class Grouped:
    """A folder sorted."""

    groups: tuple[Group, ...]
    """By their first photo."""
    no_ring: tuple[PhotoRead, ...] = ()
    illegible: tuple[PhotoRead, ...] = ()
    """A ring, and next to nothing on it that can be read."""
    unreadable: tuple[PhotoRead, ...] = ()
    """No pictures: damaged, or something else."""
    copies: tuple[PhotoRead, ...] = ()
    """The same file content as another photo."""

    @property
    def set_apart(self) -> str:
        """What was left out, in one sentence; "" for nothing."""
        parts = [
            f"{len(photos)} {words}"
            for photos, words in (
                (self.no_ring, "without a ring"),
                (self.illegible, "with nothing legible"),
                (self.unreadable, "that cannot be opened"),
                (self.copies, "that are copies"),
            )
            if photos
        ]
        return f"Set apart: {', '.join(parts)}." if parts else ""


@dataclass
class _Cluster:
    """Photos taken for one ring so far, and what they say together."""

    members: list[int]
    log_bearers: NDArray[np.float64]
    """(b,) log of the chance of each bird over its chance before reading, summed."""
    log_none: float
    """The same for none of ours."""


@dataclass
class _Weights:
    """What is known of every pair of photos."""

    prior: NDArray[np.float64]
    """(b,) chance of each bird before reading."""
    none: float
    looks: NDArray[np.float64]
    """(n, n) log odds for one ring, from shared characters, colour and shape."""
    shape: NDArray[np.float64]
    """(n, n) the part of it that says something of our own rings too."""
    time: NDArray[np.float64]
    """(n, n) log odds before reading."""


def group(
    flock: Flock, photos: Sequence[PhotoRead], expected: Expectation | None = None
) -> Grouped:
    """Sort photos that were read one by one into rings.

    Args:
        flock: Whose rings they may be.
        photos: In any order.
        expected: On a walk-through: who should be there.
    """
    ordered = sorted(photos, key=lambda p: (p.taken is None, p.taken or 0, p.path.name))
    kept: list[PhotoRead] = []
    apart: dict[str, list[PhotoRead]] = {
        "no_ring": [], "illegible": [], "unreadable": [], "copies": [],
    }  # fmt: skip
    for photo in ordered:
        why = _set_apart(photo)
        (apart[why] if why else kept).append(photo)
    clusters = _clustered(flock, kept, expected)
    groups = [_group([kept[i] for i in sorted(c.members)]) for c in clusters]
    groups.sort(key=lambda one: ordered.index(one.photos[0]))
    return Grouped(tuple(groups), **{why: tuple(them) for why, them in apart.items()})


def _set_apart(photo: PhotoRead) -> str:
    if photo.copy_of is not None:
        return "copies"
    if photo.reading is None:
        return "unreadable"
    if not photo.reading.ring_found:
        return "no_ring"
    signs = [g for line in photo.reading.lines for g in line.glyphs]
    legible = sum(g.probability for g in signs)
    return "illegible" if legible < _LEAST_LEGIBLE else ""


def _group(photos: Sequence[PhotoRead]) -> Group:
    best = sorted(photos, key=_told, reverse=True)[:_MOST_JOINED]
    readings = [p.reading for p in photos if p in best and p.reading is not None]
    return Group(tuple(photos), ring_reading.joined(readings))


def _told(photo: PhotoRead) -> float:
    """How much a photo shows: the sum of its characters' chances."""
    lines = photo.reading.lines if photo.reading else ()
    return sum(g.probability for line in lines for g in line.glyphs)


def _clustered(
    flock: Flock, photos: Sequence[PhotoRead], expected: Expectation | None
) -> list[_Cluster]:
    """Join the two that fit best, again and again, while any two fit."""
    if not photos:
        return []
    clusters, weights = _beginning(flock, photos, expected)
    scores = {
        (i, j): _link(weights, clusters[i], clusters[j])
        for i, j in itertools.combinations(range(len(clusters)), 2)
    }
    alive = dict(enumerate(clusters))
    while scores:
        (i, j), best = max(scores.items(), key=lambda pair: pair[1])
        if best <= 0:
            break
        one, other = alive[i], alive.pop(j)
        alive[i] = _Cluster(
            one.members + other.members,
            one.log_bearers + other.log_bearers,
            one.log_none + other.log_none,
        )
        scores = {
            pair: s for pair, s in scores.items() if i not in pair and j not in pair
        }
        for k in alive:
            if k != i:
                pair = (min(i, k), max(i, k))
                scores[pair] = _link(weights, alive[pair[0]], alive[pair[1]])
    return list(alive.values())


def _beginning(
    flock: Flock, photos: Sequence[PhotoRead], expected: Expectation | None
) -> tuple[list[_Cluster], _Weights]:
    """Every photo by itself."""
    index = index_of(flock)
    none = STRANGER + UNRECORDED if index.rings else 1.0
    prior = np.zeros(index.n_bearers)
    if index.rings:
        # Colour and closure are evidence of the photos, so they are no part of it.
        plain = index.weights(Evidence(expected=expected))
        by_bird = np.bincount(index.bearer, plain, minlength=index.n_bearers)
        prior = np.maximum((1 - none) * by_bird, _TINY)
    clusters = []
    for number, photo in enumerate(photos):
        assert photo.reading is not None
        if not index.rings:
            clusters.append(_Cluster([number], prior, 0.0))
            continue
        seen = replace(ring_reading.evidence(photo.reading), expected=expected)
        weighed = posterior(index, seen)
        told = np.log(np.maximum(weighed.bearers, _TINY)) - np.log(prior)
        log_none = math.log(max(weighed.none_of_ours, _TINY) / none)
        clusters.append(_Cluster([number], told, log_none))
    looks, shape = _by_looks(photos, [cluster.log_none for cluster in clusters])
    return clusters, _Weights(prior, none, looks, shape, _by_time(photos))


def _link(weights: _Weights, one: _Cluster, other: _Cluster) -> float:
    """Log odds that two clusters are one ring.

    One ring: the same bird, or the same stranger, explains both. Two rings: each is
    explained by itself, and not by one bird.
    """
    pairs = np.ix_(one.members, other.members)
    # Pairs of the same photos say much the same: together they count as fewer.
    many = math.sqrt(len(one.members) * len(other.members))
    looks = float(weights.looks[pairs].mean()) * many
    shape = float(weights.shape[pairs].mean())
    log_prior, log_none = np.log(weights.prior), math.log(weights.none)
    both = one.log_bearers + other.log_bearers
    together = _log_sum(
        both + log_prior + shape, one.log_none + other.log_none + log_none + looks
    )
    apart = sum(
        _log_sum(each.log_bearers + log_prior, each.log_none + log_none)
        for each in (one, other)
    )
    on_one_bird = _log_sum(both + 2 * log_prior, -math.inf) - apart
    apart += math.log1p(-min(math.exp(min(on_one_bird, 0.0)), _ONE_BIRD_AT_MOST))
    return together - apart + float(weights.time[pairs].max())


def _log_sum(logs: NDArray[np.float64], another: float) -> float:
    """Logarithm of the sum of what these are logarithms of."""
    top = max(float(logs.max(initial=-math.inf)), another)
    if top == -math.inf:
        return top
    rest = float(np.exp(logs - top).sum()) + math.exp(another - top)
    return top + math.log(rest)


def _by_looks(
    photos: Sequence[PhotoRead], log_none: Sequence[float]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    n = len(photos)
    looks, shape = np.zeros((n, n)), np.zeros((n, n))
    for i, j in itertools.combinations(range(n), 2):
        one, other = photos[i].reading, photos[j].reading
        assert one is not None
        assert other is not None
        of_shape = _of_shape(one.photos[0].aspect, other.photos[0].aspect)
        shape[i, j] = shape[j, i] = of_shape / 2
        if log_none[i] + log_none[j] < _SURELY_OURS:
            continue  # no stranger's ring, so what they share says nothing more
        nats = min(ring_reading.alike(one, other), _MOST_NATS)
        shared = _FOR_EACH_NAT * nats if nats > 0 else _NOTHING_SHARED
        colour = _of_colour(one.colour, other.colour)
        looks[i, j] = looks[j, i] = _ANY_TWO + shared + colour + of_shape
    return looks, shape


def _of_colour(one: str, other: str) -> float:
    if not one or not other:
        return 0.0
    fit = fit_of_colour(one, other)
    return next(odds for least, odds in _COLOUR if fit >= least)


def _of_shape(one: float, other: float) -> float:
    if not one or not other:
        return 0.0
    return _SHAPE * min(abs(math.log(one / other)), _MOST_SHAPE)


def _by_time(photos: Sequence[PhotoRead]) -> NDArray[np.float64]:
    n = len(photos)
    # Without times: so many rings as there are threes of photos.
    odds = np.full((n, n), -math.log(max(n / _PHOTOS_OF_A_RING, 2.0)))
    for i, j in itertools.combinations(range(n), 2):
        one, other = photos[i].taken, photos[j].taken
        if one is not None and other is not None:
            apart = abs(one - other)
            odds[i, j] = odds[j, i] = next(
                (log_odds for within, log_odds in _WITHIN_S if apart <= within), _LATER
            )
    return odds
