"""A mapping that never changes, and whose next state costs what the change costs."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Iterator, Mapping
from math import isqrt
from typing import Any, Generic, TypeVar

K = TypeVar("K", bound=Hashable)
V = TypeVar("V")

_GONE: Any = object()
_LEAST = 64
"""Changes that may lie on top of any base before both are made one."""


class Layers(Mapping[K, V], Generic[K, V]):
    """A large mapping with the latest changes laid on top of it.

    `changed` copies what lies on top only. When that has grown to the square root
    of the base, the two are made one: seldom enough to be cheap on average.
    """

    __slots__ = ("_base", "_over", "_size")

    def __init__(self, base: dict[K, V]) -> None:
        self._base = base
        self._over: dict[K, V] = {}
        self._size = len(base)

    def changed(self, put: Mapping[K, V], gone: Iterable[K] = ()) -> Layers[K, V]:
        """The mapping with some keys taken out, then others put in."""
        gone = [key for key in gone if key in self]
        over = {**self._over, **dict.fromkeys(gone, _GONE)}
        # What comes back after it was gone stands at the end, as in any dict.
        comes_back = any(over.get(key) is _GONE for key in put)
        size = self._size - len(gone) + sum(key not in self for key in put)
        size += sum(key in put for key in gone)
        new = Layers(self._base)
        if comes_back or len(over) + len(put) > max(_LEAST, isqrt(len(self._base))):
            new._base = self._flat(over)
            new._base.update(put)
        else:
            new._over = {**over, **put}
        new._size = size
        return new

    def put_quietly(self, key: K, value: V) -> None:
        """Replace a value by one that means the same, such as a made thing."""
        (self._over if key in self._over else self._base)[key] = value

    def pairs(self) -> Iterable[tuple[K, V]]:
        """Keys and values; faster than `items`."""
        return self.items() if self._over else self._base.items()

    def _flat(self, over: Mapping[K, V]) -> dict[K, V]:
        flat = dict(self._base)
        for key, value in over.items():
            if value is _GONE:
                flat.pop(key, None)
            else:
                flat[key] = value
        return flat

    def __getitem__(self, key: K) -> V:
        if key in self._over:
            value = self._over[key]
            if value is _GONE:
                raise KeyError(key)
            return value
        return self._base[key]

    def __contains__(self, key: object) -> bool:
        if key in self._over:
            return self._over[key] is not _GONE
        return key in self._base

    def __iter__(self) -> Iterator[K]:
        if not self._over:
            return iter(self._base)
        return self._keys()

    def _keys(self) -> Iterator[K]:
        over, base = self._over, self._base
        for key in base:
            if over.get(key) is not _GONE:
                yield key
        for key, value in over.items():
            if key not in base and value is not _GONE:
                yield key

    def __len__(self) -> int:
        return self._size
