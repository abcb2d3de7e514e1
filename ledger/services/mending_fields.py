"""One field of a thing at a time: what else it could hold, and what a keeper types."""

from __future__ import annotations

from dataclasses import dataclass, fields, is_dataclass, replace
from itertools import islice
from typing import TYPE_CHECKING, Any, cast

from ledger.domain.event import Event, EventKind
from ledger.domain.kind import Kind
from ledger.domain.partial_date import PartialDate
from ledger.domain.ring import Ring
from ledger.errors import RuleError
from ledger.services.find import find_bird
from ledger.store.documents import FIELDS

if TYPE_CHECKING:
    from collections.abc import Iterator
    from enum import StrEnum

    from ledger.domain.change import Thing
    from ledger.domain.flock import Flock

Place = tuple[str | int, ...]
"""Where a value stands in a thing: a field, or a part of one ("eggs", 2, "hatched")."""

_NAMES = {
    "bird": Kind.BIRD,
    "sire": Kind.BIRD,
    "dam": Kind.BIRD,
    "cock": Kind.BIRD,
    "hen": Kind.BIRD,
    "chick": Kind.BIRD,
    "ring": Kind.RING,
    "chip": Kind.CHIP,
    "pair": Kind.PAIR,
    "person": Kind.PERSON,
    "owner": Kind.PERSON,
    "vet": Kind.PERSON,
    "keeper": Kind.PERSON,
    "because": Kind.EVENT,
    "walk": Kind.WALK,
    "series": Kind.SERIES,
    "replaced_by": Kind.RING,
}
"""Fields that name another thing by its id, and of which kind that is."""
_PARTS = {
    "eggs": "egg",
    "stops": "stop",
    "absences": "absence",
    "founder_kin": "founder kin",
    "own_sizes": "own size",
    "own_windows": "own window",
}
_LEFT_ALONE = {"name", "notes", "id", "extra"}
"""They are in the words of every finding, or in none."""
_IN_WORDS = {
    "on": "date",
    "hatched": "hatching date",
    "put_on": "date it was put on",
    "removed": "date it came off",
    "removed_reason": "reason it came off",
    "size_mm": "size in mm",
    "weight_g": "weight in grams",
    "implanted": "date it was implanted",
    "replaced_by": "ring or chip that took its place",
    "formed": "date it was formed",
    "parted": "date it was parted",
    "laid": "laying date",
    "returned": "date it came back",
    "sire_may_be": "birds that may be the sire",
    "dam_may_be": "birds that may be the dam",
    "because": "event it follows from",
    "walk": "walk-through",
    "highest_inbreeding": "limit of F of the young",
    "youngest_years": "age of a grown bird in years",
    "code": "chip code",
}
_PROBE_DAYS = ("1850", "2200")
_SOME = 40
"""Other things looked at, when one that a field could name is sought."""


@dataclass(frozen=True)
class Spot:
    """One value of one thing."""

    thing: Thing
    place: Place
    form: str | type[StrEnum]

    @property
    def value(self) -> Any:
        """What stands there."""
        at: Any = self.thing
        for step in self.place:
            at = at[step] if isinstance(step, int) else getattr(at, step)
        return at

    @property
    def empty(self) -> Any:
        """What it holds where nothing was entered; `MISSING` where that cannot be."""
        holder = Spot(self.thing, self.place[:-1], "").value
        return next(f.default for f in fields(holder) if f.name == self.field)

    @property
    def field(self) -> str:
        """Name of the innermost field."""
        return next(str(s) for s in reversed(self.place) if isinstance(s, str))

    @property
    def named(self) -> Kind | None:
        """The kind of thing it names, if it names one."""
        is_words = isinstance(self.thing, Ring | Event) and self.field == "by"
        if is_words or (self.thing.KIND is Kind.REMOVAL and self.field == "vet"):
            return None
        return _NAMES.get(self.field) if self.form == "text" else None

    @property
    def in_words(self) -> str:
        """What the value is, for a keeper."""
        word = _IN_WORDS.get(self.field, self.field.replace("_", " "))
        if len(self.place) > 2 and isinstance(self.place[1], int):
            part = _PARTS.get(str(self.place[0]), str(self.place[0]))
            return f"{word} of {part} {self.place[1] + 1}"
        return word

    def holding(self, value: Any) -> Thing:
        """The thing with another value there."""
        return cast("Thing", _put(self.thing, self.place, value))


def _put(at: Any, place: Place, value: Any) -> Any:
    if not place:
        return value
    step, rest = place[0], place[1:]
    if isinstance(step, int):
        return (*at[:step], _put(at[step], rest, value), *at[step + 1 :])
    return replace(at, **{step: _put(getattr(at, step), rest, value)})


def spots(thing: Thing) -> Iterator[Spot]:
    """Every value of a thing that a rule could be about."""
    for name, form in FIELDS[str(thing.KIND)].items():
        if name in _LEFT_ALONE:
            continue
        yield Spot(thing, (name,), form)
        if name in _PARTS:
            for at in range(len(getattr(thing, name))):
                for inner, inner_form in FIELDS[_PARTS[name]].items():
                    if inner not in _LEFT_ALONE:
                        yield Spot(thing, (name, at, inner), inner_form)


def known_values(spot: Spot) -> Iterator[tuple[str, Any]]:
    """Values it could hold that need no keeper to say them; how to call each."""
    value = spot.value
    if isinstance(spot.form, type):
        words = (EventKind.NOTE,) if spot.form is EventKind else tuple(spot.form)
        yield from ((f"set to {word}", word) for word in words if word != value)
    elif isinstance(value, tuple):
        if spot.field in {"eggs", "stops"}:
            return  # what is in them may be wrong, they are not
        for at, part in enumerate(value):
            yield f"leave {_called(part)} out", (*value[:at], *value[at + 1 :])
        if len(value) > 1:
            yield "leave all out", ()
    elif _may_be_open(spot):
        yield f"leave open (now {value})", spot.empty


def _called(part: Any) -> str:
    if is_dataclass(part):
        first = fields(part)[0].name
        return f"{first} {getattr(part, first)}"
    return str(part[0] if isinstance(part, tuple) else part)


def _may_be_open(spot: Spot) -> bool:
    """It holds something, and may hold nothing; what marks a bird never may."""
    if (spot.thing.KIND, spot.field) in {
        (Kind.RING, "inscription"),
        (Kind.CHIP, "code"),
    }:
        return False
    return spot.empty in (None, "") and spot.value not in (None, "", False)


def probes(flock: Flock, spot: Spot) -> Iterator[Any]:
    """Values of all sorts: if one of them helps, a keeper may know the right one."""
    if spot.form == "date":
        yield from map(PartialDate.parse, _PROBE_DAYS)
    elif spot.form == "number":
        yield from (0.05, 1.0, 12.0)
    elif spot.form == "count":
        yield from (0, 1, 28)
    elif spot.named:
        yield from islice(flock.all_of(spot.named), _SOME)
    elif isinstance(spot.form, type):
        yield from spot.form
    elif spot.form == "text":
        yield "\ue000 {serial}"


def parsed(flock: Flock, spot: Spot, said: str) -> Any:
    """What a keeper typed, as the value that belongs there.

    Raises:
        RuleError: it is nothing of the kind.
        NotFoundError: it should name a bird, and names none.
    """
    said = said.strip()
    if not said:
        raise RuleError("Nothing was given.", "Say what it shall be.")
    try:
        if spot.form == "date":
            return PartialDate.parse(said)
        if spot.form == "number":
            return float(said.replace(",", "."))
        if spot.form == "count":
            return int(said)
        if isinstance(spot.form, type):
            return spot.form(said)
    except ValueError as error:
        words = ", ".join(spot.form) if isinstance(spot.form, type) else ""
        raise RuleError(
            f"“{said}” cannot be the {spot.in_words} of anything.",
            f"It is one of: {words}." if words else str(error),
        ) from error
    if spot.named is Kind.BIRD:
        return find_bird(flock, said).id
    if spot.named and not any(
        flock.get(kind, said) for kind in (spot.named, Kind.CHIP)
    ):
        raise RuleError(
            f"There is no “{said}” among the {spot.named} of this ledger.",
            "Give its id.",
        )
    return said
