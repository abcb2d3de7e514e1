"""A few signs typed at an aviary: which rings end in them.

Whoever stands before a bird types the end of its serial, two or three digits, and
not a part of the inscription anywhere. So short fragments are weighed by how well
the serial's end fits, longer ones by the matcher.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from ledger.domain.kind import Kind
from ledger.domain.ring import lookalike
from ledger.rings.pieces import inscribed
from ledger.rings.priors import weight_of
from ledger.rings.serial import serial_places

if TYPE_CHECKING:
    from collections.abc import Sequence

    from ledger.domain.flock import Flock
    from ledger.domain.ring import Ring
    from ledger.rings.evidence import Expectation

LONGEST = 4
"""Longer fragments are matched with the whole inscription."""

# How likely a keeper types a fragment before a ring that bears it thus. Common
# practice, no source: the end of the serial is what one looks at.
_ENDS_SERIAL = 1.0
_ENDS_RING = 0.2
_IN_RING = 0.02
_ONE_WRONG = 0.004
_STRANGER = 0.01
"""Chance that a bird in an aviary wears a ring that is not on record."""
_SIGNS = 10.0
"""How many signs a place of a serial may show."""


@dataclass(frozen=True)
class Tail:
    """A ring as one compares it with a few signs."""

    ring: Ring
    serial: str
    """Signs that look alike are one sign."""
    whole: str


@dataclass(frozen=True)
class Ending:
    """A ring that the fragment may stand for."""

    ring: Ring
    probability: float


def is_short(fragment: str) -> bool:
    """Whether a fragment is a few signs without marks for signs not read."""
    signs = lookalike(fragment)
    return 0 < len(signs) <= LONGEST and not set(fragment) & {"?", "*", "/"}


def rank_endings(
    flock: Flock, fragment: str, expected: Expectation
) -> tuple[tuple[Ending, ...], float]:
    """Rings by how likely a few signs stand for them, the likeliest first.

    Args:
        flock: Rings of birds are compared, those that came off too.
        fragment: Up to `LONGEST` letters and digits.
        expected: Which birds should be here.

    Returns:
        The rings with any chance, one for each bird; and the chance of a stranger.
    """
    signs = lookalike(fragment)
    stranger = _STRANGER * max(1, len(expected.here)) * _SIGNS ** -len(signs)
    best: dict[str, tuple[float, Ring]] = {}
    for tail in tails_of(flock):
        fit = _fit(tail, signs)
        bird = tail.ring.bird
        if not fit or bird is None:
            continue
        weight = (
            fit * expected.weight(bird) * weight_of(tail.ring, flock.birds.get(bird))
        )
        if weight > best.get(bird, (0.0, tail.ring))[0]:
            best[bird] = (weight, tail.ring)
    total = stranger + sum(weight for weight, _ in best.values())
    ranked = sorted(best.values(), key=lambda one: -one[0])
    return (
        tuple(Ending(ring, weight / total) for weight, ring in ranked),
        stranger / total,
    )


def _fit(tail: Tail, signs: str) -> float:
    if tail.serial.endswith(signs):
        return _ENDS_SERIAL
    if tail.whole.endswith(signs):
        return _ENDS_RING
    if signs in tail.whole:
        return _IN_RING
    end = tail.serial[-len(signs) :]
    wrong = sum(a != b for a, b in zip(end, signs, strict=False))
    return _ONE_WRONG if len(end) == len(signs) > 1 and wrong == 1 else 0.0


class _Last:
    """The rings of the flock asked for last; a sighting changes none of them."""

    def __init__(self) -> None:
        self._at_hand: tuple[Flock, tuple[Tail, ...]] | None = None

    def of(self, flock: Flock) -> Sequence[Tail]:
        at_hand = self._at_hand
        if at_hand is not None and at_hand[0].shares(flock, Kind.RING):
            return at_hand[1]
        tails = tuple(_tail(ring) for ring in flock.rings.values() if ring.bird)
        self._at_hand = (flock, tails)
        return tails


def _tail(ring: Ring) -> Tail:
    signs = inscribed(ring.inscription).signs
    places = sorted(serial_places(ring.inscription, _year(ring)))
    serial = "".join(signs[at] for at in places)
    return Tail(ring, lookalike(serial), lookalike(ring.inscription))


def _year(ring: Ring) -> int:
    """A ring is of no later year than that in which it was put on."""
    return ring.put_on.latest.year if ring.put_on else 2100


_last = _Last()


def tails_of(flock: Flock) -> Sequence[Tail]:
    """The rings of a flock as they are compared; asked again, they are at hand."""
    return _last.of(flock)


def ending_of(inscription: str) -> str:
    """The end of a serial that a keeper looks for: its last two signs.

    Example:
        >>> ending_of("IE TWK / 19 0174"), ending_of("24 IE 0084 TWK")
        ('74', '84')
    """
    signs = inscribed(inscription).signs
    places = sorted(serial_places(inscription, 2100))
    return "".join(signs[at] for at in places)[-2:] or signs[-2:]
