"""Things by what one looks them up with, kept up to date change by change."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Mapping
from typing import Any, Generic, Protocol, TypeVar

from ledger.domain.layers import Layers


class _HasId(Protocol):
    @property
    def id(self) -> str: ...


K = TypeVar("K", bound=Hashable)
T = TypeVar("T", bound=_HasId)


class Index(Generic[K, T]):
    """Things under the keys they are looked up with, each list in order.

    Never changes; `replaced` gives a new one that shares all lists it did not
    touch. It is made when it is first asked, and a list is put in order then.
    """

    __slots__ = ("_field", "_keys", "_lists", "_order", "_source", "_where")

    def __init__(
        self,
        keys: Callable[[T], Iterable[K]],
        order: Callable[[T], Any],
        *,
        field: str = "",
        where: tuple[str, str] | None = None,
        lists: Layers[K, Any] | None = None,
        source: Mapping[str, T] | None = None,
    ) -> None:
        """Know what to look for.

        Args:
            keys: What a thing is looked up with.
            order: Sort key of the things in one list.
            field: The field that is its only key, where it is one.
            where: A text field and what it holds in the things that have a key.
            lists: Known lists: things in order, or ids of things of the source.
            source: All things by id.
        """
        self._keys = keys
        self._order = order
        self._field = field
        self._where = where
        self._lists = lists
        self._source: Mapping[str, T] = {} if source is None else source

    def over(self, things: Mapping[str, T]) -> Index[K, T]:
        """An index of these things and no others."""
        return self._with(None, things)

    def __getitem__(self, key: K) -> tuple[T, ...]:
        lists = self._filled
        found = lists.get(key, ())
        if isinstance(found, list):
            found = tuple(
                sorted((self._source[thing_id] for thing_id in found), key=self._order)
            )
            lists.put_quietly(key, found)
        things: tuple[T, ...] = found
        return things

    def items(self) -> Iterable[tuple[K, tuple[T, ...]]]:
        """Every key with its things."""
        return [(key, self[key]) for key in self._filled]

    def replaced(
        self, old: Iterable[T], new: Iterable[T], after: Mapping[str, T]
    ) -> Index[K, T]:
        """The index with some things taken out and others put in.

        Args:
            old: What is taken out.
            new: What is put in.
            after: All things by id as they then are.
        """
        if self._lists is None:
            return self.over(after)
        # By id: a thing may have been made twice from what was kept.
        gone: dict[K, set[str]] = {}
        come: dict[K, list[T]] = {}
        for thing in old:
            for key in self._keys(thing):
                gone.setdefault(key, set()).add(thing.id)
        for thing in new:
            for key in self._keys(thing):
                come.setdefault(key, []).append(thing)
        put: dict[K, Any] = {}
        emptied: list[K] = []
        for key in dict.fromkeys((*gone, *come)):
            put[key] = self._list_of(key, gone.get(key, set()), come.get(key, []))
            if not put[key]:
                emptied.append(key)
                del put[key]
        return self._with(self._lists.changed(put, emptied), after)

    def _list_of(self, key: K, out: set[str], come: list[T]) -> Any:
        """A list with some out and others in; one nobody looked at stays ids."""
        known = self._filled.get(key, ())
        if isinstance(known, list):
            ids = dict.fromkeys(known)
            for thing_id in out:
                ids.pop(thing_id, None)
            ids.update(dict.fromkeys(thing.id for thing in come))
            return list(ids)
        stay = [thing for thing in known if thing.id not in out]
        return tuple(sorted((*stay, *come), key=self._order))

    def _with(
        self, lists: Layers[K, Any] | None, source: Mapping[str, T]
    ) -> Index[K, T]:
        return Index(
            self._keys,
            self._order,
            field=self._field,
            where=self._where,
            lists=lists,
            source=source,
        )

    @property
    def _filled(self) -> Layers[K, Any]:
        if self._lists is None:
            self._lists = Layers(self._ids_by_key())
        return self._lists

    def _ids_by_key(self) -> dict[K, Any]:
        lists: dict[Any, Any] = {}
        by_field = getattr(self._source, "by_field", None)
        if self._field and by_field is not None:
            for thing_id, key in by_field(self._field, self._where):
                if key:
                    lists.setdefault(key, []).append(thing_id)
            return lists
        for thing_id, thing in self._source.items():
            for key in self._keys(thing):
                lists.setdefault(key, []).append(thing_id)
        return lists
