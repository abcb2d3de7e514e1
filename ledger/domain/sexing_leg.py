"""What the leg of a split ring tells of a bird's sex: weak evidence, and its source.

A surgically sexed bird wears its split ring on the right leg as a cock, on the left
as a hen (greenbayvets.co.uk; brookfallsveterinary.com; bondwithyourbird.com). Many
breeders ring any leg (common practice, no source): so a leg proves nothing, and only
a ring that was put on when the bird was sexed is held against the sex entered.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from ledger.domain.bird import Sex
from ledger.domain.event import EventKind
from ledger.domain.finding import Finding, Severity
from ledger.domain.ring import Leg, RingKind

if TYPE_CHECKING:
    from collections.abc import Iterator

    from ledger.domain.bird import Bird
    from ledger.domain.flock import Flock
    from ledger.domain.ring import Ring

SEX_OF_LEG = {Leg.RIGHT: Sex.COCK, Leg.LEFT: Sex.HEN}
SEXING_SOURCE = "right cock, left hen: greenbayvets.co.uk; brookfallsveterinary.com"
_SEXING_WORDS = ("sexed", "sexing", "endoscop")


def sex_by_leg(ring: Ring) -> Sex:
    """The sex that a split ring's leg stands for, if it marks a surgical sexing."""
    if ring.kind is not RingKind.SPLIT:
        return Sex.UNKNOWN
    return SEX_OF_LEG.get(ring.leg, Sex.UNKNOWN)


def marks_sexing(flock: Flock, ring: Ring) -> bool:
    """A split ring was put on when its bird was sexed: by day, by ring or in words."""
    if ring.kind is not RingKind.SPLIT or ring.bird is None:
        return False
    if _speaks_of_sexing(ring.notes):
        return True
    for event in flock.events_of(ring.bird):
        if event.kind is EventKind.SEXED:
            same_day = ring.put_on is not None and event.on == ring.put_on
            if event.ring == ring.id or same_day:
                return True
        elif event.ring == ring.id and _speaks_of_sexing(event.text):
            return True
    return False


def sexing_leg_said(flock: Flock, ring: Ring) -> str:
    """What a ring's leg tells of the sex of its bird, as a sentence; "" if nothing."""
    bird = flock.birds.get(ring.bird or "")
    told = sex_by_leg(ring)
    if bird is None or told is Sex.UNKNOWN:
        return ""
    sure = marks_sexing(flock, ring)
    if sure and bird.sex not in (told, Sex.UNKNOWN):
        return (
            f"! The {ring.leg} leg marks a surgically sexed {told}, but a {bird.sex} "
            f"is entered ({SEXING_SOURCE})."
        )
    if sure:
        return f"The {ring.leg} leg marks a surgically sexed {told} ({SEXING_SOURCE})."
    if bird.sex is Sex.UNKNOWN:
        return (
            f"If it marks a surgical sexing, the {ring.leg} leg means a {told} "
            f"({SEXING_SOURCE}); weak evidence, for many breeders ring any leg."
        )
    return ""


def check_sexing_leg(flock: Flock, bird: Bird) -> Iterator[Finding]:
    """The leg of a sexing ring and the sex entered say the same."""
    for ring in flock.rings_of(bird.id):
        told = sex_by_leg(ring)
        if Sex.UNKNOWN in (told, bird.sex) or told is bird.sex:
            continue
        if marks_sexing(flock, ring):
            yield Finding(
                Severity.WARNING,
                bird.id,
                f"{bird.title} is entered as a {bird.sex}, but its split ring "
                f"“{ring.inscription}”, put on when it was sexed, is on the {ring.leg} "
                f"leg, which marks a {told}.",
                "Look which is wrong: the leg, the ring or the sex. A leg is weak "
                f"evidence ({SEXING_SOURCE}); an avian vet or a DNA test decides.",
                "sex",
            )


def _speaks_of_sexing(text: str) -> bool:
    return any(word in text.casefold() for word in _SEXING_WORDS)
