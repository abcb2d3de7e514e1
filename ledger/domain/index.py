"""Things by what one looks them up with, kept up to date change by change."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Mapping
from typing import Any, Generic, TypeVar

K = TypeVar("K", bound=Hashable)
T = TypeVar("T")


class Index(Generic[K, T]):
    """Things under the keys they are looked up with, each list in order.

    Never changes; `replaced` gives a new one that shares all lists it did not
    touch.
    """

    __slots__ = ("_keys", "_lists", "_order")

    def __init__(
        self,
        keys: Callable[[T], Iterable[K]],
        order: Callable[[T], Any],
        lists: Mapping[K, tuple[T, ...]] | None = None,
    ) -> None:
        self._keys = keys
        self._order = order
        self._lists: Mapping[K, tuple[T, ...]] = lists or {}

    def __getitem__(self, key: K) -> tuple[T, ...]:
        return self._lists.get(key, ())

    def items(self) -> Iterable[tuple[K, tuple[T, ...]]]:
        """Every key with its things."""
        return self._lists.items()

    def filled(self, things: Iterable[T]) -> Index[K, T]:
        """An index of these things and no others."""
        lists: dict[K, list[T]] = {}
        for thing in things:
            for key in self._keys(thing):
                lists.setdefault(key, []).append(thing)
        for found in lists.values():
            if len(found) > 1:
                found.sort(key=self._order)
        done = {key: tuple(found) for key, found in lists.items()}
        return Index(self._keys, self._order, done)

    def replaced(self, old: Iterable[T], new: Iterable[T]) -> Index[K, T]:
        """The index with some things taken out and others put in."""
        gone: dict[K, list[T]] = {}
        come: dict[K, list[T]] = {}
        for thing in old:
            for key in self._keys(thing):
                gone.setdefault(key, []).append(thing)
        for thing in new:
            for key in self._keys(thing):
                come.setdefault(key, []).append(thing)
        if not gone and not come:
            return self
        lists = dict(self._lists)
        for key in gone.keys() | come.keys():
            out = {id(thing) for thing in gone.get(key, ())}
            stay = [thing for thing in lists.get(key, ()) if id(thing) not in out]
            stay += come.get(key, ())
            if stay:
                lists[key] = tuple(sorted(stay, key=self._order))
            else:
                lists.pop(key, None)
        return Index(self._keys, self._order, lists)
