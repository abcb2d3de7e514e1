"""What can be looked at on a ring or bird, and what it would say of each bird left."""

from __future__ import annotations

import math
from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ledger.domain.ring import Leg
from ledger.rings.fields import Field
from ledger.rings.pieces import inscribed
from ledger.rings.priors import colour_name
from ledger.rings.serial import fields_of

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from ledger.domain.flock import Flock
    from ledger.rings.candidate import Left
    from ledger.rings.evidence import Evidence


@dataclass(frozen=True)
class Feature:
    """One thing to look at."""

    what: str
    """In words, after "read" or "look at"."""
    values: tuple[str, ...]
    """What each bird left would show, in their order; "" where it is not known."""
    field: Field | None = None
    """The field of the inscription it is a part of."""
    at: int | None = None
    """Which character of the field; None for all of it."""
    ease: float = 1.0
    """How easily it is seen, 0..1: common practice, no source."""
    ask: str = "read"

    def gain(self, left: Sequence[Left]) -> float:
        """Bits that looking is expected to give."""
        chances: dict[str, float] = defaultdict(float)
        total = sum(one.probability for one in left) or 1.0
        for one, value in zip(left, self.values, strict=True):
            # One who shows nothing known could show anything: it gains little.
            chances[value or "not known"] += one.probability / total
        known = 1.0 - chances.pop("not known", 0.0)
        spread = -sum(p * math.log2(p) for p in chances.values() if p > 0)
        return spread * known * self.ease


def features(
    left: Sequence[Left], evidence: Evidence, flock: Flock, year_now: int
) -> list[Feature]:
    """All that may be looked at next."""
    found = list(_of_inscription(left, year_now))
    if not evidence.colour:
        found.append(_colour(left))
    if not evidence.leg:
        found.append(_leg(left))
    found.append(_chip(left, flock))
    return found


_FIELD_WORDS = {
    Field.SERIAL: "serial",
    Field.RING_YEAR: "ring year",
    Field.FLOCK_CODE: "breeder's letters",
    Field.COUNTRY: "country",
    Field.SIZE: "size",
}
_PLACES = ("first", "second", "third", "fourth", "fifth", "sixth")


def _of_inscription(left: Sequence[Left], year_now: int) -> Iterator[Feature]:
    by_field = [field_texts(one.ring.inscription, year_now) for one in left]
    for field, words in _FIELD_WORDS.items():
        values = tuple(texts.get(field, "") for texts in by_field)
        yield Feature(f"the {words}", values, field, ease=0.93)
        if field in (Field.SERIAL, Field.FLOCK_CODE, Field.RING_YEAR):
            yield from _characters(field, words, values)


def _characters(field: Field, words: str, values: tuple[str, ...]) -> Iterator[Feature]:
    """Single characters of a field that is of one length in all birds left."""
    lengths = {len(value) for value in values}
    if len(lengths) != 1:
        return
    length = lengths.pop()
    unit = "letter" if field is Field.FLOCK_CODE else "digit"
    for at in range(length if length <= len(_PLACES) else 0):
        place = "last" if at == length - 1 and length > 1 else _PLACES[at]
        of = "" if field is Field.SERIAL and place == "last" else f" of the {words}"
        what = f"the {place} {unit}{of}"
        yield Feature(what, tuple(value[at] for value in values), field, at)


def field_texts(inscription: str, year_now: int) -> dict[Field, str]:
    """The characters of every field of a recorded inscription."""
    signs = inscribed(inscription).signs
    return {
        field: "".join(signs[at] for at in places)
        for field, places in fields_of(inscription, year_now)
    }


def _colour(left: Sequence[Left]) -> Feature:
    values = tuple(colour_name(one.ring.colour) for one in left)
    return Feature("the ring's colour", values, ease=0.75, ask="look at")


def _leg(left: Sequence[Left]) -> Feature:
    def of(one: Left) -> str:
        return "" if one.ring.leg is Leg.UNKNOWN else str(one.ring.leg)

    return Feature("the leg it is on", _each(left, of), ease=0.7, ask="look at")


def _chip(left: Sequence[Left], flock: Flock) -> Feature:
    def of(one: Left) -> str:
        chips = flock.chips_of(one.bird.id) if one.bird else ()
        return chips[-1].code if chips else ""

    return Feature("the chip", _each(left, of), ease=0.5, ask="scan")


def _each(left: Sequence[Left], of: Callable[[Left], str]) -> tuple[str, ...]:
    return tuple(of(one) for one in left)
