"""What speaks against a removal or a chip, and what must be known before it.

An objection keeps it from being stored; a warning is read, and then it may be.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from ledger.care.chip_conditions import chip_rule, unmet_conditions
from ledger.domain.age_rules import last_day_for_closed_ring
from ledger.domain.bird import Status
from ledger.domain.chip_code import ChipKind, PrefixKind, chip_code
from ledger.domain.mark_rules import called_ring
from ledger.domain.ring import RingKind, RingState
from ledger.errors import RuleError
from ledger.services.ring_warnings import warnings_of_ring

if TYPE_CHECKING:
    from collections.abc import Iterator

    from ledger.domain.chip_code import ChipCode
    from ledger.domain.flock import Flock
    from ledger.domain.ring import Chip, Ring
    from ledger.services.removal import RemovalDraft

AT_THE_VET = (
    "Never take a ring off at home: a leg breaks in a moment. An avian vet cuts it, "
    "with the right tool and where needed under anaesthesia."
)
"""Caution: brookfallsveterinary.com and Watchbird's vets' corner say who removes
rings, poultryscience.in that it may take anaesthesia."""


@dataclass(frozen=True, slots=True)
class Objection:
    """Why something cannot be stored, or what must be known before it is."""

    field: str
    """The field of the draft that it is about."""
    message: str
    """A sentence."""
    remedy: str = ""
    source: str = ""

    @property
    def sentence(self) -> str:
        """With its source."""
        return f"{self.message} ({self.source}.)" if self.source else self.message

    def __str__(self) -> str:
        return f"{self.sentence} {self.remedy}".strip()


def objections(flock: Flock, draft: RemovalDraft) -> list[Objection]:
    """All that keeps it from being stored, in the order of the steps."""
    return [
        *_about_ring(flock, draft),
        *_about_hands(flock, draft),
        *_about_chip(flock, draft),
        *_about_successor(draft),
    ]


def warnings(flock: Flock, draft: RemovalDraft) -> list[Objection]:
    """What the keeper must know; it is stored all the same."""
    return list(_warned(flock, draft))


def chip_said(flock: Flock, written: str) -> tuple[str, ...]:
    """What a code tells while it is typed: who gave it out, and cautions.

    Returns:
        Sentences; of a code that is none, why.
    """
    if not written.strip():
        return ()
    try:
        code = chip_code(written)
    except RuleError as error:
        return (f"{error} {error.hint}",)
    known = _known_chip(flock, code)
    if known is not None:
        return (_twice(flock, known).message,)
    return (f"{code.text}: {code.says}", *code.warnings)


def _about_ring(flock: Flock, draft: RemovalDraft) -> Iterator[Objection]:
    if draft.ring is None:
        if draft.successor != "chip":
            yield Objection(
                "ring", "No ring comes off and no chip goes in.", "Choose one of both."
            )
        return
    ring = flock.rings.get(draft.ring)
    if ring is None or ring.bird != draft.bird or ring.state is not RingState.ON_BIRD:
        called = called_ring(ring) if ring else f"Ring {draft.ring}"
        yield Objection(
            "ring",
            f"{called} is not on {flock.birds[draft.bird].title}.",
            "Choose the ring that it wears.",
        )
    if not draft.reason.strip():
        yield Objection(
            "reason",
            "A ring leaves a bird only with a reason.",
            "Write why it has to come off.",
        )


def _about_hands(flock: Flock, draft: RemovalDraft) -> Iterator[Objection]:
    dead = flock.birds[draft.bird].status is Status.DEAD
    if draft.vet.strip():
        return
    if draft.ring is None:
        yield Objection("vet", "It is not said who put the chip in.", "Name the vet.")
    elif dead:
        yield Objection("vet", "It is not said who took the ring off.", "Write who.")
    else:
        yield Objection("vet", f"No vet is named. {AT_THE_VET}", "Name the avian vet.")


def _about_chip(flock: Flock, draft: RemovalDraft) -> Iterator[Objection]:
    if draft.successor != "chip":
        return
    bird = flock.birds[draft.bird]
    if bird.status is Status.DEAD:
        yield Objection(
            "successor",
            f"{bird.title} is dead: it gets no chip.",
            "Choose that nothing takes the ring's place.",
        )
        return
    rule = chip_rule(draft.rule)
    for unmet in unmet_conditions(flock, bird, draft.on, draft.weight_g, rule):
        if not draft.override.strip():
            yield Objection(
                "override",
                unmet.message,
                f"{unmet.remedy} Or write the vet's reason for chipping all the same.",
                unmet.source,
            )
    if not draft.chip.strip():
        yield Objection("chip", "No chip code is entered.", "Scan it and enter it.")
        return
    try:
        code = chip_code(draft.chip)
    except RuleError as error:
        yield Objection("chip", str(error), error.hint)
        return
    known = _known_chip(flock, code)
    if known is not None:
        yield _twice(flock, known)
    if not draft.site.strip():
        yield Objection(
            "site", "It is not said where the chip sits.", "Write the site in the body."
        )
    yield from _about_scan(draft, code)


def _about_scan(draft: RemovalDraft, code: ChipCode) -> Iterator[Objection]:
    if not draft.scan.strip():
        yield Objection(
            "scan",
            "The chip was not scanned once it was in.",
            "Scan it before the bird is let go, and enter what the scanner shows.",
        )
        return
    try:
        seen = chip_code(draft.scan)
    except RuleError as error:
        yield Objection("scan", str(error), error.hint)
        return
    if seen.text != code.text:
        yield Objection(
            "scan",
            f"The scanner shows {seen.text}, and the chip is entered as {code.text}.",
            "Scan again: it may be an older chip, or one digit is wrong.",
        )


def _about_successor(draft: RemovalDraft) -> Iterator[Objection]:
    if draft.successor == "ring" and (
        draft.new_ring is None
        or not (draft.new_ring.id or draft.new_ring.inscription.strip())
    ):
        yield Objection(
            "inscription", "The new ring has no inscription.", "Write what it reads."
        )


def _known_chip(flock: Flock, code: ChipCode) -> Chip | None:
    """A chip of the flock with this code, in whatever form it was entered."""
    forms = [code.text]
    if code.iso is not None:
        forms += [code.iso.digits, code.iso.dotted, code.iso.left, code.iso.right]
    for form in forms:
        for chip in flock.chips_coded(form):
            return chip
    return None


def _twice(flock: Flock, chip: Chip) -> Objection:
    bird = flock.birds.get(chip.bird or "")
    whose = f"{bird.title} ({bird.id})" if bird else "the flock, in no bird"
    return Objection(
        "chip",
        f"Chip {chip.code} is in the ledger already: {whose}.",
        "Scan again. Two birds cannot share a code; one of them was misread.",
    )


def _warned(flock: Flock, draft: RemovalDraft) -> Iterator[Objection]:
    bird = flock.birds[draft.bird]
    ring = flock.rings.get(draft.ring or "")
    dead = bird.status is Status.DEAD
    if ring is not None and not dead:
        yield Objection("vet", AT_THE_VET)
    if ring is not None and not draft.ring_kept.strip():
        yield Objection(
            "ring_kept",
            "The ring is not kept.",
            "Keep it with the bird's papers: it is the proof of the old inscription.",
            "Watchbird, vets' corner: keep the removed ring for reference",
        )
    if ring is not None and ring.kind is RingKind.CLOSED:
        yield Objection(
            "reason",
            "A closed ring that is cut no longer proves that the bird was bred here; "
            "in places a registration ends with it.",
            "Ask your authority before, and keep its answer with the paper.",
            "UK: SI 2004/640 reg. 2; EU: Regulation 865/2006 Art. 66",
        )
    if draft.successor == "nothing" and ring is not None and not dead:
        yield Objection(
            "successor",
            f"Nothing takes the place of “{ring.inscription}”: {_left(flock, draft)}",
            "A task is set down: chip or ring.",
        )
    if draft.successor == "ring" and draft.new_ring is not None:
        yield from _warned_of_ring(flock, draft, draft.new_ring)
    if draft.successor == "chip":
        yield from _warned_of_chip(flock, draft)


def _warned_of_ring(
    flock: Flock, draft: RemovalDraft, ring: Ring
) -> Iterator[Objection]:
    bird = flock.birds[draft.bird]
    if ring.kind is not RingKind.CLOSED:
        yield Objection(
            "kind",
            "A split ring can be put on any bird: it tells who it is, not where it was "
            "bred.",
            "",
            "EU: Regulation 865/2006 Art. 66(2) and (8), from memory",
        )
    elif bird.hatched is not None:
        least, _ = bird.hatched.days_until(draft.on)
        last = last_day_for_closed_ring(bird.species, flock.settings.own_windows)
        if least > last:
            yield Objection(
                "kind",
                f"A closed ring does not go over the foot of {bird.title}, {least} "
                f"days old: {last} are the last.",
                "Enter it as it is: a split ring.",
                "papageien.org ringFAQ: no parrot after 4 weeks; else common practice",
            )
    for sentence in warnings_of_ring(flock, draft.bird, ring, coming_off=draft.ring):
        yield Objection("inscription", sentence)


def _left(flock: Flock, draft: RemovalDraft) -> str:
    """What still tells who the bird is, once this ring is off."""
    worn = [
        other.inscription
        for other in flock.rings_of(draft.bird)
        if other.state is RingState.ON_BIRD and other.id != draft.ring
    ]
    left = [f"ring “{text}”" for text in worn]
    left += [f"chip {chip.code}" for chip in flock.chips_of(draft.bird)]
    if left:
        return f"it is known by {' and '.join(left)} alone."
    return "from now on nothing on the bird says who it is."


def _warned_of_chip(flock: Flock, draft: RemovalDraft) -> Iterator[Objection]:
    try:
        code = chip_code(draft.chip)
    except RuleError:
        return
    for sentence in code.warnings:
        source = {
            ChipKind.TEN: "eidap.com/iso.asp: 125 kHz chips show 10 characters",
            ChipKind.NINE: "animalstart.com: lengths 9, 10 and 15 are in use",
        }.get(code.kind, "ISO 11784")
        yield Objection("chip", sentence, source=source)
    if code.iso is not None and code.iso.prefix_kind is PrefixKind.MAKER:
        yield Objection("chip", code.says, source="ISO 11784, ICAR: 900 to 998")
    if draft.override.strip():
        bird = flock.birds[draft.bird]
        rule = chip_rule(draft.rule)
        for unmet in unmet_conditions(flock, bird, draft.on, draft.weight_g, rule):
            yield Objection(
                "override",
                f"{unmet.message} {draft.vet.strip()} overrides it: "
                f"{draft.override.strip().rstrip('.')}.",
                source=unmet.source,
            )
