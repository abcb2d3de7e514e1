"""The paper that travels with a bird to its new home."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ledger.domain.event import EventKind
from ledger.domain.ring import RingState
from ledger.reports.paper import Paper, Part
from ledger.services import paper_parts as parts
from ledger.services.identity import identity_text, keeper_of, ring_in_words
from ledger.services.ledger import bird_of
from ledger.services.ring_checks import alerts_of

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Iterator

    from ledger.domain.bird import Bird
    from ledger.domain.flock import Flock
    from ledger.domain.people import Placement
    from ledger.services.ledger import Ledger

_LAST = 5
"""Visits to the vet, and weights, that are printed."""

# Caution: brookfallsveterinary.com (a ring that fits spins freely and slides along the
# leg), greenbayvets.co.uk (constriction when the leg swells; dead skin building up;
# caught on cage parts: look at all rings regularly), lafeber.com/vet (too tight, too
# loose). How often: common practice, no source.
_RING_CARE = (
    "Read it in good light or from a photo, turning the leg gently: it shows less than "
    "half of itself at once. Write down every letter and digit in order.",
    "Once a week look that it turns freely and slides along the leg, that nothing has "
    "gathered under it, and that it cannot ride above the hock.",
    "Do not cut it off. It is who the bird is; a leg breaks in a moment. If a ring has "
    "to come off, an avian vet takes it off, puts in a chip where that is allowed, and "
    "signs for it. Keep the ring.",
)
_TO_THE_VET = (
    "Today, to an avian vet: a leg or foot that swells, is hot, cold, bluish or not "
    "put down; broken skin or blood at the ring; a ring that no longer turns or has "
    "ridden up; fluffed up and on the floor; breathing with the beak open or the tail "
    "pumping; no food for half a day; a tenth of its weight lost."
)


def placement_paper(ledger: Ledger, bird_id: str, today: dt.date) -> Paper:
    """What travels with the bird: of its newest placement, or before there is one.

    Args:
        ledger: An open ledger.
        bird_id: The bird.
        today: Stands on it.

    Raises:
        NotFoundError: there is no such bird.
    """
    flock = ledger.flock
    bird = bird_of(flock, bird_id)
    placements = flock.placements_of(bird_id)
    placement = placements[-1] if placements else None
    worn = [r for r in flock.rings_of(bird_id) if r.state is RingState.ON_BIRD]
    picture, said = parts.ring_picture(
        ledger, bird_id, ring_id=worn[-1].id if worn else None
    )
    body = [
        _first(flock, bird),
        Part("Whose it is", tuple(_hands(flock, placement))),
        parts.about_bird(flock, bird),
        parts.chain_part(flock, bird_id),
        Part("Health", tuple(_health(flock, bird))),
        Part("Feeding and rearing", tuple(_care(bird))),
        Part("The ring", tuple(_ring(flock, bird_id))),
        Part("When it needs a vet", (("", _TO_THE_VET),)),
        Part("For the next vet", tuple(_contacts(flock, bird))),
        Part("About it", (("", bird.notes),)) if bird.notes else None,
    ]
    keeper = keeper_of(flock)
    taker = flock.people.get((placement.person if placement else None) or "")
    return Paper(
        f"{bird.title} goes to a new home",
        parts.below_title(flock, today),
        tuple(part for part in body if part is not None),
        identity_text(flock, bird_id),
        parts.CODE_SAID,
        (
            f"Signature of {keeper.name if keeper else 'the keeper'}, who gives it",
            f"Signature of {taker.name}, who takes it"
            if taker
            else "Signature of who takes it",
        ),
        picture,
        said,
    )


def _first(flock: Flock, bird: Bird) -> Part | None:
    """What whoever opens the box must know."""
    alerts = (*alerts_of(flock, bird.id), *bird.alerts)
    lines = [
        *(("Alert", text) for text in alerts),
        *(("Medication", text) for text in bird.medication),
        *(("Reacts to", text) for text in bird.allergies),
    ]
    return Part("Know this first", tuple(lines), alert=True) if lines else None


def _hands(flock: Flock, placement: Placement | None) -> Iterator[tuple[str, str]]:
    keeper = keeper_of(flock)
    home = ", ".join(filter(None, [flock.settings.name, parts.reached(keeper)]))
    yield "Comes from", home
    if placement is None:
        yield "Goes to", "_" * 40
        yield "On", "_" * 12
        return
    yield "Goes to", parts.reached(flock.people.get(placement.person or ""))
    yield "On", str(placement.on) if placement.on else "not entered"
    if placement.notes:
        yield "Agreed", placement.notes
    if placement.returned:
        yield "Came back", str(placement.returned)


def _health(flock: Flock, bird: Bird) -> Iterator[tuple[str, str]]:
    for flag in bird.health_flags:
        yield "Lasting", flag
    sire, dam = flock.parents_of(bird.id)
    for label, parent in (("Its sire", sire), ("Its dam", dam)):
        if parent is not None and parent.health_flags:
            yield label, "; ".join(parent.health_flags)
    events = flock.events_of(bird.id)
    seen = [e for e in events if e.kind in (EventKind.EXAMINED, EventKind.TREATED)]
    for event in seen[:_LAST]:
        by = f" [{event.by}]" if event.by else ""
        yield str(event.on), f"{event.kind}: {event.text}{by}"
    checked = next((e for e in events if e.kind is EventKind.RING_CHECKED), None)
    if checked is not None:
        found = ". ".join(filter(None, [checked.finding, checked.text]))
        yield "Ring check", f"{checked.on}: {found or 'looked at'}"
    told = [e for e in events if e.kind is EventKind.REPORTED][:_LAST]
    for event in told:
        by = f" [{event.by}]" if event.by else ""
        yield str(event.on), f"reported: {event.text}{by}"
    if not seen and not bird.health_flags:
        yield "", "Nothing was found so far, and no visit to a vet is entered."
    weights = [e for e in events if e.weight_g is not None][:_LAST]
    if weights:
        said = "; ".join(f"{e.on}:\u00a0{e.weight_g:g}\u00a0g" for e in weights)
        yield "Weights", said


def _care(bird: Bird) -> Iterator[tuple[str, str]]:
    yield "Feeding", bird.feeding or "not entered; ask before it leaves"
    yield "Rearing", bird.rearing or "not entered"


def _ring(flock: Flock, bird_id: str) -> Iterator[tuple[str, str]]:
    for ring in flock.rings_of(bird_id):
        if ring.state is RingState.ON_BIRD:
            what = ring_in_words(ring)
            yield "It reads", f"{ring.inscription}" + (f" ({what})" if what else "")
    for chip in flock.chips_of(bird_id):
        yield "Chip", f"{chip.code}" + (f" ({chip.site})" if chip.site else "")
    labels = ("To read it", "To check it", "Leave it on")
    yield from zip(labels, _RING_CARE, strict=True)


def _contacts(flock: Flock, bird: Bird) -> Iterator[tuple[str, str]]:
    yield "Breeder", parts.reached(keeper_of(flock))
    vet = flock.people.get(bird.vet or flock.settings.vet or "")
    if vet is not None:
        yield "Vet so far", parts.reached(vet)
    yield (
        "",
        (
            "Questions about its past, its parents or its siblings: call the breeder. "
            "Please tell how it fares, and when it moves on or dies."
        ),
    )
