"""Rings and chips: the TWK series, older series, split rings, imports."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from typing import TYPE_CHECKING, Any

from ledger.domain import (
    Chip,
    EventKind,
    Leg,
    PartialDate,
    Ring,
    RingKind,
    RingState,
    Sex,
)
from making.batches import BATCHES, PLACES, batch_of
from making.chance import Chance
from making.people import STAFF, VET
from making.stock import OURS, series_key

if TYPE_CHECKING:
    from making.batches import Batch
    from making.lives import Book, Life

CIRCLE = "Seven Strands Parrot Circle (invented)"
OLD_CIRCLE = "Wrackport Bird Circle (invented)"
BREEDERS = (
    ("WZK", "WZK {yy} {n}", "silver"),
    ("JOF", "JOF / {yy} / {n}", "blue"),
    ("VEK", "{yy} VEK {n}", "green"),
    ("UYX", "UYX {n} {yy}", "red"),
)
"""Invented breeders from whom birds were bought."""
NO_RING = {"SP-A99c", "GP-A99b", "SE-A02a", "CT-K14a", "CT-K14b", "LB-C13a"}
"""Chicks that were never ringed."""
NEVER_CHIPPED = {"SE-A02a", "CT-K14b", "SP-A99c", "GA-C20b"}
"""Not by routine: the last one gets its chip when its ring is cut."""
CHIP_SITES = ("left breast muscle", "left breast muscle", "skin between the shoulders")
LARGE_G = 200.0
"""Only birds of this weight and more are chipped (BArtSchV section 13(1))."""


class Marks:
    """Puts rings on birds and chips into them, and counts what was given out."""

    def __init__(self, book: Book) -> None:
        self._book = book
        self._numbers: Counter[str] = Counter()

    def ring_chick(self, life: Life) -> None:
        """A chick gets its closed ring in the nest, if it got one."""
        on = life.born + dt.timedelta(days=life.line.ring_day)
        if life.key in NO_RING:
            return
        if life.born.year >= 2019:
            self._from_batch(life, on)
        else:
            self._from_circle(life, on)

    def ring_founder(self, life: Life) -> None:
        """What a bird wore when it came."""
        chance = Chance(f"{life.key} ring")
        came = life.here_from
        if life.origin == "wild":
            number = self._next("K", chance, 40)
            self.put_on(
                life, f"K {4400 + number}", came, kind=RingKind.QUARANTINE,
                colour="silver", issuer="Quarantine station (invented)",
                leg=Leg.RIGHT, text="Quarantine ring, put on at import.",
            )  # fmt: skip
            return
        code, layout, colour = chance.pick(BREEDERS)
        number = 100 + self._next(code, chance, 60)
        inscription = layout.format(yy=f"{life.born.year % 100:02d}", n=number)
        first_known = PartialDate(life.born.year) if life.hatched else None
        self.put_on(
            life, inscription, came, colour=colour, issuer=f"{code} (invented breeder)",
            leg=chance.pick((Leg.LEFT, Leg.RIGHT)), size_mm=life.line.size_mm,
            put_on=first_known, text="Came with this ring.",
        )  # fmt: skip

    def sex_by_surgery(self, life: Life, on: dt.date) -> None:
        """Sexed by a vet, who puts a split ring on the leg that tells the sex."""
        # Right leg cock, left leg hen: the usual sign of a surgically sexed bird
        # (greenbayvets.co.uk, brookfallsveterinary.com).
        leg = Leg.RIGHT if life.sex is Sex.COCK else Leg.LEFT
        number = self._next("SQ", Chance(f"{life.key} sexed"), 3)
        text = f"Sexed by endoscope: {life.sex}. Split ring on the {leg} leg."
        self._book.event(life, on, EventKind.SEXED, text, by=VET)
        self.put_on(
            life, f"SQ {60 + number:03d}", on, kind=RingKind.SPLIT, colour="silver",
            issuer="Saltmarsh Bird Surgery (invented)", leg=leg, by=VET,
            text="Split ring: surgically sexed.",
        )  # fmt: skip

    def chip(self, life: Life, on: dt.date, text: str = "") -> str:
        """Chip a bird; gives the chip's code."""
        chance = Chance(f"{life.key} chip")
        # 999 is kept for test transponders (ISO 11784): no real bird carries it.
        drawn = int("".join(str(chance.between(0, 9)) for _ in range(12)))
        code = f"999{drawn % 2**38:012}"  # the standard leaves 38 bits for the number
        site = chance.pick(CHIP_SITES)
        chip = Chip(code, code, life.key, PartialDate.of(on), site)
        self._book.put(on, chip)
        words = text or f"Chipped in the {site}; read again at once."
        self._book.event(life, on, EventKind.CHIPPED, words, by=VET, chip=code)
        return code

    def put_on(
        self, life: Life, inscription: str, on: dt.date, *,
        text: str = "", by: str = STAFF[0], **fields: Any,
    ) -> None:  # fmt: skip
        """A ring goes on a bird."""
        fields = {
            "kind": RingKind.CLOSED,
            "state": RingState.ON_BIRD,
            "put_on": PartialDate.of(on),
            **fields,
        }
        ring = Ring(inscription, inscription, bird=life.key, **fields)
        self._book.put(on, ring)
        words = text or f"Closed ring on the {ring.leg} leg."
        self._book.event(
            life, on, EventKind.RING_PUT_ON, words, by=by, ring=inscription
        )

    def unused(self) -> None:
        """Rings of our series that no bird wears."""
        for batch in BATCHES:
            for number, (state, why) in batch.unused.items():
                inscription = batch.inscription(number)
                ring = Ring(
                    inscription, inscription, RingKind.CLOSED, batch.colour,
                    batch.size_mm, state=state, issuer=OURS, notes=why,
                    series=series_key(batch),
                )  # fmt: skip
                self._book.put(dt.date(batch.year, 2, 15), ring)

    def _from_batch(self, life: Life, on: dt.date) -> None:
        batch = batch_of(life.line.code, life.born.year)
        siblings = sorted(
            key
            for key in self._book.lives
            if key[:-1] == life.key[:-1] and key not in NO_RING
        )
        numbers = batch.for_chicks
        if (batch.code, numbers[0]) in PLACES:
            # Two rings on trial on the first chick, one on each later one.
            if life.key == siblings[0]:
                self._on_trial(life, on, batch, numbers[:2])
                return
            numbers = numbers[1:]
        number = numbers[siblings.index(life.key)]
        leg = Leg.LEFT if life.sex is Sex.HEN else Leg.RIGHT
        self.put_on(
            life, batch.inscription(number), on, colour=batch.colour,
            size_mm=batch.size_mm, leg=leg, issuer=OURS, notes=_said_of(batch, life),
            series=series_key(batch),
        )  # fmt: skip

    def _on_trial(
        self, life: Life, on: dt.date, batch: Batch, numbers: list[int]
    ) -> None:
        for number, leg in zip(numbers, (Leg.LEFT, Leg.RIGHT), strict=True):
            size_mm = PLACES[batch.code, number]
            self.put_on(
                life, batch.inscription(number), on, colour=batch.colour,
                size_mm=size_mm, leg=leg, issuer=OURS, trial=True,
                series=series_key(batch),
                notes=f"On trial beside its neighbour size: {size_mm:g} mm.",
                text=f"Trial ring of {size_mm:g} mm on the {leg} leg.",
            )  # fmt: skip

    def _from_circle(self, life: Life, on: dt.date) -> None:
        chance = Chance(f"{life.key} ring")
        year = life.born.year
        leg = chance.pick((Leg.LEFT, Leg.RIGHT))
        if year < 1999:
            number = 10 + self._next(f"XJB {year}", chance, 4)
            words, issuer, colour = (
                f"XJB {year % 100:02d} {number}",
                OLD_CIRCLE,
                "silver",
            )
        else:
            number = 100 + self._next(f"QVX {year}", chance, 9)
            two_lines = year in (2004, 2005, 2011, 2012)
            layout = "QVX / {y} / {n}" if two_lines else "QVX {yy} {n}"
            words = layout.format(y=year, yy=f"{year % 100:02d}", n=number)
            issuer = CIRCLE
            colour = ("black", "blue", "red", "gold", "green", "violet")[year % 6]
        self.put_on(
            life, words, on, colour=colour, size_mm=life.line.size_mm, leg=leg,
            issuer=issuer, put_on=_as_vague_as(life, on), notes=_own_size(life),
        )  # fmt: skip

    def _next(self, series: str, chance: Chance, most: int) -> int:
        """The next number of a series; other breeders took some in between."""
        self._numbers[series] += chance.between(1, most)
        return self._numbers[series]


def _as_vague_as(life: Life, on: dt.date) -> PartialDate:
    """The old book says when a chick was ringed no better than when it hatched."""
    if life.hatched and life.hatched.is_whole:
        return PartialDate.of(on)
    return PartialDate(on.year)


def _said_of(batch: Batch, life: Life) -> str:
    own = _own_size(life)
    return f"{batch.metal.capitalize()}." + (f" {own}" if own else "")


def _own_size(life: Life) -> str:
    """Where no published size exists, say whose choice it was."""
    if life.line.code in ("CT", "LB"):
        return "No published size for this species: the keeper's own choice."
    return ""
