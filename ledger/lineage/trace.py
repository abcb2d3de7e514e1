"""Kinship of pairs from their ancestors, all pairs at once, level by level."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

    from ledger.lineage.founders import RelatedFounders
    from ledger.lineage.table import ParentTable

_ENTRIES_AT_ONCE = 3_000_000
"""Pairs times ancestors held in memory at one time, by estimate."""
_SAMPLE = 64


def trace(
    table: ParentTable,
    first: NDArray[np.int64],
    second: NDArray[np.int64],
    own: NDArray[np.float64],
    inbred: NDArray[np.float64],
    related: RelatedFounders | None = None,
) -> NDArray[np.float64]:
    """Kinship of each first with its second.

    Args:
        table: The parents.
        first: (k,) places.
        second: (k,) places.
        own: (n,) Henderson's D of every ancestor.
        inbred: (n,) F of the birds in `first` and `second`.
        related: Founders that are kin.

    Returns:
        (k,) kinship.
    """
    kinship = np.zeros(len(first))
    if not len(first):
        return kinship
    at_once = max(64, int(_ENTRIES_AT_ONCE / entries_of_a_pair(table, first, second)))
    for start in range(0, len(first), at_once):
        part = slice(start, start + at_once)
        kinship[part] = _trace_some(table, first[part], second[part], own, related)
    # The sum so far is 1 + F of a young, less what the young adds of its own.
    kinship += 0.5 - 0.25 * (inbred[first] + inbred[second]) - 1.0
    # What is left of numbers such as 0.1 + 0.2 - 0.3 is no kinship.
    kinship[np.abs(kinship) < 1e-14] = 0.0
    return kinship


def entries_of_a_pair(
    table: ParentTable, first: NDArray[np.int64], second: NDArray[np.int64]
) -> float:
    """How many ancestors a pair has, itself included; the mean of some pairs."""
    if not len(first):
        return 1.0
    some = np.linspace(0, len(first) - 1, min(_SAMPLE, len(first))).astype(np.int64)
    met = _ancestors_of_pairs(table, first[some], second[some])
    return max(1.0, sum(len(pair) for pair, _, _ in met) / len(some))


def _trace_some(
    table: ParentTable,
    first: NDArray[np.int64],
    second: NDArray[np.int64],
    own: NDArray[np.float64],
    related: RelatedFounders | None,
) -> NDArray[np.float64]:
    total = np.zeros(len(first))
    for pair, bird, share in _ancestors_of_pairs(table, first, second):
        total += np.bincount(pair, share * share * own[bird], len(first))
        if related is not None:
            total += _among_founders(pair, bird, share, related, len(first))
    return total


def _ancestors_of_pairs(
    table: ParentTable, first: NDArray[np.int64], second: NDArray[np.int64]
) -> Iterator[tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.float64]]]:
    """From the youngest level up: (e,) pair, (e,) ancestor, (e,) share it gives."""
    n, pairs = len(table), np.arange(len(first))
    waiting: list[list[tuple[NDArray[np.int64], NDArray[np.float64]]]]
    waiting = [[] for _ in range(table.depth + 1)]
    _sort_in(
        waiting,
        table,
        np.concatenate([pairs, pairs]) * n,
        np.concatenate([first, second]),
        np.full(2 * len(first), 0.5),
    )
    for level in range(table.depth, -1, -1):
        if not waiting[level]:
            continue
        keys, share = _summed(waiting[level])
        waiting[level] = []
        base = keys // n * n
        bird = keys - base
        yield base // n, bird, share
        if level:
            up = np.concatenate([table.sire[bird], table.dam[bird]])
            known = np.flatnonzero(up >= 0)
            _sort_in(
                waiting,
                table,
                np.concatenate([base, base])[known],
                up[known],
                np.concatenate([share, share])[known] * 0.5,
            )


def _sort_in(
    waiting: list[list[tuple[NDArray[np.int64], NDArray[np.float64]]]],
    table: ParentTable,
    base: NDArray[np.int64],
    bird: NDArray[np.int64],
    share: NDArray[np.float64],
) -> None:
    """Lay each entry down at the level of its bird."""
    level = table.level[bird].astype(np.uint16 if table.depth < 65536 else np.int64)
    order = np.argsort(level, kind="stable")
    keys, share, level = (base + bird)[order], share[order], level[order]
    starts = np.flatnonzero(np.diff(level, prepend=-1))
    for start, end in zip(starts, [*starts[1:], len(level)], strict=True):
        waiting[int(level[start])].append((keys[start:end], share[start:end]))


def _summed(
    parts: list[tuple[NDArray[np.int64], NDArray[np.float64]]],
) -> tuple[NDArray[np.int64], NDArray[np.float64]]:
    """Keys once each, with their shares added up."""
    keys = np.concatenate([keys for keys, _ in parts])
    share = np.concatenate([share for _, share in parts])
    order = np.argsort(keys)
    keys, share = keys[order], share[order]
    starts = np.flatnonzero(np.diff(keys, prepend=-1))
    return keys[starts], np.add.reduceat(share, starts)


def _among_founders(
    pair: NDArray[np.int64],
    bird: NDArray[np.int64],
    share: NDArray[np.float64],
    related: RelatedFounders,
    pairs: int,
) -> NDArray[np.float64]:
    """What related founders add beyond what each gives of its own."""
    column = np.full(max(int(bird.max()), int(related.places.max(initial=0))) + 1, -1)
    column[related.places] = np.arange(len(related.places))
    named = column[bird] >= 0
    total = np.zeros(pairs)
    if not named.any():
        return total
    met, row = np.unique(pair[named], return_inverse=True)
    shares = np.zeros((len(met), len(related.places)))
    shares[row, column[bird[named]]] = share[named]
    total[met] = np.einsum("pi,ij,pj->p", shares, related.between, shares)
    return total
