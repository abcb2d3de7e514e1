"""Things of one kind by id, each made from what was kept only when it is wanted."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from threading import RLock
from typing import TYPE_CHECKING, Any, Generic, TypeVar

from ledger.domain.layers import Layers

if TYPE_CHECKING:
    from ledger.domain.change import Thing

T = TypeVar("T", bound="Thing")

_FILLING = RLock()
Unmade = bytes
"""A thing as it is kept, not made yet."""


class Shelf(Mapping[str, T], Generic[T]):
    """Things by id. Never changes; `changed` gives the next one.

    A flock of thirty years has a hundred thousand events, and a moment looks at
    twenty of them: those are made, the others stay as they are kept.
    """

    __slots__ = ("_fill", "_held", "_make", "_peek")

    def __init__(
        self,
        fill: Callable[[], dict[str, Any]],
        make: Callable[[str, Unmade], T] | None = None,
        peek: Callable[[Unmade, str], str | None] | None = None,
    ) -> None:
        """Know where the things are.

        Args:
            fill: Gives things or unmade ones by id; called once, when needed.
            make: A thing from its id and what was kept of it.
            peek: One text field of an unmade thing, where that is quick to see;
                None where it is not.
        """
        self._fill: Callable[[], dict[str, Any]] | None = fill
        self._make = make
        self._peek = peek
        self._held: Layers[str, Any] = Layers({})

    @classmethod
    def of(cls, things: Iterable[T]) -> Shelf[T]:
        """A shelf of these."""
        made = {thing.id: thing for thing in things}
        return cls(lambda: made)

    @property
    def _layers(self) -> Layers[str, Any]:
        if self._fill is not None:
            with _FILLING:  # a check may run beside the pages
                if self._fill is not None:
                    self._held = Layers(self._fill())
                    self._fill = None
        return self._held

    def changed(self, put: Mapping[str, T], gone: Iterable[str]) -> Shelf[T]:
        """The shelf after some are taken out and others put on."""
        layers = self._layers.changed(put, gone)
        new: Shelf[T] = Shelf(dict, self._make, self._peek)
        new._fill, new._held = None, layers
        return new

    def by_field(
        self, field: str, where: tuple[str, str] | None = None
    ) -> Iterator[tuple[str, str | None]]:
        """Each id with one of its thing's text fields, made only where it must be.

        Args:
            field: The field.
            where: Another text field and what it must hold.
        """
        for key, held in self._layers.pairs():
            is_unmade = isinstance(held, bytes) and self._peek is not None
            if where and self._seen(key, held, where[0], is_unmade) != where[1]:
                continue
            yield key, self._seen(key, held, field, is_unmade)

    def _seen(self, key: str, held: Any, field: str, is_unmade: bool) -> str | None:
        value = self._peek(held, field) if is_unmade and self._peek else None
        return value or getattr(self[key], field)

    def __getitem__(self, key: str) -> T:
        held = self._layers[key]
        if isinstance(held, bytes):
            if self._make is None:
                raise TypeError("a shelf of unmade things needs to make them")
            held = self._make(key, held)
            self._layers.put_quietly(key, held)
        thing: T = held
        return thing

    def __contains__(self, key: object) -> bool:
        return key in self._layers

    def __iter__(self) -> Iterator[str]:
        return iter(self._layers)

    def __len__(self) -> int:
        return len(self._layers)
