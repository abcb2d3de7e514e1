"""A check of the whole ledger: the flock's rules, and the photos beside it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ledger.domain.finding import Finding, Severity
from ledger.domain.rules import check as check_flock
from ledger.services.photos import photo_file

if TYPE_CHECKING:
    from ledger.services.ledger import Ledger

__all__ = ["Finding", "Severity", "check"]


def check(ledger: Ledger) -> list[Finding]:
    """Everything that is wrong or odd, errors first."""
    return check_flock(ledger.flock) + [
        Finding(
            Severity.WARNING,
            photo.id,
            f"The picture of photo {photo.id} (“{photo.file_name}”) is not beside the "
            "ledger.",
            f"Lay it back as “{photo_file(ledger, photo).name}” in the photos folder.",
        )
        for photo in ledger.flock.photos.values()
        if not photo_file(ledger, photo).is_file()
    ]
