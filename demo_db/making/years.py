"""What every bird's page holds year by year: fledging, sexing, weights, notes."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

from ledger.domain import EventKind, Sex
from ledger.reference import handbook_weight
from making.chance import Chance
from making.illness import ILLNESSES, fall_ill
from making.lives import END
from making.marks import LARGE_G, NEVER_CHIPPED, NO_RING
from making.people import STAFF, VET
from making.plan import NAMED
from making.seasons import fledging_days

if TYPE_CHECKING:
    from collections.abc import Iterator

    from making.lives import Book, Life
    from making.marks import Marks

OWN_MEANS_G = {"Galah": 335.0}
"""The keeper's own mean where the handbook's list has none."""
_LIABLE = {
    "GP": ("plucking", "calcium", "aspergillosis", "vitamin A"),
    "BF": ("vitamin A", "aspergillosis", "fatty liver", "bumblefoot"),
    "YC": ("gout", "vitamin A", "fatty liver", "bumblefoot"),
    "WF": ("vitamin A", "crop", "bumblefoot", "toe"),
    "EC": ("vitamin A", "egg binding", "plucking", "toe"),
    "GA": ("fatty liver", "lump", "plucking", "sore under ring"),
    "PC": ("plucking", "fatty liver", "lump"),
    "BH": ("aspergillosis", "crop", "vitamin A"),
    "RM": ("toe", "plucking", "bumblefoot"),
    "BP": ("wing", "bumblefoot", "crop"),
    "SE": ("sore under ring", "aspergillosis", "bumblefoot"),
    "SP": ("egg binding", "plucking", "crop"),
    "CT": ("night fright", "egg binding", "fatty liver"),
    "LB": ("egg binding", "plucking", "toe"),
    "PH": ("night fright", "crop", "cataract"),
    "BM": ("plucking", "fatty liver", "gout"),
}
_NOTES = (
    "Bathes in every rain.", "Moult heavy this year; extra egg food.",
    "Broke two tail feathers on the new perch.", "Beak a little long; more to gnaw.",
    "Chases the others from the feed hatch; second dish hung.",
    "Droppings green after fresh grass; normal again next day.",
    "Sits apart; nothing found. Watched for a week: well.",
    "Calls at the gulls all morning.", "Droppings sample: no worms.",
    "Wormed with the whole aviary.", "Swab for psittacosis: negative.",
    "Sparred through the mesh; a scratch over the nostril.",
    "Nails worn evenly since the branches were changed.",
)  # fmt: skip


def grow_up(book: Book, life: Life, marks: Marks) -> None:
    """Fledged, weaned, sexed, chipped."""
    if life.origin == "ours":
        days = fledging_days(life.line.species)
        fledged = life.born + dt.timedelta(days=days + life.chance.between(-2, 3))
        weaned = fledged + dt.timedelta(days=int(days * 0.45))
        if life.born.year >= 1996:
            book.event(
                life, fledged, EventKind.FLEDGED, by=STAFF[1],
                weight_g=_weight(life, fledged, 0.94),
            )  # fmt: skip
            book.event(life, weaned, EventKind.WEANED, by=STAFF[1])
    _tell_sex(book, life, marks)
    _chip(life, marks)


def _tell_sex(book: Book, life: Life, marks: Marks) -> None:
    chance = Chance(f"{life.key} sexing")
    if life.sex is Sex.UNKNOWN:
        return
    if life.line.sexed == "by colour":
        if life.origin == "ours":
            on = life.born + dt.timedelta(days=chance.between(120, 420))
            book.event(
                life, on, EventKind.SEXED, f"By its colours: {life.sex}.", by=STAFF[0]
            )
    elif life.here_from.year >= 2006:
        on = life.here_from + dt.timedelta(days=chance.between(80, 130))
        text = f"By feather DNA: {life.sex}."
        book.event(life, on, EventKind.SEXED, text, by="Laboratory (invented)")
    elif life.breeds_until and life.origin != "wild" and chance.happens(0.75):
        on = life.here_from + dt.timedelta(days=chance.between(40, 300))
        if life.origin == "ours":
            on = life.born + dt.timedelta(days=chance.between(420, 700))
        if on < dt.date(2006, 6, 1):
            marks.sex_by_surgery(life, on)


def _chip(life: Life, marks: Marks) -> None:
    chance = Chance(f"{life.key} chipping")
    heavy = mean_g(life) >= LARGE_G
    unmarked = life.key in NO_RING or life.key == "GP-Captain"
    if not (heavy and chance.happens(0.45)) and not unmarked:
        return
    on = chance.day(chance.between(2010, 2014), (2, 1), (11, 30))
    if life.here_from > on - dt.timedelta(days=200):
        on = life.here_from + dt.timedelta(days=chance.between(200, 420))
    if life.key not in NEVER_CHIPPED and life.is_here(on) and on <= END:
        marks.chip(life, on)


def fall_ill_by_chance(book: Book, life: Life) -> None:
    """Some birds have something in their life; most have it once."""
    chance = Chance(f"{life.key} illness")
    last = min(life.left or END, life.died or END, dt.date(2025, 8, 1))
    first = max(life.here_from, dt.date(1994, 1, 1)) + dt.timedelta(days=150)
    days = (last - first).days
    if life.key in NAMED or days < 250 or not chance.happens(0.42):
        return
    names = [
        name
        for name in _LIABLE[life.line.code]
        if not (name == "egg binding" and life.sex is not Sex.HEN)
        and not (name == "sore under ring" and life.key in NO_RING)
    ]
    name = chance.pick(names)
    if ILLNESSES[name].flag not in life.health_flags:
        on = first + dt.timedelta(days=chance.between(0, days - 200))
        fall_ill(book, life, name, on)


def pass_the_years(book: Book, life: Life) -> None:
    """Weights, ring checks and small notes for as long as it lives here."""
    chance = Chance(f"{life.key} years")
    for on in _weighing_days(life, chance):
        if life.is_here(on):
            book.event(
                life, on, EventKind.WEIGHED, by=STAFF[chance.between(1, 2)],
                weight_g=_weight(life, on),
            )  # fmt: skip
    for year in range(max(life.here_from.year + 1, 1995), END.year):
        on = chance.day(year, (2, 1), (11, 30))
        note = chance.pick(_NOTES)
        if chance.happens(0.2) and life.is_here(on):
            book.event(life, on, EventKind.NOTE, note, by=STAFF[chance.between(1, 2)])
        on = chance.day(year, (9, 1), (10, 31))
        if year >= 2018 and chance.happens(0.3) and life.is_here(on):
            text = "Ring turns and slides freely; skin whole."
            if life.key not in NO_RING and life.key != "GP-Captain":
                book.event(life, on, EventKind.RING_CHECKED, text, by=STAFF[0])
        if year >= 2015 and chance.happens(0.07) and life.is_here(on):
            text = "Yearly look at the surgery: nothing found."
            book.event(life, on, EventKind.EXAMINED, text, by=VET)


def _weighing_days(life: Life, chance: Chance) -> Iterator[dt.date]:
    """Every other autumn at first, every autumn from 2019, quarterly since 2024."""
    grown = life.here_from + dt.timedelta(days=150)
    for year in range(max(life.here_from.year, 1996), 2024):
        on = chance.day(year, (10, 1), (10, 31))
        if on > grown and (year >= 2019 or (year + life.born.year) % 2):
            yield on
    on = max(dt.date(2024, 1, 6), grown)
    if life.key in NAMED:
        on = max(life.born + dt.timedelta(days=120), dt.date(2022, 1, 8))
    while on <= END:
        yield on
        on += dt.timedelta(days=30 if life.key in NAMED else 91)


def mean_g(life: Life) -> float:
    """The usual weight of its species."""
    known = handbook_weight(life.line.species)
    return known.mean_g if known else OWN_MEANS_G[life.line.species]


def _weight(life: Life, on: dt.date, share: float = 1.0) -> float:
    """Its weight on a day: species, sex, itself, how it was, and the scales."""
    own = Chance(f"{life.key} build")
    usual = mean_g(life) * (1 + own.spread(0.035))
    usual *= {Sex.COCK: 1.02, Sex.HEN: 0.98}.get(life.sex, 1.0)
    for turned, turn in life.weight_turns:
        if turned <= on <= turned + dt.timedelta(days=260):
            share = turn
    day = Chance(f"{life.key} {on}")
    weight = usual * share * (1 + day.spread(0.009))
    return float(round(weight)) if weight >= 100 else round(weight * 2) / 2
