"""Everything a ledger keeps, by kind and id, and the next state after a change."""

from __future__ import annotations

from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Self, cast

from ledger.domain.change import Change, Put, Thing
from ledger.domain.indexes import EMPTY_INDEXES
from ledger.domain.kind import ID_PREFIX, Kind, id_number
from ledger.domain.people import FlockSettings, Person, Photo, Placement
from ledger.domain.shelf import Shelf

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence

    from ledger.domain.bird import Bird
    from ledger.domain.breeding import Clutch, Pair
    from ledger.domain.enquiry import Enquiry
    from ledger.domain.event import Event
    from ledger.domain.index import Index
    from ledger.domain.removal import Removal
    from ledger.domain.ring import Chip, Ring
    from ledger.domain.series import RingSeries
    from ledger.domain.task import Task
    from ledger.domain.walk import Sighting, WalkThrough


class Things:
    """Everything the ledger keeps, by id, with indexes.

    It never changes. `changed` gives the next one, which shares with this one
    all that the changes did not touch.
    """

    __slots__ = ("_indexes", "_last_numbers", "_things")

    def __init__(
        self,
        things: Mapping[Kind, Shelf[Any]],
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
        by_kind: dict[Kind, list[Thing]] = {kind: [] for kind in Kind}
        for thing in things:
            by_kind[thing.KIND].append(thing)
        shelves: dict[Kind, Shelf[Any]] = {
            kind: Shelf.of(known) for kind, known in by_kind.items()
        }
        numbers = {
            kind: max(map(id_number, shelves[kind]), default=0) for kind in ID_PREFIX
        }
        for kind, number in (last_numbers or {}).items():
            numbers[kind] = max(number, numbers.get(kind, 0))
        return cls.on(shelves, last_numbers=numbers)

    @classmethod
    def on(
        cls, shelves: Mapping[Kind, Shelf[Any]], *, last_numbers: Mapping[Kind, int]
    ) -> Self:
        """A flock of what stands on these shelves, nothing of it looked at yet.

        Args:
            shelves: One for each kind.
            last_numbers: Highest id number ever given, for every kind.
        """
        indexes = {
            name: empty.over(shelves[kind])
            for name, (kind, empty) in EMPTY_INDEXES.items()
        }
        numbers = dict.fromkeys(ID_PREFIX, 0)
        return cls(shelves, indexes, {**numbers, **last_numbers})

    def changed(self, changes: Sequence[Change]) -> Self:
        """The flock after these changes, in order; this one stays as it is.

        Costs what the changes touch, however large the flock is.
        """
        old: dict[Kind, dict[str, Any]] = {}
        new: dict[Kind, dict[str, Any]] = {}
        for change in changes:
            kind, thing_id = _place(change)
            before = self._things[kind].get(thing_id)
            if before is not None:
                old.setdefault(kind, {})[thing_id] = before
            thing = change.thing if isinstance(change, Put) else None
            new.setdefault(kind, {})[thing_id] = thing
        things = dict(self._things)
        numbers = dict(self._last_numbers)
        for kind, by_id in new.items():
            put = {key: thing for key, thing in by_id.items() if thing is not None}
            gone = [key for key in by_id if key not in put]
            things[kind] = things[kind].changed(put, gone)
            if kind in ID_PREFIX:
                numbers[kind] = max(numbers[kind], *map(id_number, by_id))
        indexes = dict(self._indexes)
        for name, (kind, _) in EMPTY_INDEXES.items():
            if kind in new:
                indexes[name] = indexes[name].replaced(
                    old.get(kind, {}).values(),
                    [thing for thing in new[kind].values() if thing is not None],
                    things[kind],
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
    def series(self) -> Mapping[str, RingSeries]:
        """Every ring series by its id."""
        return MappingProxyType(self._things[Kind.SERIES])

    @property
    def tasks(self) -> Mapping[str, Task]:
        """Every task by its id."""
        return MappingProxyType(self._things[Kind.TASK])

    @property
    def removals(self) -> Mapping[str, Removal]:
        """Every removal by its id."""
        return MappingProxyType(self._things[Kind.REMOVAL])

    @property
    def walks(self) -> Mapping[str, WalkThrough]:
        """Every walk-through by its id."""
        return MappingProxyType(self._things[Kind.WALK])

    @property
    def walk_sightings(self) -> Mapping[str, Sighting]:
        """Every sighting of a walk-through by its id."""
        return MappingProxyType(self._things[Kind.SIGHTING])

    @property
    def enquiries(self) -> Mapping[str, Enquiry]:
        """Every enquiry by its id."""
        return MappingProxyType(self._things[Kind.ENQUIRY])

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

    def shares(self, other: Things, *kinds: Kind) -> bool:
        """Both hold the same things of these kinds; seen without looking at them.

        False does not say that they differ.
        """
        return all(self._things[kind] is other._things[kind] for kind in kinds)

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
