"""Everything a ledger keeps, by kind and id, and the next state after a change."""

from __future__ import annotations

from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Self, cast

from ledger.domain.change import Change, Put, Thing
from ledger.domain.indexes import EMPTY_INDEXES
from ledger.domain.kind import ID_PREFIX, Kind, id_number
from ledger.domain.people import FlockSettings, Person, Photo, Placement

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence

    from ledger.domain.bird import Bird
    from ledger.domain.breeding import Clutch, Pair
    from ledger.domain.event import Event
    from ledger.domain.index import Index
    from ledger.domain.ring import Chip, Ring


class Things:
    """Everything the ledger keeps, by id, with indexes.

    It never changes. `changed` gives the next one, which shares with this one
    all that the changes did not touch.
    """

    __slots__ = ("_indexes", "_last_numbers", "_things")

    def __init__(
        self,
        things: Mapping[Kind, dict[str, Any]],
        indexes: Mapping[str, Index[str, Any]],
        last_numbers: Mapping[Kind, int],
    ) -> None:
        self._things = things
        self._indexes = indexes
        self._last_numbers = last_numbers

    @classmethod
    def of(
        cls,
        things: Iterable[Thing] = (),
        *,
        last_numbers: Mapping[Kind, int] | None = None,
    ) -> Self:
        """A flock of these things.

        Args:
            things: Everything, in any order; of two with one id the later counts.
            last_numbers: Highest id number ever given, by kind; so that the id
                of something dropped is not given again.
        """
        by_kind: dict[Kind, dict[str, Any]] = {kind: {} for kind in Kind}
        for thing in things:
            by_kind[thing.KIND][thing.id] = thing
        indexes = {
            name: empty.filled(by_kind[kind].values())
            for name, (kind, empty) in EMPTY_INDEXES.items()
        }
        numbers = {
            kind: max(map(id_number, by_kind[kind]), default=0) for kind in ID_PREFIX
        }
        for kind, number in (last_numbers or {}).items():
            numbers[kind] = max(number, numbers.get(kind, 0))
        return cls(by_kind, indexes, numbers)

    def changed(self, changes: Sequence[Change]) -> Self:
        """The flock after these changes, in order; this one stays as it is."""
        old: dict[tuple[Kind, str], Thing] = {}
        new: dict[tuple[Kind, str], Thing | None] = {}
        for change in changes:
            thing = change.thing if isinstance(change, Put) else None
            kind, thing_id = _place(change)
            before = self._things[kind].get(thing_id)
            if before is not None:
                old[kind, thing_id] = before
            new[kind, thing_id] = thing
        touched = {kind for kind, _ in new}
        things = {
            kind: dict(known) if kind in touched else known
            for kind, known in self._things.items()
        }
        numbers = dict(self._last_numbers)
        for (kind, thing_id), thing in new.items():
            if thing is None:
                things[kind].pop(thing_id, None)
            else:
                things[kind][thing_id] = thing
            if kind in ID_PREFIX:
                numbers[kind] = max(numbers[kind], id_number(thing_id))
        indexes = dict(self._indexes)
        for name, (kind, _) in EMPTY_INDEXES.items():
            if kind in touched:
                indexes[name] = indexes[name].replaced(
                    [thing for (k, _), thing in old.items() if k is kind],
                    [t for (k, _), t in new.items() if k is kind and t is not None],
                )
        return type(self)(things, indexes, numbers)

    @property
    def birds(self) -> Mapping[str, Bird]:
        """Every bird by its id."""
        return MappingProxyType(self._things[Kind.BIRD])

    @property
    def rings(self) -> Mapping[str, Ring]:
        """Every ring by its id."""
        return MappingProxyType(self._things[Kind.RING])

    @property
    def chips(self) -> Mapping[str, Chip]:
        """Every chip by its id."""
        return MappingProxyType(self._things[Kind.CHIP])

    @property
    def pairs(self) -> Mapping[str, Pair]:
        """Every pair by its id."""
        return MappingProxyType(self._things[Kind.PAIR])

    @property
    def clutches(self) -> Mapping[str, Clutch]:
        """Every clutch by its id."""
        return MappingProxyType(self._things[Kind.CLUTCH])

    @property
    def events(self) -> Mapping[str, Event]:
        """Every event by its id."""
        return MappingProxyType(self._things[Kind.EVENT])

    @property
    def placements(self) -> Mapping[str, Placement]:
        """Every placement by its id."""
        return MappingProxyType(self._things[Kind.PLACEMENT])

    @property
    def people(self) -> Mapping[str, Person]:
        """Every person by their id."""
        return MappingProxyType(self._things[Kind.PERSON])

    @property
    def photos(self) -> Mapping[str, Photo]:
        """Every photo by its id."""
        return MappingProxyType(self._things[Kind.PHOTO])

    @property
    def settings(self) -> FlockSettings:
        """What holds for the whole flock."""
        for settings in self._things[Kind.SETTINGS].values():
            return cast("FlockSettings", settings)
        return FlockSettings()

    @property
    def last_numbers(self) -> Mapping[Kind, int]:
        """Highest id number ever given, by kind."""
        return self._last_numbers

    def all_of(self, kind: Kind) -> Mapping[str, Thing]:
        """Every thing of a kind by its id."""
        return MappingProxyType(self._things[kind])

    def get(self, kind: Kind, thing_id: str) -> Thing | None:
        """The thing of this kind with this id, if there is one."""
        return self._things[kind].get(thing_id)

    def __iter__(self) -> Iterator[Thing]:
        for known in self._things.values():
            yield from known.values()

    def __len__(self) -> int:
        return sum(len(known) for known in self._things.values())

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, Things):
            return NotImplemented
        return self._things == other._things

    __hash__ = None  # type: ignore[assignment]  # compared by what it holds

    def next_id(self, kind: Kind, *, after: int = 0) -> str:
        """An id never given before.

        Args:
            kind: Of what.
            after: How many more of this kind are being put in by the same act.
        """
        number = self._last_numbers.get(kind, 0) + 1 + after
        return f"{ID_PREFIX[kind]}{number:04d}"


def _place(change: Change) -> tuple[Kind, str]:
    if isinstance(change, Put):
        return change.thing.KIND, change.thing.id
    return change.kind, change.id
