"""Who a bird is, by every ring and chip it ever carried: in words, and as a code."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ledger.domain.bird import Sex, Status
from ledger.domain.ring import Chip, Leg, Ring, RingKind, RingState
from ledger.services.ledger import bird_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from ledger.domain.flock import ChainLink, Flock
    from ledger.domain.people import Person
    from ledger.domain.removal import Removal

_CODE_BYTES = 400
"""Of more the code at 46 mm is read from some prints and not from others (tried with
OpenCV at 216 to 432 dots an inch)."""


def chain_in_words(flock: Flock, bird_id: str) -> tuple[str, ...]:
    """One sentence or more for every ring and chip, first first."""
    removals = {r.ring: r for r in flock.removals_of(bird_id) if r.ring}
    chipped = {r.chip: r for r in flock.removals_of(bird_id) if r.chip}
    return tuple(
        _of_chip(link.mark, chipped.get(link.mark.id))
        if isinstance(link.mark, Chip)
        else _of_ring(link, link.mark, removals.get(link.mark.id))
        for link in flock.identity_chain(bird_id)
    )


def chain_gaps(flock: Flock, bird_id: str) -> tuple[str, ...]:
    """Where the chain is broken, as sentences; nothing where every mark is joined."""
    bird = bird_of(flock, bird_id)
    chain = flock.identity_chain(bird_id)
    gaps = [
        f"Ring “{link.mark.inscription}” is {link.mark.state}, and nothing is joined "
        "to it."
        for link in chain
        if isinstance(link.mark, Ring)
        and not link.is_on
        and link.replaced_by is None
        and not link.mark.trial
        and not _overlapped(link, chain)
    ]
    if not any(link.is_on for link in chain) and bird.status is not Status.DEAD:
        gaps.append(f"{bird.title} carries no ring and no chip now.")
    return tuple(gaps)


def identity_text(flock: Flock, bird_id: str) -> str:
    """What the QR code says: short lines, the bird first, then its marks.

    The oldest marks are left out where the code would become too fine to read.
    """
    bird = bird_of(flock, bird_id)
    sex = "" if bird.sex is Sex.UNKNOWN else str(bird.sex)
    hatched = f"hatched {bird.hatched}" if bird.hatched else ""
    head = [
        f"FLOCK LEDGER {bird.id}",
        bird.title,
        ", ".join(filter(None, [bird.species, sex, hatched])),
    ]
    marks = [_in_short(link) for link in flock.identity_chain(bird_id)]
    tail = list(_contact_in_short(flock))
    left_out = 0
    while True:
        more = [f"({left_out} older marks: on the paper)"] if left_out else []
        text = "\n".join(filter(None, [*head, *more, *marks[left_out:], *tail]))
        if len(text.encode()) <= _CODE_BYTES or left_out >= len(marks):
            return text.encode()[:_CODE_BYTES].decode(errors="ignore")
        left_out += 1


def keeper_of(flock: Flock) -> Person | None:
    """Who keeps the flock."""
    return flock.people.get(flock.settings.keeper or "")


def ring_in_words(ring: Ring) -> str:
    """Kind, colour, size and leg, as far as they are known."""
    kind = "" if ring.kind is RingKind.UNKNOWN else str(ring.kind)
    size = f"{ring.size_mm:g} mm" if ring.size_mm else ""
    leg = "" if ring.leg is Leg.UNKNOWN else f"{ring.leg} leg"
    trial = "on trial" if ring.trial else ""
    return ", ".join(filter(None, [kind, ring.colour, size, leg, trial]))


def _of_ring(link: ChainLink, ring: Ring, removal: Removal | None) -> str:
    what = ring_in_words(ring)
    said = f"Ring “{ring.inscription}”" + (f" ({what})" if what else "")
    said += f", put on {ring.put_on}." if ring.put_on else "."
    if ring.state is RingState.ON_BIRD:
        return f"{said} Worn now."
    if ring.state is not RingState.REMOVED:
        return f"{said} {str(ring.state).capitalize()}."
    when = f" {ring.removed}" if ring.removed else ""
    by = f" by {ring.removed_by}" if ring.removed_by else ""
    why = f": {ring.removed_reason}" if ring.removed_reason else ""
    said += f" Taken off{when}{by}{why}."
    kept = ring.kept or (removal.ring_kept if removal else "")
    said += f" Kept: {kept}." if kept else " Not kept."
    now = link.replaced_by
    if isinstance(now, Chip):
        return f"{said} Chip {now.code} took its place."
    if now is not None:
        return f"{said} Ring “{now.inscription}” took its place."
    return f"{said} Nothing is entered in its place."


def _of_chip(chip: Chip, removal: Removal | None) -> str:
    where = f" ({chip.site})" if chip.site else ""
    when = f", put in {chip.implanted}" if chip.implanted else ""
    by = f" by {chip.by}" if chip.by else ""
    said = f"Chip {chip.code}{where}{when}{by}."
    if removal is not None and removal.scan:
        said += f" The scanner showed {removal.scan}."
    return f"{said} Carried now."


def _overlapped(link: ChainLink, chain: tuple[ChainLink, ...]) -> bool:
    """Another mark was on before it came off and stayed: that one carries on."""
    return any(
        other.is_on
        and link.until is not None
        and other.since is not None
        and not other.since.is_after(link.until)
        for other in chain
    )


def _in_short(link: ChainLink) -> str:
    mark = link.mark
    if isinstance(mark, Chip):
        return " ".join(filter(None, ["chip", mark.code, mark.site]))
    parts = ["ring", mark.inscription]
    if mark.kind is not RingKind.UNKNOWN:
        parts.append(str(mark.kind))
    if not link.is_on:
        parts.append(f"{mark.state} {mark.removed or ''}".strip())
    return " ".join(parts)


def _contact_in_short(flock: Flock) -> Iterator[str]:
    keeper = keeper_of(flock)
    yield flock.settings.name
    if keeper is not None:
        yield ", ".join(filter(None, [keeper.name, keeper.phone, keeper.email]))
