"""Who is whose young: a table of parents in numbers, in an order one can walk."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING, Literal

import numpy as np

from ledger.errors import LineageError, LoopError

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from numpy.typing import NDArray

Parents = tuple[str | None, str | None]
"""Sire and dam; None is "not known"."""

UNKNOWN = -1
_NAMED = 5
"""How many birds a message names at most."""


@dataclass(frozen=True, eq=False)
class ParentTable:
    """Birds by place 0..n-1, the places of their parents, and their levels."""

    ids: tuple[str, ...]
    sire: NDArray[np.int64]
    """(n,) place of the sire, -1 where it is not known."""
    dam: NDArray[np.int64]
    """(n,) place of the dam, -1 where it is not known."""
    level: NDArray[np.int64]
    """(n,) longest way up to a founder, in generations; founders have 0."""
    unlisted: tuple[str, ...] = ()
    """Parents that had no line of their own and were taken in as founders."""
    _places: Mapping[str, int] = field(default_factory=dict, repr=False)

    @classmethod
    def of(
        cls,
        parents: Mapping[str, Parents],
        *,
        sexes: Mapping[str, str] | None = None,
        unlisted: Literal["refuse", "founder"] = "refuse",
    ) -> ParentTable:
        """The table of these birds, in any order.

        Args:
            parents: Sire and dam of each bird.
            sexes: "cock", "hen" or "unknown" of each bird, to hold sires and dams
                to; None: not looked at, one bird may then be both.
            unlisted: What to do with a parent that has no line of its own.

        Raises:
            LoopError: a bird is its own ancestor; the message names the loop.
            LineageError: a parent is not listed, one bird is both parents of
                another, or a sire is a hen.
        """
        listed = set(parents)
        named = [p for pair in parents.values() for p in pair if p is not None]
        missing = tuple(dict.fromkeys(p for p in named if p not in listed))
        if missing and unlisted == "refuse":
            raise LineageError(
                f"No line of their own, yet parents: {_some(missing)}.",
                "Enter them as birds, or leave the parent open.",
            )
        _refuse_twice_the_same(parents)
        if sexes is not None:
            _refuse_wrong_sexes(parents, sexes)
        ids = (*parents, *missing)
        places = {bird: place for place, bird in enumerate(ids)}
        pairs = [*parents.values(), *((None, None) for _ in missing)]
        sire = _places_of((pair[0] for pair in pairs), places)
        dam = _places_of((pair[1] for pair in pairs), places)
        return cls(ids, sire, dam, _levels(ids, sire, dam), missing, places)

    @classmethod
    def of_places(cls, sire: NDArray[np.int64], dam: NDArray[np.int64]) -> ParentTable:
        """A table of numbered birds; ids are their numbers as text.

        Args:
            sire: (n,) place of each sire, -1 where not known.
            dam: (n,) likewise.

        Raises:
            LoopError: a bird is its own ancestor.
        """
        ids = tuple(map(str, range(len(sire))))
        places = {bird: place for place, bird in enumerate(ids)}
        sire, dam = sire.astype(np.int64), dam.astype(np.int64)
        return cls(ids, sire, dam, _levels(ids, sire, dam), (), places)

    def __len__(self) -> int:
        return len(self.ids)

    def __contains__(self, bird: object) -> bool:
        return bird in self._places

    def place(self, bird: str) -> int:
        """Where a bird stands in the table.

        Raises:
            LineageError: it is not in the table.
        """
        try:
            return self._places[bird]
        except KeyError:
            raise LineageError(
                f"There is no bird {bird} in this table of parents.",
                "Look it up by name, ring or chip.",
            ) from None

    def places(self, birds: Iterable[str]) -> NDArray[np.int64]:
        """Places of several birds, in their order.

        Raises:
            LineageError: one of them is not in the table.
        """
        return np.array([self.place(bird) for bird in birds], dtype=np.int64)

    @cached_property
    def by_level(self) -> tuple[NDArray[np.int64], ...]:
        """Places of each level, from the founders down."""
        order = np.argsort(self.level, kind="stable")
        ends = np.searchsorted(
            self.level[order], np.arange(1, self.depth + 1), side="left"
        )
        return tuple(np.split(order, ends))

    @property
    def depth(self) -> int:
        """The highest level."""
        return int(self.level.max(initial=0))

    @property
    def is_founder(self) -> NDArray[np.bool_]:
        """(n,) neither parent is known."""
        return (self.sire < 0) & (self.dam < 0)

    @property
    def is_half_known(self) -> NDArray[np.bool_]:
        """(n,) one parent is known and the other is not."""
        half: NDArray[np.bool_] = (self.sire < 0) != (self.dam < 0)
        return half


def _places_of(
    parents: Iterable[str | None], places: Mapping[str, int]
) -> NDArray[np.int64]:
    return np.array(
        [UNKNOWN if p is None else places[p] for p in parents], dtype=np.int64
    )


def _refuse_twice_the_same(parents: Mapping[str, Parents]) -> None:
    for bird, (sire, dam) in parents.items():
        if bird in (sire, dam):
            raise LoopError(
                f"{bird} is entered as its own parent.",
                "Correct its sire or dam.",
                (bird,),
            )
        if sire is not None and sire == dam:
            raise LineageError(
                f"{bird} has the same bird, {sire}, as sire and as dam.",
                "Leave open the parent that is not known.",
            )


def _refuse_wrong_sexes(
    parents: Mapping[str, Parents], sexes: Mapping[str, str]
) -> None:
    sires: dict[str, str] = {}
    dams: dict[str, str] = {}
    for bird, (sire, dam) in parents.items():
        for parent, role, wrong, theirs in (
            (sire, "sire", "hen", sires),
            (dam, "dam", "cock", dams),
        ):
            if parent is None:
                continue
            theirs[parent] = bird
            if str(sexes.get(parent, "")) == wrong:
                raise LineageError(
                    f"The {role} of {bird} is {parent}, which is a {wrong}.",
                    f"Name another {role}, or correct the sex of {parent}.",
                )
    for both in sires.keys() & dams.keys():
        raise LineageError(
            f"{both} is the sire of {sires[both]} and the dam of {dams[both]}.",
            "Correct one of the two.",
        )


def _levels(
    ids: Sequence[str], sire: NDArray[np.int64], dam: NDArray[np.int64]
) -> NDArray[np.int64]:
    """Levels of all birds, from the founders down.

    Raises:
        LoopError: some birds never get one.
    """
    n = len(sire)
    parent = np.concatenate([sire, dam])
    young = np.tile(np.arange(n), 2)[parent >= 0]
    parent = parent[parent >= 0]
    order = np.argsort(parent, kind="stable")
    young = young[order]
    starts = np.searchsorted(parent[order], np.arange(n + 1))
    waits_for = np.bincount(young, minlength=n)
    level = np.zeros(n, dtype=np.int64)
    ready = np.flatnonzero(waits_for == 0)
    left = n - len(ready)
    step = 0
    while len(ready):
        step += 1
        theirs = young[ranges(starts[ready], starts[ready + 1])]
        np.subtract.at(waits_for, theirs, 1)
        ready = np.unique(theirs[waits_for[theirs] == 0])
        level[ready] = step
        left -= len(ready)
    if left:
        raise _loop(ids, sire, dam, waits_for > 0)
    return level


def ranges(starts: NDArray[np.int64], ends: NDArray[np.int64]) -> NDArray[np.int64]:
    """All whole numbers of several half-open ranges, one after the other."""
    sizes = ends - starts
    firsts = np.cumsum(sizes) - sizes
    numbers: NDArray[np.int64] = np.arange(sizes.sum()) + np.repeat(
        starts - firsts, sizes
    )
    return numbers


def _loop(
    ids: Sequence[str],
    sire: NDArray[np.int64],
    dam: NDArray[np.int64],
    waits: NDArray[np.bool_],
) -> LoopError:
    """Walk up among the birds that wait for each other until one comes again."""
    way: list[int] = []
    seen: dict[int, int] = {}
    at = int(np.flatnonzero(waits)[0])
    while at not in seen:
        seen[at] = len(way)
        way.append(at)
        up = int(sire[at])
        at = up if up >= 0 and waits[up] else int(dam[at])
    loop = way[seen[at] :]
    first = loop.index(min(loop))
    names = [ids[place] for place in (*loop[first:], *loop[:first])]
    told = ", whose parent is ".join((*names[1:], names[0]))
    return LoopError(
        f"{names[0]} is its own ancestor: its parent is {told}.",
        "Correct the sire or dam of one of them.",
        tuple(names),
    )


def _some(birds: Sequence[str]) -> str:
    more = len(birds) - _NAMED
    named = ", ".join(birds[:_NAMED])
    return f"{named} and {more} more" if more > 0 else named
