"""What the keeper has to do by a day."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from typing import TYPE_CHECKING, Any, ClassVar

from ledger.domain.kind import Kind

if TYPE_CHECKING:
    from collections.abc import Mapping

    from ledger.domain.partial_date import PartialDate


class TaskKind(StrEnum):
    """What is to be done."""

    SEE_VET = "see an avian vet"
    FOLLOW_UP = "follow up"
    WEIGH = "weigh"
    FIT_CHECK = "fit check"
    RING_CHECK = "ring check"
    OTHER = "other"


@dataclass(frozen=True, slots=True)
class Task:
    """Something that was set down to be done; what is due by rule is not kept."""

    KIND: ClassVar[Kind] = Kind.TASK

    id: str
    bird: str | None = None
    """Bird id."""
    kind: TaskKind = TaskKind.OTHER
    due: PartialDate | None = None
    text: str = ""
    because: str | None = None
    """Event id of what it follows from."""
    done: PartialDate | None = None
    outcome: str = ""
    set_on: PartialDate | None = None
    """When it was set down."""
    puts_off: str = ""
    """Key of what is due by rule and was put off until this is due; "" for a task of
    its own."""
    notes: str = ""
    extra: Mapping[str, Any] = field(default_factory=dict, hash=False)
