"""What is due in the nests, as lines for a person and as JSON for a program."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from ledger.care.nest import Urgency, due_in_nests
from ledger.services.nest_list import MARK_OF, nests, source_of

if TYPE_CHECKING:
    import datetime as dt

    from ledger.domain.flock import Flock


def as_text(flock: Flock, today: dt.date) -> list[str]:
    """What is due, aviary by aviary, a line each."""
    duties = due_in_nests(flock, today)
    lines = []
    for place in sorted({duty.location for duty in duties}):
        lines.append(place or "(no aviary entered)")
        lines += [
            f"  {MARK_OF[duty.urgency]:<2} {duty.work}: {duty.said} {source_of(duty)}"
            for duty in duties
            if duty.location == place
        ]
    if not duties:
        return [f"Nothing is due in the nests on {today}."]
    late = sum(duty.urgency is Urgency.LATE for duty in duties)
    tail = f", {late} of it late" if late else ""
    lines.append(f"{today}: {len(duties)} due in the nests{tail}.")
    return lines


def as_json(flock: Flock, today: dt.date) -> dict[str, Any]:
    """What is due, for other programs."""
    return {
        "day": str(today),
        "due": [
            {
                "what": str(duty.work),
                "urgency": str(duty.urgency),
                "from": str(duty.since),
                "until": str(duty.until),
                "aviary": duty.location,
                "clutch": duty.clutch,
                "egg": duty.egg,
                "bird": duty.bird,
                "window": str(duty.window) if duty.window else None,
                "said": duty.said,
                "source": duty.source,
            }
            for duty in due_in_nests(flock, today)
        ],
        "nests": [
            {
                "pair": line.pair_id,
                "clutch": line.clutch_id or None,
                "aviary": line.place,
                "species": line.species,
                "eggs": _eggs_plain(flock, line.clutch_id),
            }
            for line in nests(flock, today)
        ],
    }


def _eggs_plain(flock: Flock, clutch_id: str) -> list[dict[str, Any]]:
    clutch = flock.clutches.get(clutch_id)
    return [
        {
            "egg": egg.number,
            "laid": str(egg.laid) if egg.laid else None,
            "fate": str(egg.fate),
            "hatched": str(egg.hatched) if egg.hatched else None,
            "chick": egg.chick,
        }
        for egg in (clutch.eggs if clutch else ())
    ]
