"""The last round in the book: all rings looked under, and what is still to be done."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

from ledger.domain import EventKind, PartialDate, RingKind, Task, TaskKind
from making.lives import END
from making.marks import NO_RING
from making.people import STAFF

if TYPE_CHECKING:
    from making.lives import Book, Life

_ROUND = dt.date(2026, 1, 12)
_WELL = "leg under the ring: all well"
_NOT_CAUGHT = {"GP-Barnaby", "GP-B02a", "SE-B19a", "SE-C25a", "YC-D19a", "WF-C25b"}
"""Could not be caught up in the round: still to be looked at."""
_RED = "RM-C24b"
"""Tack, whose leg was sore in autumn; red again."""
_NEXT = dt.date(2026, 2, 1)


def look_under_all(book: Book, lives: list[Life]) -> None:
    """One look under the rings of all that live here, an aviary a day."""
    for number, life in enumerate(lives):
        if life.key in NO_RING | _NOT_CAUGHT | {_RED} or not book.rings_on(life):
            continue
        on = _ROUND + dt.timedelta(days=number % 15)
        if life.is_here(on) and life.is_here(END):
            book.event(life, on, EventKind.RING_CHECKED, by=STAFF[2], finding=_WELL)


def leave_to_do(book: Book) -> None:
    """What is still to be done when the book ends."""
    tack = book.lives[_RED]
    (ring,) = book.rings_on(tack, RingKind.CLOSED)
    on = dt.date(2026, 1, 30)
    book.event(
        tack, on, EventKind.RING_CHECKED, "Red below the ring again; ring turns.",
        by=STAFF[2], ring=ring.id, finding="leg under the ring: red skin",
        id="tack's leg",
    )  # fmt: skip
    _task(
        book, tack, TaskKind.SEE_VET, on, _NEXT,
        "red skin under the ring: have an avian vet look at it; leave the ring alone",
        because="tack's leg",
    )  # fmt: skip
    _task(
        book, book.lives["SE-C25a"], TaskKind.FIT_CHECK, dt.date(2025, 6, 29), _NEXT,
        "legs grown by then",
    )  # fmt: skip
    _task(
        book, book.lives["BF-G23b"], TaskKind.FOLLOW_UP, dt.date(2026, 1, 22), _NEXT,
        "look at Pip again: sneezed twice at the round",
    )  # fmt: skip
    _task(
        book, book.lives["BH-B22b"], TaskKind.WEIGH, dt.date(2026, 1, 25),
        dt.date(2026, 2, 3), "weekly while it inhales",
    )  # fmt: skip
    _task(
        book, None, TaskKind.OTHER, dt.date(2026, 1, 26), _NEXT,
        "order the rings of 2026",
    )  # fmt: skip


def _task(
    book: Book, life: Life | None, kind: TaskKind, set_on: dt.date, due: dt.date,
    text: str, because: str | None = None,
) -> None:  # fmt: skip
    task = Task(
        "", life.key if life else None, kind, PartialDate.of(due), text,
        because=because, set_on=PartialDate.of(set_on),
    )  # fmt: skip
    book.put(END, task)
