"""Birds while they are being made up, and the book that all things go into."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any, TypeVar

from ledger.domain import (
    Bird,
    Chip,
    Clutch,
    Event,
    EventKind,
    FlockSettings,
    Pair,
    PartialDate,
    Person,
    Placement,
    Ring,
    RingKind,
    Sex,
    Status,
    Task,
    Thing,
)
from ledger.domain.kind import ID_PREFIX, Kind
from ledger.domain.series import RingSeries
from making.chance import Chance

if TYPE_CHECKING:
    from collections.abc import Callable

    from making.plan import Line

T = TypeVar("T", bound=Thing)

END = dt.date(2026, 1, 31)
"""The last day in the demo's book."""


@dataclass
class Life:
    """One bird, growing."""

    key: str
    """Like BF-A88a; a founder's is like BF-Admiral."""
    line: Line
    name: str
    sex: Sex
    born: dt.date
    """The day itself, however little of it the book gives."""
    hatched: PartialDate | None
    sire: Life | None = None
    dam: Life | None = None
    origin: str = "ours"
    breeds_until: int = 0
    """Last year in which it has a pair; 0 for a bird that never bred."""
    breeds_from: int = 9999
    came: dt.date | None = None
    left: dt.date | None = None
    """When it went to a new home."""
    back: dt.date | None = None
    died: dt.date | None = None
    status: Status = Status.ALIVE
    location: str = ""
    owner: str | None = None
    vet: str | None = None
    alerts: list[str] = field(default_factory=list)
    medication: list[str] = field(default_factory=list)
    allergies: list[str] = field(default_factory=list)
    health_flags: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    weight_turns: list[tuple[dt.date, float]] = field(default_factory=list)
    """From each day on, its weight as a share of its usual one."""

    @property
    def chance(self) -> Chance:
        """A stream of chance of its own, from its start."""
        return Chance(self.key)

    @property
    def here_from(self) -> dt.date:
        """The day from which the book follows it."""
        return self.came or self.born

    def is_here(self, on: dt.date) -> bool:
        """It lives at Tidewrack on that day."""
        if on < self.here_from or (self.died and on > self.died):
            return False
        away = self.left and on >= self.left and not (self.back and on >= self.back)
        return not away

    def as_bird(self) -> Bird:
        """The bird as the ledger keeps it, named by keys."""
        return Bird(
            self.key,
            self.name,
            self.line.species,
            self.sex,
            self.hatched,
            self.sire.key if self.sire else None,
            self.dam.key if self.dam else None,
            status=self.status,
            location=self.location if self.status is Status.ALIVE else "",
            owner=self.owner,
            vet=self.vet,
            alerts=tuple(self.alerts),
            medication=tuple(self.medication),
            allergies=tuple(self.allergies),
            health_flags=tuple(self.health_flags),
            notes=" ".join(self.notes),
        )


class Book:
    """All things of the flock; they name each other by keys until it is done."""

    def __init__(self) -> None:
        self.lives: dict[str, Life] = {}
        self._things: list[tuple[dt.date, Thing]] = []

    def put(self, on: dt.date, thing: Thing) -> None:
        """Enter a thing under a day."""
        self._things.append((on, thing))

    def event(
        self, life: Life, on: dt.date, kind: EventKind, text: str = "", **more: Any
    ) -> None:
        """Enter an event; what lies outside the bird's days in the book is left out."""
        last = life.died or END
        if life.here_from <= on <= last:
            key = more.pop("id", "")
            entry = Event(key, life.key, kind, PartialDate.of(on), text, **more)
            self.put(on, entry)

    def change(
        self, cls: type[T], to: Callable[[T], T], key: str | None = None
    ) -> None:
        """Enter things of one class differently: all of them, or the one so keyed."""
        for place, (on, thing) in enumerate(self._things):
            if isinstance(thing, cls) and key in (None, thing.id):
                self._things[place] = on, to(thing)

    def rings_on(self, life: Life, kind: RingKind | None = None) -> list[Ring]:
        """Rings entered for a bird."""
        return [
            thing
            for _, thing in self._things
            if isinstance(thing, Ring)
            and thing.bird == life.key
            and kind in (None, thing.kind)
        ]

    def pair(self, key: str) -> Pair:
        """The pair of this key."""
        return next(
            thing
            for _, thing in self._things
            if isinstance(thing, Pair) and thing.id == key
        )

    def finished(self) -> list[tuple[int, Thing]]:
        """Everything by year, ids given in the order of time, the oldest first."""
        dated = [(life.here_from, life.as_bird()) for life in self.lives.values()]
        listed = sorted([*dated, *self._things], key=lambda entry: entry[0])
        ids: dict[tuple[Kind, str], str] = {}
        numbers = dict.fromkeys(ID_PREFIX, 0)
        named: list[tuple[int, Thing]] = []
        for on, thing in listed:
            if not isinstance(thing, FlockSettings):
                numbers[thing.KIND] += 1
                its_id = f"{ID_PREFIX[thing.KIND]}{numbers[thing.KIND]:04d}"
                if thing.id:
                    if (thing.KIND, thing.id) in ids:
                        raise ValueError(f"{thing.id} is entered twice.")
                    ids[thing.KIND, thing.id] = its_id
                thing = replace(thing, id=its_id)
            named.append((on.year, thing))
        return [(year, _linked(thing, ids)) for year, thing in named]


def _linked(thing: Thing, ids: dict[tuple[Kind, str], str]) -> Thing:
    """The thing with ids in place of the keys by which it names others."""

    def of(kind: Kind, key: str | None) -> Any:
        return ids[kind, key] if key else None

    bird, ring, chip, person = Kind.BIRD, Kind.RING, Kind.CHIP, Kind.PERSON
    match thing:
        case Bird():
            return replace(
                thing,
                sire=of(bird, thing.sire),
                dam=of(bird, thing.dam),
                owner=of(person, thing.owner),
                vet=of(person, thing.vet),
            )
        case Ring():
            next_mark = thing.replaced_by
            is_chip = (chip, next_mark) in ids
            mark = of(chip if is_chip else ring, next_mark)
            series = of(Kind.SERIES, thing.series)
            return replace(
                thing, bird=of(bird, thing.bird), replaced_by=mark, series=series
            )
        case Chip():
            return replace(thing, bird=of(bird, thing.bird))
        case Pair():
            return replace(thing, cock=of(bird, thing.cock), hen=of(bird, thing.hen))
        case Clutch():
            eggs = [replace(egg, chick=of(bird, egg.chick)) for egg in thing.eggs]
            return replace(thing, pair=of(Kind.PAIR, thing.pair), eggs=tuple(eggs))
        case Event():
            marks = {"ring": of(ring, thing.ring), "chip": of(chip, thing.chip)}
            return replace(thing, bird=of(bird, thing.bird), **marks)
        case Placement():
            who = of(person, thing.person)
            return replace(thing, bird=of(bird, thing.bird), person=who)
        case FlockSettings():
            keeper, vet = of(person, thing.keeper), of(person, thing.vet)
            return replace(thing, keeper=keeper, vet=vet)
        case Task():
            because = of(Kind.EVENT, thing.because)
            return replace(thing, bird=of(bird, thing.bird), because=because)
        case Person() | RingSeries():
            return thing
        case _:
            raise ValueError(f"No links are known for {thing.KIND}.")
