"""One thing that is due: what, how it presses, since when and why."""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum, StrEnum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import datetime as dt

AHEAD_DAYS = 7
"""How far ahead what comes is told."""


class DueKind(StrEnum):
    """What is to be done."""

    VET = "see an avian vet"
    RING = "ring a chick"
    FIT = "fit check"
    TAKE_OFF = "trial ring to come off"
    RING_CHECK = "ring check"
    WEIGH = "weigh"
    CANDLE = "candle"
    HATCH = "hatching"
    FLEDGE = "fledging"
    FOLLOW_UP = "follow up"
    OTHER = "to do"


class Press(IntEnum):
    """How it presses; the smaller, the more."""

    NOW = 0
    """Harm is near, or it is the last day."""
    DUE = 1
    COMING = 2
    """Within the next days."""
    ROUTINE = 3
    """Due by the calendar only: no risk is known."""


PRESS_WORDS = {
    Press.NOW: "now",
    Press.DUE: "due",
    Press.COMING: "coming",
    Press.ROUTINE: "routine",
}


@dataclass(frozen=True, slots=True)
class Due:
    """One thing to be done."""

    key: str
    """The same on every day, as long as it is the same thing."""
    kind: DueKind
    press: Press
    on: dt.date
    """Since when, or from when, it is due."""
    why: str
    """As a phrase or sentence."""
    source: str
    """Where the day is from; "" for what the keeper set."""
    aviary: str
    bird: str | None = None
    """Bird id."""
    name: str = ""
    """The bird's; for a clutch its parents'."""
    task: str | None = None
    """Task id, where it was set down."""
    clutch: str | None = None
    egg: int | None = None

    @property
    def may_wait(self) -> bool:
        """It may be put off; a leg or weight that is for a vet now may not."""
        return not (self.kind is DueKind.VET and self.press is Press.NOW)


def by_urgency(due: Due) -> tuple[int, dt.date, str, str]:
    """Sort key: the most pressing first."""
    return due.press, due.on, due.aviary, due.name


def by_aviary(due: Due) -> tuple[str, int, dt.date, str]:
    """Sort key: aviary by aviary; what is nowhere comes last."""
    return due.aviary or "￿", due.press, due.on, due.name
