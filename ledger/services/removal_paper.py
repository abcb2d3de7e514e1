"""The removal paper: what came off, who did it and why, and what carries it on."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ledger.care.chip_conditions import chip_rule
from ledger.domain.bird import Status
from ledger.domain.chip_code import chip_code
from ledger.domain.ring import Chip, RingKind
from ledger.errors import RuleError
from ledger.reports.paper import Paper, Part
from ledger.services import paper_parts as parts
from ledger.services.identity import identity_text, keeper_of, ring_in_words
from ledger.services.ledger import bird_of

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Iterator

    from ledger.domain.flock import Flock
    from ledger.domain.removal import Removal
    from ledger.services.ledger import Ledger

_LOCAL = (
    "Rules on rings and chips differ by country and species; show this paper to your "
    "authority where the bird is registered."
)


def removal_paper(ledger: Ledger, removal: Removal, today: dt.date) -> Paper:
    """What the paper of one removal says.

    Args:
        ledger: An open ledger.
        removal: Of a ring, or of a chip put in alone.
        today: Stands on it.

    Raises:
        NotFoundError: its bird is not in the ledger.
    """
    flock = ledger.flock
    bird = bird_of(flock, removal.bird or "")
    ring = flock.rings.get(removal.ring or "")
    picture, said = parts.ring_picture(
        ledger, bird.id, removal.photos, removal.ring if ring else None
    )
    title = f"Ring removed: {bird.title}" if ring else f"Chip put in: {bird.title}"
    body = [
        Part("The ring that came off", tuple(_ring(flock, removal))) if ring else None,
        Part("What was done", tuple(_done(removal))),
        Part("What carries the identity on", tuple(_successor(flock, removal))),
        parts.chain_part(flock, bird.id),
        parts.about_bird(flock, bird),
        Part("Please note", (("", _LOCAL),)),
        Part("Notes", (("", removal.notes),)) if removal.notes else None,
    ]
    keeper = keeper_of(flock)
    return Paper(
        title,
        parts.below_title(flock, today),
        tuple(part for part in body if part is not None),
        identity_text(flock, bird.id),
        parts.CODE_SAID,
        (
            f"Signature of {removal.vet or 'the vet'}",
            f"Signature of {f'{keeper.name}, keeper' if keeper else 'the keeper'}",
        ),
        picture,
        said,
    )


def _ring(flock: Flock, removal: Removal) -> Iterator[tuple[str, str]]:
    ring = flock.rings[removal.ring or ""]
    yield "Inscription", ring.inscription or "none"
    yield "Kind", ring_in_words(ring) or "not entered"
    if ring.issuer:
        yield "Issuer", ring.issuer
    if ring.put_on:
        yield "Put on", str(ring.put_on)
    kept = removal.ring_kept or ring.kept
    yield "Kept", kept or "not kept"
    if ring.kind is RingKind.CLOSED:
        yield "", "A closed ring: seamless, slipped over the foot of the chick."


def _done(removal: Removal) -> Iterator[tuple[str, str]]:
    yield "Date", str(removal.on) if removal.on else "not entered"
    if removal.ring:
        yield "Reason", removal.reason or "not entered"
    yield "By", removal.vet or "not entered"
    if removal.handlers:
        yield "Hands and eyes", ", ".join(removal.handlers)
    if removal.weight_g is not None:
        yield "Weight", f"{removal.weight_g:g} g"


def _successor(flock: Flock, removal: Removal) -> Iterator[tuple[str, str]]:
    ring = flock.rings.get(removal.ring or "")
    now = flock.mark(removal.chip or (ring.replaced_by if ring else None))
    if isinstance(now, Chip):
        yield "Chip code", now.code
        yield "", _about_code(now.code)
        yield "Site", removal.site or now.site or "not entered"
        yield "Scan", f"the scanner showed {removal.scan}" if removal.scan else "none"
        rule = chip_rule(removal.rule)
        if removal.rule:
            yield "Rule held to", f"{rule.says} ({rule.source})"
        if removal.override:
            yield "Against the rule", f"{removal.vet}: {removal.override}"
    elif now is not None:
        yield "Ring", now.inscription
        yield "Kind", ring_in_words(now) or "not entered"
        if now.kind is not RingKind.CLOSED:
            yield "", "It tells who the bird is, not where it was bred."
    else:
        bird = flock.birds.get(removal.bird or "")
        if bird is not None and bird.status is Status.DEAD:
            yield "", "Nothing: the bird is dead."
        else:
            yield "", "Nothing was put in its place. Chip or ring is to follow."


def _about_code(code: str) -> str:
    try:
        understood = chip_code(code)
    except RuleError as error:  # entered before codes were looked at
        return str(error)
    return " ".join([understood.says, *understood.warnings])
