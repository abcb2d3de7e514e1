"""What must hold for rings and chips."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ledger.domain.age_rules import check_age_at_ringing
from ledger.domain.bird import Status
from ledger.domain.chip_code import PrefixKind, chip_code
from ledger.domain.finding import Finding, Severity
from ledger.domain.ring import Leg, RingKind, RingState, compact
from ledger.errors import RuleError

if TYPE_CHECKING:
    from collections.abc import Iterator

    from ledger.domain.bird import Bird
    from ledger.domain.flock import Flock
    from ledger.domain.ring import Chip, Ring


def check_ring(flock: Flock, ring: Ring) -> Iterator[Finding]:
    """A ring is of one bird, unique for its issuer, and its story holds."""
    yield from _check_wearer(flock, ring)
    yield from _check_twins(flock, ring)
    yield from _check_story(ring)
    yield from check_age_at_ringing(flock, ring, called_ring(ring))


def _check_wearer(flock: Flock, ring: Ring) -> Iterator[Finding]:
    called = called_ring(ring)
    if ring.bird and ring.bird not in flock.birds:
        yield Finding(
            Severity.ERROR,
            ring.id,
            f"{called} is on {ring.bird}, and there is no such bird.",
            "Say which bird wears it, or put it back in stock.",
        )
    if ring.state is RingState.ON_BIRD and not ring.bird:
        yield Finding(
            Severity.ERROR,
            ring.id,
            f"{called} is said to be on a bird, but not on which.",
            "Say which bird wears it, or put it back in stock.",
        )
    if ring.state is RingState.IN_STOCK and ring.bird:
        yield Finding(
            Severity.ERROR,
            ring.id,
            f"{called} is said to be in stock and on {_name(flock, ring.bird)} at "
            "once.",
            "Say which of the two is true.",
        )
    if ring.replaced_by and flock.mark(ring.replaced_by) is None:
        yield Finding(
            Severity.ERROR,
            ring.id,
            f"{called} was replaced by {ring.replaced_by}, and there is no such ring "
            "or chip.",
            "Enter what the bird carries now.",
        )


def _check_twins(flock: Flock, ring: Ring) -> Iterator[Finding]:
    """Rings with the same inscription, told once: from the later one."""
    if not compact(ring.inscription):
        yield Finding(
            Severity.WARNING,
            ring.id,
            f"Ring {ring.id} has no inscription.",
            "Enter what stands on it, or that it is plain.",
        )
        return
    for other in flock.rings_like(ring.inscription):
        if other.id == ring.id:
            break  # listed in the order of ids: the rest tell it of this one
        both = f"Rings {other.id} and {ring.id}"
        if not same_inscription(ring, other):
            yield Finding(
                Severity.WARNING,
                ring.id,
                f"{both} are easily taken for each other: “{other.inscription}” and "
                f"“{ring.inscription}”.",
                "Look at both rings, and correct one if it was misread.",
                "inscription",
                (other.id,),
            )
        elif _issuer(ring) != _issuer(other):
            yield Finding(
                Severity.WARNING,
                ring.id,
                f"{both} both read “{ring.inscription}”, by different issuers.",
                "Take care: the inscription alone does not tell these birds apart.",
                "inscription",
                (other.id,),
            )
        elif ring.bird and other.bird and ring.bird != other.bird:
            yield Finding(
                Severity.ERROR,
                ring.id,
                f"Ring “{ring.inscription}” is entered for two birds: "
                f"{_name(flock, other.bird)} and {_name(flock, ring.bird)}.",
                "Look at both birds, and correct the ring that was misread.",
                "inscription",
                (other.id,),
            )
        else:
            yield Finding(
                Severity.ERROR,
                ring.id,
                f"Ring “{ring.inscription}” is entered twice, as {other.id} and "
                f"{ring.id}.",
                "Take one of the two out, or correct the one that was misread.",
                "inscription",
                (other.id,),
            )


def same_inscription(one: Ring, other: Ring) -> bool:
    """The same characters in the same lines; case and width of gaps aside."""
    return _lines(one.inscription) == _lines(other.inscription)


def _lines(inscription: str) -> list[str]:
    return [" ".join(line.split()) for line in inscription.casefold().split("/")]


def _issuer(ring: Ring) -> str:
    return " ".join(ring.issuer.casefold().split())


def _check_story(ring: Ring) -> Iterator[Finding]:
    called = called_ring(ring)
    if ring.put_on and ring.removed and ring.removed.is_before(ring.put_on):
        yield Finding(
            Severity.ERROR,
            ring.id,
            f"{called} came off {ring.removed}, before it was put on {ring.put_on}.",
            "Correct one of the dates.",
        )
    if ring.state is RingState.REMOVED and not ring.removed_reason:
        yield Finding(
            Severity.ERROR,
            ring.id,
            f"{called} was removed, and no reason is given.",
            "Say why it came off and who took it off.",
        )
    if ring.removed and ring.state in (RingState.ON_BIRD, RingState.IN_STOCK):
        yield Finding(
            Severity.ERROR,
            ring.id,
            f"{called} came off {ring.removed} and is still said to be {ring.state}.",
            "Say which of the two is true.",
        )
    if ring.size_mm is not None and ring.size_mm <= 0:
        yield Finding(
            Severity.ERROR,
            ring.id,
            f"{called} has an inner diameter of {ring.size_mm:g} mm.",
            "Enter the size as the maker gives it.",
        )
    closed_and_cut = (
        ring.kind is RingKind.CLOSED
        and ring.state is RingState.REMOVED
        and not ring.replaced_by
    )
    if closed_and_cut:
        yield Finding(
            Severity.WARNING,
            ring.id,
            f"{called} is a closed ring that was cut, and nothing took its place.",
            "Enter the ring or chip the bird carries now, or its identity ends here.",
        )


def check_chip(flock: Flock, chip: Chip) -> Iterator[Finding]:
    """A chip is of one bird, and its code is of one chip."""
    if chip.bird and chip.bird not in flock.birds:
        yield Finding(
            Severity.ERROR,
            chip.id,
            f"Chip {chip.code} is in {chip.bird}, and there is no such bird.",
            "Say which bird carries it.",
        )
    if not compact(chip.code):
        yield Finding(
            Severity.WARNING,
            chip.id,
            f"Chip {chip.id} has no code.",
            "Read the chip and enter its code.",
        )
        return
    yield from _check_code(chip)
    for other in flock.chips_coded(chip.code):
        if other.id == chip.id:
            break
        birds = [_name(flock, bird) for bird in (other.bird, chip.bird) if bird]
        yield Finding(
            Severity.ERROR,
            chip.id,
            f"Chip {chip.code} is entered twice: for {' and '.join(birds)}."
            if birds
            else f"Chip {chip.code} is entered twice.",
            "Read the chip again, and correct or take out the wrong entry.",
            "code",
            (other.id,),
        )
    bird = flock.birds.get(chip.bird or "")
    if bird is None or bird.hatched is None or chip.implanted is None:
        return
    if chip.implanted.is_before(bird.hatched):
        yield Finding(
            Severity.ERROR,
            chip.id,
            f"{bird.title} was chipped {chip.implanted}, before it hatched "
            f"{bird.hatched}.",
            "Correct one of the dates.",
        )


def _check_code(chip: Chip) -> Iterator[Finding]:
    """Codes that no chip has; what is only odd is said when a chip is entered."""
    try:
        code = chip_code(chip.code)
    except RuleError as error:
        yield Finding(Severity.WARNING, chip.id, str(error), error.hint, "code")
        return
    if code.iso and code.iso.prefix_kind is PrefixKind.UNKNOWN:
        yield Finding(
            Severity.WARNING,
            chip.id,
            f"Chip {chip.code}: {code.says}",
            "Have the chip scanned again, and correct its code.",
            "code",
        )


def check_identity(flock: Flock, bird: Bird) -> Iterator[Finding]:
    """A living bird carries something to know it by, and no leg two closed rings."""
    worn = [r for r in flock.rings_of(bird.id) if r.state is RingState.ON_BIRD]
    if bird.status is Status.ALIVE and not worn and not flock.chips_of(bird.id):
        yield Finding(
            Severity.WARNING,
            bird.id,
            f"{bird.title} is alive and carries no ring and no chip.",
            "Enter its ring or chip, or have an avian vet chip it.",
        )
    for leg in (Leg.LEFT, Leg.RIGHT):
        closed = [r for r in worn if r.leg is leg and r.kind is RingKind.CLOSED]
        if len(closed) > 1:
            both = " and ".join(f"“{ring.inscription}”" for ring in closed)
            yield Finding(
                Severity.WARNING,
                bird.id,
                f"{bird.title} wears more than one closed ring on its {leg} leg: "
                f"{both}.",
                "Look at the leg; enter the ring that is not there as removed or lost.",
            )


def called_ring(ring: Ring) -> str:
    """A ring by its inscription; by its id where there is none."""
    return f"Ring “{ring.inscription}”" if ring.inscription else f"Ring {ring.id}"


def _name(flock: Flock, bird_id: str) -> str:
    bird = flock.birds.get(bird_id)
    return bird.title if bird else bird_id
