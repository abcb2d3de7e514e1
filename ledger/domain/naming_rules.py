"""What tasks, removals, walk-throughs and enquiries name must be there."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ledger.domain.finding import Finding, Severity

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from ledger.domain.enquiry import Enquiry
    from ledger.domain.flock import Flock
    from ledger.domain.removal import Removal
    from ledger.domain.task import Task
    from ledger.domain.walk import Sighting, WalkThrough

_Named = tuple[str | None, "Mapping[str, object]", str]
"""An id or None, where it must be found, and what it is."""


def check_task(flock: Flock, task: Task) -> Iterator[Finding]:
    """A task is about a known bird and follows from a known event."""
    yield from _missing(
        task.id,
        f"Task {task.id}",
        [(task.bird, flock.birds, "bird"), (task.because, flock.events, "event")],
    )


def check_removal(flock: Flock, removal: Removal) -> Iterator[Finding]:
    """A removal is of a known ring from a known bird, with a known chip."""
    yield from _missing(
        removal.id,
        f"The removal {removal.id}",
        [
            (removal.bird, flock.birds, "bird"),
            (removal.ring, flock.rings, "ring"),
            (removal.chip, flock.chips, "chip"),
        ],
    )


def check_enquiry(flock: Flock, enquiry: Enquiry) -> Iterator[Finding]:
    """An enquiry is about a known bird where it is about one of ours."""
    yield from _missing(
        enquiry.id, f"Enquiry {enquiry.id}", [(enquiry.bird, flock.birds, "bird")]
    )


def check_sighting(flock: Flock, sighting: Sighting) -> Iterator[Finding]:
    """A sighting belongs to a known walk-through; its bird may have been dropped."""
    name = f"Sighting {sighting.id}"
    yield from _missing(
        sighting.id, name, [(sighting.walk, flock.walks, "walk-through")]
    )
    yield from _missing(
        sighting.id,
        name,
        [(sighting.bird, flock.birds, "bird"), (sighting.ring, flock.rings, "ring")],
        Severity.WARNING,
    )


def check_walk(flock: Flock, walk: WalkThrough) -> Iterator[Finding]:
    """A walk-through expects known birds, or such as were dropped since."""
    expected = [bird for stop in walk.stops for bird in stop.birds]
    yield from _missing(
        walk.id,
        f"Walk-through {walk.id}",
        [(bird, flock.birds, "bird") for bird in expected],
        Severity.WARNING,
    )


def _missing(
    subject: str,
    name: str,
    named: Iterable[_Named],
    severity: Severity = Severity.ERROR,
) -> Iterator[Finding]:
    for thing_id, known, what in named:
        if thing_id and thing_id not in known:
            yield Finding(
                severity,
                subject,
                f"{name} names {what} {thing_id}, and there is no such {what}.",
                f"Say which {what} it is, or leave it open.",
            )
