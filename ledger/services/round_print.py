"""The day's round as a list to carry along: text or PDF."""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING

from ledger.care.due import Press
from ledger.care.ring_check import worn_rings
from ledger.errors import LedgerError
from ledger.reports.round_list import RoundLine, RoundPart, as_text, write_pdf

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from ledger.care.due import Due
    from ledger.domain.flock import Flock
    from ledger.services.today import DayList

BELOW = (
    "! presses today. Never take a ring off at home: a tight ring, a swollen leg or "
    "broken skin is for an avian vet today."
)


def print_round(
    flock: Flock, the_list: DayList, due: Sequence[Due], path: Path
) -> None:
    """Write the round: as text where the file ends with .txt, else as PDF.

    Args:
        flock: The flock.
        the_list: Of which day.
        due: What stands on it; it is put in order, aviary by aviary.
        path: The file; one that is there is written over.

    Raises:
        LedgerError: the file cannot be written.
    """
    title, parts = _title(the_list), _parts(flock, due)
    try:
        if path.suffix.lower() == ".txt":
            path.write_text(as_text(title, parts, BELOW) + "\n", encoding="utf-8")
        else:
            write_pdf(path, title, parts, BELOW)
    except OSError as error:
        raise LedgerError(
            f"The round could not be written to “{path}”: {error.strerror}.",
            "Choose a folder that can be written to.",
        ) from error


def round_text(flock: Flock, the_list: DayList, due: Sequence[Due]) -> str:
    """The round as text for a printer."""
    return as_text(_title(the_list), _parts(flock, due), BELOW)


def _title(the_list: DayList) -> str:
    return f"{the_list.flock_name}: round of {the_list.today}"


def _parts(flock: Flock, due: Sequence[Due]) -> list[RoundPart]:
    ordered = sorted(due, key=lambda one: (one.aviary or "￿", one.press, one.name))
    return [
        RoundPart(aviary or "No aviary", tuple(_line(flock, one) for one in group))
        for aviary, group in groupby(ordered, key=lambda one: one.aviary)
    ]


def _line(flock: Flock, one: Due) -> RoundLine:
    rings = worn_rings(flock.rings_of(one.bird)) if one.bird else []
    worn = ", ".join(ring.inscription for ring in rings if ring.inscription)
    who = f"{one.name}  {worn}".strip()
    return RoundLine(who, str(one.kind), one.why, one.press is Press.NOW)
