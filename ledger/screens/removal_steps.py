"""What is asked when a ring comes off: the lines of each step, and what they mean."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING, TypeVar

from ledger.care.chip_conditions import CHIP_RULES
from ledger.domain.partial_date import PartialDate
from ledger.domain.ring import Leg, Ring, RingKind, RingState
from ledger.errors import LedgerError, NotFoundError, RuleError
from ledger.screens.happened import DATES
from ledger.services import typed
from ledger.services.removal import RemovalDraft, Successor
from ledger.widgets.form import FormLine

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from ledger.domain.bird import Bird
    from ledger.domain.flock import Flock
    from ledger.screens.guided import Said

T = TypeVar("T")

SITES = ("left pectoral muscle", "right pectoral muscle", "under the skin, shoulders")
"""Lafeber vet pages: pectoral muscle, left or right; the last for small birds
(Oswald et al. 2018, Ibis)."""
NEXT = (
    (str(Successor.CHIP), "a chip, put in on the same day"),
    (str(Successor.RING), "a new ring"),
    (str(Successor.NOTHING), "nothing for now"),
)


def worn_rings(flock: Flock, bird_id: str) -> list[Ring]:
    """Rings on the bird now."""
    return [r for r in flock.rings_of(bird_id) if r.state is RingState.ON_BIRD]


def vets(flock: Flock) -> tuple[str, ...]:
    """Names of vets that are known, vets by their role first."""
    people = sorted(flock.people.values(), key=lambda p: (p.role != "vet", p.name))
    return tuple(person.name for person in people if person.name)


def ring_lines(
    flock: Flock, bird: Bird, today: dt.date, *, chip_only: bool
) -> list[FormLine]:
    """Which ring, why and when."""
    choices = [
        (ring.id, f"{ring.inscription or ring.id} ({ring.kind}, {ring.leg} leg)")
        for ring in worn_rings(flock, bird.id)
    ]
    choices.append(("", "none: only a chip goes in"))
    first = "" if chip_only else choices[0][0]
    return [
        FormLine(
            "ring", "Ring", first, "Left and Right choose.", choices=tuple(choices)
        ),
        FormLine(
            "reason", "Why it comes off", hint="For example: leg swollen under it."
        ),
        FormLine("on", "When", str(today), DATES),
    ]


def hand_lines(flock: Flock, bird: Bird) -> list[FormLine]:
    """Who does it, who holds the bird, and what it weighs."""
    own = flock.people.get(bird.vet or flock.settings.vet or "")
    return [
        FormLine(
            "vet",
            "Avian vet",
            own.name if own else "",
            "Who takes the ring off and puts the chip in. F2 lists who is known.",
            known=vets(flock),
        ),
        FormLine("handlers", "Hands and eyes", hint="Who held it and saw it; , parts."),
        FormLine("weight", "Weight in grams", hint="Weighed on the same day."),
    ]


def kept_lines(said: Said, inbox: tuple[str, ...] = ()) -> list[FormLine]:
    """Where the ring stays, photos and notes."""
    lines = [
        FormLine(
            "photos",
            "Photos",
            hint="Paths of pictures; drop them here. F2 lists those of the inbox.",
            known=inbox,
        ),
        FormLine("notes", "Notes", hint="What was found, how it went."),
    ]
    if said.get("ring"):
        lines.insert(
            0,
            FormLine(
                "ring_kept",
                "The ring is kept",
                hint="Where: the envelope, the drawer. Empty: it is not kept.",
            ),
        )
    return lines


def next_line() -> FormLine:
    """Chip, ring or nothing."""
    hint = "Left and Right choose. The identity of the bird goes on with it."
    return FormLine("next", "In its place", hint=hint, choices=NEXT)


def chip_lines() -> list[FormLine]:
    """The rule, the code, the site, the scan, and the vet's word against the rule."""
    rules = tuple((rule.key, rule.says) for rule in CHIP_RULES)
    return [
        FormLine("rule", "Rule held to", hint="Left and Right choose.", choices=rules),
        FormLine("chip", "Chip code", hint="15 digits; older ones 9 or 10 characters."),
        FormLine("site", "Where it sits", SITES[0], "F2 lists sites.", known=SITES),
        FormLine("scan", "The scanner shows", hint="Scanned when it was in."),
        FormLine(
            "override",
            "Vet's reason against",
            hint="Only where a condition is not met and the vet chips all the same.",
        ),
    ]


def new_ring_lines() -> list[FormLine]:
    """The ring that takes its place."""
    kinds = [(str(k), str(k)) for k in (RingKind.SPLIT, RingKind.CLOSED)]
    legs = [(str(leg), str(leg)) for leg in Leg]
    return [
        FormLine(
            "inscription", "Inscription", hint="A ring in stock is taken from it."
        ),
        FormLine("kind", "Kind", choices=tuple(kinds), hint="Left and Right choose."),
        FormLine("leg", "Leg", choices=tuple(legs), hint="The bird's own."),
        FormLine("colour", "Colour"),
        FormLine("size", "Inner diameter in mm"),
    ]


def due_lines(today: dt.date) -> list[FormLine]:
    """By when something has to take its place."""
    in_two_weeks = today + dt.timedelta(days=14)  # common practice, no source
    return [
        FormLine(
            "due", "Chip or ring by", str(in_two_weeks), "A task is set down for then."
        )
    ]


def draft_of(
    bird_id: str, said: Said, today: dt.date
) -> tuple[RemovalDraft, tuple[str, str] | None]:
    """What was entered so far, and the first line that cannot be understood.

    Args:
        bird_id: The bird.
        said: All that was entered.
        today: No date lies after it, but the one of the task.

    Returns:
        The draft; where a line is not understood it is as if empty there. Then the
        name of that line and why.
    """
    trouble: list[tuple[str, str]] = []

    def understood(name: str, read: Callable[[str], T], otherwise: T) -> T:
        try:
            return read(said.get(name, ""))
        except LedgerError as error:
            trouble.append((name, f"{error} {error.hint}".strip()))
            return otherwise

    successor = Successor(said.get("next") or Successor.CHIP)
    if not said.get("ring"):
        successor = Successor.CHIP
    draft = RemovalDraft(
        bird_id,
        understood("on", lambda w: typed.date(w, today), PartialDate.of(today)),
        said.get("ring") or None,
        said.get("reason", ""),
        said.get("vet", ""),
        tuple(p.strip() for p in said.get("handlers", "").split(",") if p.strip()),
        said.get("ring_kept", ""),
        understood("weight", typed.grams, None),
        successor,
        said.get("chip", ""),
        said.get("site", ""),
        said.get("scan", ""),
        said.get("rule", ""),
        said.get("override", ""),
        _new_ring(said, understood("size", typed.millimetres, None))
        if successor is Successor.RING
        else None,
        understood("due", _day_ahead, None),
        understood("photos", photos, ()),
        said.get("notes", ""),
    )
    return draft, trouble[0] if trouble else None


def photos(words: str) -> tuple[Path, ...]:
    """Pictures as typed or dropped; none for nothing.

    Raises:
        NotFoundError: one is not there.
    """
    if not words.strip():
        return ()
    meaning = typed.understand(words)
    if isinstance(meaning, typed.Photos):
        return meaning.paths
    why = meaning.sentence if isinstance(meaning, typed.Unclear) else ""
    raise NotFoundError(
        why.rstrip(".") + "." if why else f"“{words.strip()}” is no picture.",
        "Write the path of a photo, or leave it empty.",
    )


def _day_ahead(words: str) -> PartialDate | None:
    if not words.strip():
        return None
    try:
        return PartialDate.parse(words)
    except ValueError as error:
        raise RuleError(str(error)) from error


def _new_ring(said: Said, size_mm: float | None) -> Ring:
    return Ring(
        "",
        " ".join(said.get("inscription", "").split()),
        RingKind(said.get("kind") or RingKind.SPLIT),
        said.get("colour", "").strip(),
        size_mm,
        Leg(said.get("leg") or Leg.UNKNOWN),
    )
