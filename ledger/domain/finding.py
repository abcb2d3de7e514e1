"""What a check wants a keeper to look at."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Severity(StrEnum):
    """How bad it is."""

    ERROR = "error"
    """It cannot be so; nothing that causes it is stored."""
    WARNING = "warning"
    """It is unlikely, or a gap that will hurt one day."""


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing that is wrong or odd."""

    severity: Severity
    subject_id: str
    """Id of the bird, ring, chip, event ... it is about."""
    message: str
    """What is wrong, as a sentence."""
    remedy: str
    """What to do about it, as a sentence."""
    field: str = ""
    """The field of the subject at fault, where it is one."""
    involved: tuple[str, ...] = ()
    """Ids of other things of the same kind that may be the ones at fault."""
    file: str = ""
    """Name of the file beside the ledger that it is about, where it is one."""
