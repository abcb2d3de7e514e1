"""A small figure in characters: from a common ancestor down to two birds."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ledger.services.lineage import lineage_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from ledger.domain.flock import Flock
    from ledger.lineage.table import ParentTable
    from ledger.services.lineage import Lineage

_FIGURES = 3
"""Drawn at most; more are counted."""
_NAME = 14
"""Characters of a name; what is cut off leaves an ellipsis."""


def common_ancestors_drawn(
    flock: Flock, first: str, second: str, ancestors: tuple[str, ...]
) -> tuple[str, ...]:
    """Lines that show how two birds descend from ancestors that they share.

    Such as

        Rook x Wren ─┬─ Ash ── Ivy
                     └─ Bryony

    Args:
        flock: The flock.
        first: Bird id.
        second: Bird id.
        ancestors: Ids of the ancestors they share, as their relationship has them.

    Raises:
        LineageError: the parents of the flock contradict each other.
    """
    lineage = lineage_of(flock)
    place = lineage.table.place
    above = [_ways_up(lineage.table, place(bird)) for bird in (first, second)]
    lines: dict[tuple[tuple[int, ...], tuple[int, ...]], list[int]] = {}
    for ancestor in map(place, ancestors):
        if all(ancestor in ways for ways in above):
            down = (above[0][ancestor], above[1][ancestor])
            lines.setdefault(down, []).append(ancestor)
    told = [
        line
        for (left, right), shared in list(lines.items())[:_FIGURES]
        for line in _drawn(lineage, shared, left, right)
    ]
    if len(lines) > _FIGURES:
        told.append(f"and {len(lines) - _FIGURES} more lines of descent")
    return tuple(told)


def _ways_up(table: ParentTable, bird: int) -> dict[int, tuple[int, ...]]:
    """The shortest way down from each ancestor: places below it, the bird last."""
    ways: dict[int, tuple[int, ...]] = {bird: ()}
    new = [bird]
    while new:
        next_up = []
        for young in new:
            for parent in (int(table.sire[young]), int(table.dam[young])):
                if parent >= 0 and parent not in ways:
                    ways[parent] = (young, *ways[young])
                    next_up.append(parent)
        new = next_up
    return ways


def _drawn(
    lineage: Lineage, shared: list[int], left: tuple[int, ...], right: tuple[int, ...]
) -> Iterator[str]:
    top = " x ".join(_name(lineage, place) for place in shared)
    one, other = (
        " ── ".join(_name(lineage, place) for place in way) for way in (left, right)
    )
    if not left or not right:  # one descends from the other
        yield f"{top} ── {one or other}"
        return
    yield f"{top} ─┬─ {one}"
    yield f"{' ' * len(top)}  └─ {other}"


def _name(lineage: Lineage, place: int) -> str:
    bird = lineage.bird_at(place)
    name = bird.title if bird else lineage.table.ids[place]
    return name if len(name) <= _NAME else f"{name[: _NAME - 1]}…"
