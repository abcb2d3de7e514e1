"""What must hold for events, placements and photos: they fall within a life."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ledger.domain.bird import Status
from ledger.domain.event import EventKind
from ledger.domain.finding import Finding, Severity

if TYPE_CHECKING:
    from collections.abc import Iterator

    from ledger.domain.bird import Bird
    from ledger.domain.event import Event
    from ledger.domain.flock import Flock
    from ledger.domain.partial_date import PartialDate
    from ledger.domain.people import FlockSettings, Photo, Placement

AFTER_DEATH = {EventKind.NOTE, EventKind.EXAMINED, EventKind.RING_REMOVED}
"""What can still be written of a dead bird: a note, a post-mortem, its ring kept."""


def check_life(flock: Flock, bird: Bird) -> Iterator[Finding]:
    """A bird dies once, and its status says so; its people are known."""
    deaths = [e for e in flock.events_of(bird.id) if e.kind is EventKind.DIED]
    if len(deaths) > 1:
        dates = " and ".join(str(event.on) for event in reversed(deaths))
        yield Finding(
            Severity.ERROR,
            bird.id,
            f"{bird.title} died more than once: {dates}.",
            "Take out the death that is not so.",
        )
    if deaths and bird.status is not Status.DEAD:
        yield Finding(
            Severity.ERROR,
            bird.id,
            f"{bird.title} died {deaths[0].on} and is still said to be {bird.status}.",
            "Set its status to dead, or take the death out.",
        )
    for person_id, role in ((bird.owner, "owner"), (bird.vet, "vet")):
        yield from _check_person(flock, bird.id, person_id, f"{role} of {bird.title}")


def check_event(flock: Flock, event: Event) -> Iterator[Finding]:
    """An event is of a known bird and falls within its life."""
    bird = flock.birds.get(event.bird)
    if bird is None:
        yield Finding(
            Severity.ERROR,
            event.id,
            f"Event {event.id} ({event.kind}) is of {event.bird}, and there is no such "
            "bird.",
            "Say which bird it was.",
        )
        return
    what = f"{bird.title}: “{event.kind}” on {event.on}"
    if bird.hatched and event.on.is_before(bird.hatched):
        yield Finding(
            Severity.ERROR,
            event.id,
            f"{what} lies before it hatched {bird.hatched}.",
            "Correct one of the dates.",
        )
    died = _death(flock, bird)
    if died and event.on.is_after(died) and event.kind not in AFTER_DEATH:
        yield Finding(
            Severity.ERROR,
            event.id,
            f"{what} lies after it died {died}.",
            "Correct one of the dates, or write it as a note.",
        )
    if event.weight_g is not None and event.weight_g <= 0:
        yield Finding(
            Severity.ERROR,
            event.id,
            f"{what} gives a weight of {event.weight_g:g} g.",
            "Enter the weight in grams.",
        )
    if event.ring and event.ring not in flock.rings:
        yield Finding(
            Severity.ERROR,
            event.id,
            f"{what} names ring {event.ring}, and there is no such ring.",
            "Enter the ring, or leave it open.",
        )
    if event.chip and event.chip not in flock.chips:
        yield Finding(
            Severity.ERROR,
            event.id,
            f"{what} names chip {event.chip}, and there is no such chip.",
            "Enter the chip, or leave it open.",
        )
    for photo in event.photos:
        if photo not in flock.photos:
            yield Finding(
                Severity.ERROR,
                event.id,
                f"{what} names photo {photo}, and there is no such photo.",
                "Add the photo again, or leave it out.",
            )


def _death(flock: Flock, bird: Bird) -> PartialDate | None:
    if bird.status is not Status.DEAD:
        return None  # said of the bird itself, by `check_life`
    for event in flock.events_of(bird.id):
        if event.kind is EventKind.DIED:
            return event.on
    return None


def check_placement(flock: Flock, placement: Placement) -> Iterator[Finding]:
    """A placement is of a known bird with a known person, out before back."""
    bird = flock.birds.get(placement.bird)
    if bird is None:
        yield Finding(
            Severity.ERROR,
            placement.id,
            f"Placement {placement.id} is of {placement.bird}, and there is no such "
            "bird.",
            "Say which bird it was.",
        )
        return
    yield from _check_person(
        flock, placement.id, placement.person, f"new keeper of {bird.title}"
    )
    out, back = placement.on, placement.returned
    if out and back and back.is_before(out):
        yield Finding(
            Severity.ERROR,
            placement.id,
            f"{bird.title} came back {back}, before it left {out}.",
            "Correct one of the dates.",
        )
    if out and bird.hatched and out.is_before(bird.hatched):
        yield Finding(
            Severity.ERROR,
            placement.id,
            f"{bird.title} left {out}, before it hatched {bird.hatched}.",
            "Correct one of the dates.",
        )


def check_photo(flock: Flock, photo: Photo) -> Iterator[Finding]:
    """A photo shows a known bird and a known ring, where it names any."""
    for thing_id, known, what in (
        (photo.bird, flock.birds, "bird"),
        (photo.ring, flock.rings, "ring"),
    ):
        if thing_id and thing_id not in known:
            yield Finding(
                Severity.ERROR,
                photo.id,
                f"Photo {photo.id} shows {what} {thing_id}, and there is no such "
                f"{what}.",
                f"Say which {what} it shows, or leave it open.",
            )


def check_settings(flock: Flock, settings: FlockSettings) -> Iterator[Finding]:
    """The keeper and the vet of the flock are known people."""
    for person_id, role in ((settings.keeper, "keeper"), (settings.vet, "vet")):
        yield from _check_person(flock, settings.id, person_id, f"{role} of the flock")


def _check_person(
    flock: Flock, subject_id: str, person_id: str | None, role: str
) -> Iterator[Finding]:
    if person_id and person_id not in flock.people:
        yield Finding(
            Severity.ERROR,
            subject_id,
            f"The {role} is {person_id}, and there is no such person.",
            "Enter the person, or leave it open.",
        )
