"""Acts of the keeper: what was done, when, by whom, and what stood there before."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import datetime as dt

    from ledger.domain.change import Thing
    from ledger.domain.kind import Kind


class Did(StrEnum):
    """What an act did to a thing."""

    ADD = "add"
    CHANGE = "change"
    DROP = "drop"


@dataclass(frozen=True, slots=True)
class Touch:
    """One thing that an act touched."""

    kind: Kind
    id: str
    did: Did
    before: Thing | None
    """As it was; None where it was not there."""


@dataclass(frozen=True, slots=True)
class Act:
    """One act of the keeper: stored whole, or not at all."""

    number: int
    """Counted from 1 through the life of the ledger."""
    time: dt.datetime
    author: str
    what: str
    """In words."""
    touched: tuple[Touch, ...]
    undoes: int | None = None
    """Number of the act that this one took back."""
