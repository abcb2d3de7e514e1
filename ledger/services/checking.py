"""A check of the whole ledger: the flock's rules, and the photos beside it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ledger.domain.finding import Finding, Severity
from ledger.domain.kind import Kind, kind_of
from ledger.domain.rules import check as check_flock
from ledger.services.photos import photo_file
from ledger.store import copies_in_conflict, kept_from_damage

if TYPE_CHECKING:
    from collections.abc import Iterator

    from ledger.services.ledger import Ledger

__all__ = ["Finding", "Severity", "bird_behind", "check"]


def check(ledger: Ledger) -> list[Finding]:
    """Everything that is wrong or odd, errors first; then what is amiss with files.

    What the keeper accepted as it is is not told again, unless it is an error.
    """
    accepted = set(ledger.flock.settings.accepted)
    findings = [
        finding
        for finding in (*check_flock(ledger.flock), *_check_files(ledger))
        if finding.severity is Severity.ERROR or finding.message not in accepted
    ]
    return sorted(findings, key=lambda found: found.severity is not Severity.ERROR)


def bird_behind(ledger: Ledger, finding: Finding) -> str | None:
    """Id of the bird that a finding is about, or whose ring, event ... it is about."""
    flock = ledger.flock
    kind = kind_of(finding.subject_id)
    thing = flock.get(kind, finding.subject_id) if kind else None
    bird_id = finding.subject_id if kind is Kind.BIRD else getattr(thing, "bird", None)
    return bird_id if bird_id in flock.birds else None


def _check_files(ledger: Ledger) -> Iterator[Finding]:
    for notice in ledger.notices:
        yield Finding(
            Severity.WARNING,
            "",
            notice,
            "Look whether what you did last is there, and make a backup.",
        )
    for path in copies_in_conflict(ledger.folder):
        yield Finding(
            Severity.ERROR,
            "",
            f"“{path.name}” lies beside the ledger: a second version of it, as "
            "programs leave that keep two folders alike. Nothing in it is shown here.",
            "Look into it on its own, in a folder of its own with --store; enter here "
            "what is missing, then take it away. Work on one machine at a time.",
            file=path.name,
        )
    for path in kept_from_damage(ledger.folder):
        yield Finding(
            Severity.WARNING,
            "",
            f"“{path.name}” was damaged and is kept beside the ledger.",
            "When you are sure that nothing is missing, take it away.",
            file=path.name,
        )
    for photo in ledger.flock.photos.values():
        if not photo_file(ledger, photo).is_file():
            yield Finding(
                Severity.WARNING,
                photo.id,
                f"The picture of photo {photo.id} (“{photo.file_name}”) is not beside "
                "the ledger.",
                f"Lay it back as “{photo_file(ledger, photo).name}” in the photos "
                "folder.",
            )
