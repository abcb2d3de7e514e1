"""What the emergency card must say of a bird's legs after a bad ring check."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from ledger.care.leg_findings import Found, found, verdict
from ledger.care.ring_check import worn_rings
from ledger.domain.event import EventKind
from ledger.domain.ring import Leg

if TYPE_CHECKING:
    from collections.abc import Sequence

    from ledger.domain.event import Event
    from ledger.domain.ring import Ring

_BY_VET = {EventKind.EXAMINED, EventKind.TREATED}


@dataclass(frozen=True, slots=True)
class LegAlert:
    """A bad finding that no later look has cleared."""

    event: str
    """Event id of the finding."""
    ring: str | None
    said: str
    """For the card, as sentences."""
    is_for_today: bool
    """A vet should see it at once, and none has."""
    seen_by_vet: bool


def leg_alerts(rings: Sequence[Ring], events: Sequence[Event]) -> tuple[LegAlert, ...]:
    """What the card must say of the legs; nothing once a later look found all well.

    Worked out from what was found and never kept, so that an alert can neither be
    forgotten nor stand twice: one for each ring, the last bad finding. A ring that
    came off ends its alert as well.

    Args:
        rings: Of the bird.
        events: Of the bird, newest first.
    """
    by_id = {ring.id: ring for ring in worn_rings(rings)}
    settled: set[str | None] = set()
    vet: Event | None = None
    alerts = []
    for event in events:
        if vet is None and event.kind in _BY_VET:
            vet = event
        what = found(event.finding) if event.finding else None
        if event.kind is not EventKind.RING_CHECKED or what is None:
            continue
        if event.ring in settled or None in settled:
            continue
        if what.is_well:
            settled.add(event.ring)
        elif verdict(what).is_bad and (event.ring is None or event.ring in by_id):
            settled.add(event.ring)
            alerts.append(_alert(by_id.get(event.ring or ""), event, what, vet))
    return tuple(alerts)


def _alert(ring: Ring | None, event: Event, what: Found, vet: Event | None) -> LegAlert:
    leg = f"{ring.leg} leg, " if ring and ring.leg is not Leg.UNKNOWN else ""
    asked = verdict(what)
    todo = f"Seen by a vet {vet.on}; look again." if vet else asked.said
    said = f"Ring check {event.on}, {leg}{what.in_words}. {todo}"
    return LegAlert(
        event.id,
        event.ring,
        said,
        is_for_today=asked.vet_within_days == 0 and vet is None,
        seen_by_vet=vet is not None,
    )
