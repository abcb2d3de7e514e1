"""Why a bird is a candidate, in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ledger.domain.bird import Status
from ledger.domain.ring import Leg, RingKind, RingState
from ledger.rings.priors import colour_name, fit_of_colour, same_words
from ledger.rings.serial import serial_places

if TYPE_CHECKING:
    from collections.abc import Iterator

    from ledger.rings.alignment import Alignment
    from ledger.rings.candidate import Candidate
    from ledger.rings.evidence import Evidence

_UNSEEN = "·"
_MOST_SLIPS = 2


def why(candidate: Candidate, evidence: Evidence, year_now: int) -> str:
    """What speaks for this bird and against it."""
    parts = [
        *_of_characters(candidate, year_now),
        *_of_ring(candidate),
        *_of_circumstances(candidate, evidence),
    ]
    return "; ".join(parts)


def _of_characters(candidate: Candidate, year_now: int) -> Iterator[str]:
    laid = candidate.alignment
    signs, seen = laid.inscription.signs, laid.seen()
    if not seen:
        yield "nothing on it reads like what was seen"
        return
    unseen = set(range(len(signs))) - seen
    serial = serial_places(candidate.ring.inscription, year_now)
    yield f"reads {_in_view(laid, seen)}{_not_seen(unseen, serial, signs)}"
    slips = laid.contradictions(0.5)
    if len(slips) > _MOST_SLIPS:
        yield f"{len(slips)} characters do not fit"
        slips = []
    for shown in slips:
        if shown.at is None:
            yield f"“{shown.slot.text}” is not on its ring"
        else:
            yield f"“{shown.slot.text}” was read where its ring has {signs[shown.at]}"
    if laid.upside_down:
        yield "if the ring was read upside down"


def _in_view(laid: Alignment, seen: frozenset[int]) -> str:
    """The inscription as recorded, with points for what was not read between."""
    inscription = laid.inscription
    shown = [
        sign if at in seen else _UNSEEN for at, sign in enumerate(inscription.signs)
    ]
    words: list[str] = []
    for at, sign in enumerate(shown[: max(seen) + 1]):
        if at < min(seen):
            continue
        if at and at in inscription.line_starts:
            words.append(" / ")
        elif at in inscription.gaps:
            words.append(" ")
        words.append(sign)
    return "".join(words).strip(" /")


def _not_seen(unseen: set[int], serial: frozenset[int], signs: str) -> str:
    missing = sorted(unseen & serial)
    if not unseen:
        return ""
    if serial and len(missing) == len(serial):
        return ", serial not in view"
    if len(missing) == 1 and missing[0] == max(serial):
        return ", last digit not seen"
    if missing:
        digits = "digit" if len(missing) == 1 else "digits"
        return f", {len(missing)} {digits} of the serial not seen"
    return "" if len(unseen) < len(signs) // 3 else ", the rest not in view"


def _of_ring(candidate: Candidate) -> Iterator[str]:
    ring, bird = candidate.ring, candidate.bird
    if ring.state is RingState.REMOVED or ring.removed:
        when = f" on {ring.removed}" if ring.removed else ""
        reason = f" ({ring.removed_reason})" if ring.removed_reason else ""
        yield f"this ring was taken off{when}{reason}"
    elif ring.state is not RingState.ON_BIRD:
        where = "in stock" if ring.state is RingState.IN_STOCK else str(ring.state)
        yield f"this ring is entered as {where}"
    if bird is None:
        yield "no bird is entered for it"
    elif bird.status is Status.DEAD:
        yield f"{bird.title} is entered as dead"
    elif bird.status is Status.LOST:
        yield f"{bird.title} is entered as lost"
    elif bird.status is Status.PLACED:
        yield f"{bird.title} lives with someone else"


def _of_circumstances(candidate: Candidate, evidence: Evidence) -> Iterator[str]:
    ring, bird = candidate.ring, candidate.bird
    known = colour_name(ring.colour)
    if evidence.colour and known and fit_of_colour(evidence.colour, known) < 0.2:
        yield f"its ring is {known}, this one looks {colour_name(evidence.colour)}"
    if evidence.leg and ring.leg not in (Leg.UNKNOWN, evidence.leg):
        yield f"its ring is on the {ring.leg} leg"
    split = ring.kind in (RingKind.SPLIT, RingKind.QUARANTINE)
    if evidence.closure == "split" and ring.kind is RingKind.CLOSED:
        yield "its ring is closed, this one looks split"
    if evidence.closure == "closed" and split:
        yield "its ring is split, this one looks closed"
    home = bird.location if bird else ""
    if evidence.location and home and not same_words(evidence.location, home):
        yield f"it should be in {home}"
