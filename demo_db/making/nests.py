"""What is in the nests when the book ends: three winter clutches, indoors."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

from ledger.domain import (
    Bird,
    Clutch,
    Egg,
    EggFate,
    Event,
    EventKind,
    PartialDate,
)
from making.people import STAFF

if TYPE_CHECKING:
    from making.lives import Book

_CHICKS = {
    "CT-E26a": ("Tansel", 22, {22: 4.7, 25: 9.5, 28: 21.0, 31: 39.0}),
    "CT-E26b": ("Wicket", 26, {26: 4.5, 28: 8.0, 30: 14.5, 31: 13.8}),
}
"""Name, day of January on which it hatched, weights by day: the second one fell."""


def sit(book: Book) -> None:
    """Eggs under three pairs, and two chicks in the meadow colony."""
    hatched, fertile = EggFate.HATCHED, EggFate.FERTILE
    _clutch(
        book,
        "CT-E",
        Egg(1, _on(1), hatched, _on(22), "CT-E26a"),
        Egg(2, _on(4), hatched, _on(26), "CT-E26b"),
        Egg(3, _on(6), EggFate.CLEAR, candled=_on(14), ended=_on(14)),
        Egg(4, _on(12), fertile, candled=_on(20)),
    )
    _clutch(book, "GP-D", Egg(1, _on(22)), Egg(2, _on(25)))
    _clutch(book, "LB-F", Egg(1, _on(4), fertile, candled=_on(12)))
    pair = book.pair("CT-E")
    for key, (name, day, weights) in _CHICKS.items():
        chick = Bird(
            key, name, book.lives["CT-Squall"].line.species, hatched=_on(day),
            sire=pair.cock, dam=pair.hen, location=pair.location,
        )  # fmt: skip
        book.put(dt.date(2026, 1, day), chick)
        for weighed, grams in weights.items():
            event = Event(
                "", key, EventKind.WEIGHED, _on(weighed), weight_g=grams, by=STAFF[1]
            )
            book.put(dt.date(2026, 1, weighed), event)


def _clutch(book: Book, pair: str, *eggs: Egg) -> None:
    first = eggs[0].laid or PartialDate(2026)
    book.put(first.earliest, Clutch(f"{pair}26w", pair, 1, first, eggs))


def _on(day: int) -> PartialDate:
    return PartialDate(2026, 1, day)
