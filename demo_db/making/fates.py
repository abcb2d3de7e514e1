"""How long each bird lived, and where: placements, returns, losses, deaths."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

from ledger.domain import EventKind, PartialDate, Placement, Status
from ledger.reference import longevity
from making.chance import Chance
from making.lives import END
from making.people import OWNERS, STAFF, VET
from making.plan import NAMED

if TYPE_CHECKING:
    from making.lives import Book, Life

ALIVE_AND_HERE = {
    *NAMED, "GP-Barnaby", "GP-Captain", "BF-Teasel", "SE-A02a", "GA-C20b", "SE-B19a",
    "SE-C25a", "EC-Orlop", "BF-G23a", "GP-E23a", "RM-C24a", "EC-C22a", "BF-D04b",
    "BH-B22c", "WF-C25a", "GP-B02a", "CT-K14b",
}  # fmt: skip
LOST = {
    "CT-D19c": (dt.date(2021, 9, 14), "Slipped past at the feed hatch."),
    "SP-E19c": (dt.date(2022, 2, 18), "A storm tore the roof of Noon flight."),
    "LB-E20c": (dt.date(2023, 6, 3), "Gone at the evening count; mesh gnawed."),
    "BP-A09c": (dt.date(2012, 5, 20), "Flew over the strand and out of sight."),
}
_RETURNS = (
    "Came back: the owner moved to a flat.",
    "Came back: too loud for the neighbours.",
    "Came back: the owner fell ill.",
    "Came back: did not get on with the owner's other bird.",
)
_YOUNG = (
    "Found dead on the floor in the morning. Not examined.",
    "Flew against the mesh at night; neck broken.",
    "Crop infection; died on the way to the surgery.",
    "Killed by its aviary mates.",
)
_GROWN = (
    "Sudden death. Post-mortem: heart.",
    "Aspergillosis, found at the post-mortem.",
    "Kidneys failed.",
    "Infection of the liver; post-mortem gave no germ.",
    "Killed through the mesh by a hawk.",
    "Found dead. Not examined.",
    "Put to sleep by the vet: tumour in the belly.",
)
_OLD = (
    "Old age; asleep on its perch.",
    "Old age. Post-mortem: heart and hardened arteries.",
    "Put to sleep by the vet: blind, lame and thin at a great age.",
    "Kidneys failed at a great age.",
)
_OF_ILLNESS = {
    "Gout": "Kidney failure with gout.",
    "Fatty liver": "Fatty liver; bled inside after a fright.",
    "Egg binding": "Egg bound again; died in the night before help came.",
    "Aspergillosis suspected": "Aspergillosis: both air sacs full at the post-mortem.",
    "Seizures from lack of calcium": "Died in a seizure.",
}


def decide(book: Book, life: Life) -> None:
    """Decide how long a bird lives and whether it leaves."""
    chance = Chance(f"{life.key} fate")
    if life.key not in ALIVE_AND_HERE:
        _decide_death(life, chance)
    if life.key in LOST:
        life.status, life.died = Status.LOST, None
        on, text = LOST[life.key]
        book.event(life, on, EventKind.LOST, text, by=STAFF[1])
        life.left = on
        return
    if life.key not in ALIVE_AND_HERE:
        _decide_placement(book, life, chance)


def _decide_death(life: Life, chance: Chance) -> None:
    usual = life.line.years
    early = chance.happens(0.16)
    years = usual * (
        0.03 + 0.6 * chance.share() if early else 0.75 + 0.5 * chance.share()
    )
    known = longevity(life.line.species)
    if known:
        years = min(years, known.longest_years - 0.5)
    died = life.born + dt.timedelta(days=int(years * 365.25))
    at_least = life.here_from + dt.timedelta(days=90)
    if life.breeds_until:
        at_least = dt.date(life.breeds_until, 12, 1)
    if died < at_least:
        died = at_least + dt.timedelta(days=chance.between(20, 700))
    life.died = died if died <= END else None


def _decide_placement(book: Book, life: Life, chance: Chance) -> None:
    if life.origin != "ours":
        return
    if life.breeds_until:
        if life.breeds_until >= END.year or not chance.happens(0.12):
            return
        left = dt.date(life.breeds_until, 12, 1) + dt.timedelta(
            days=chance.between(1, 90)
        )
    else:
        if not chance.happens(0.5 if life.born.year >= 2019 else 0.68):
            return
        left = life.born + dt.timedelta(days=chance.between(150, 430))
    if left > END or (life.died and left >= life.died):
        return
    life.left, life.owner, life.status = left, chance.pick(OWNERS), Status.PLACED
    # The papers go with the bird: written with the placement.
    text = f"To {life.owner}, with its papers."
    book.event(life, left, EventKind.PLACED, text, by=STAFF[0])
    back = left + dt.timedelta(days=chance.between(400, 2200))
    returns = chance.happens(0.14) and back < (life.died or END)
    book.put(
        left,
        Placement(
            "", life.key, life.owner, PartialDate.of(left),
            PartialDate.of(back) if returns else None,
        ),
    )  # fmt: skip
    if returns:
        life.back, life.owner, life.status = back, None, Status.ALIVE
        text = chance.pick(_RETURNS)
        book.event(life, back, EventKind.RETURNED, text, by=STAFF[0], at=life.location)


def end(book: Book, life: Life) -> None:
    """Enter the death, with a cause that fits the life."""
    if life.died is None:
        return
    chance = Chance(f"{life.key} end")
    life.status = Status.DEAD
    age = (life.died - life.born).days / 365.25
    causes = [cause for flag, cause in _OF_ILLNESS.items() if flag in life.health_flags]
    if causes and chance.happens(0.6):
        text = causes[0]
    elif age < 1.5:
        text = chance.pick(_YOUNG)
    else:
        text = chance.pick(_OLD if age > 0.85 * life.line.years else _GROWN)
    away = life.left and not life.back
    by = life.owner if away and life.owner else (VET if "vet" in text else STAFF[1])
    if away:
        text += " Written by its owner."
    book.event(life, life.died, EventKind.DIED, text, by=by)
