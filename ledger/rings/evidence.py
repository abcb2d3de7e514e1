"""What is seen of a ring: characters with their chances, and all else about it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from ledger.rings.alphabet import CODE, is_sign, plain

Direction = Literal["around", "axial_up", "axial_down", "unknown"]
Closure = Literal["closed", "split", "unsure"]

ONE_UNKNOWN = "?"
ANY_RUN = "*"


@dataclass(frozen=True)
class Slot:
    """One place in a line, with what may stand there."""

    chances: tuple[tuple[str, float], ...] = ()
    """Characters with their chances, likeliest first. They sum to at most 1; the
    rest is "something else"; none at all: a character that nobody could read."""
    gap_before: bool = False
    """A word gap stands before it."""
    run_before: bool = False
    """Any number of characters may stand before it, unseen."""
    phi_deg: float | None = None
    """Where round the ring, if known."""
    at_rim: bool = False
    """It ends at a rim of the ring, where feathers or a finger may hide a part."""

    @property
    def text(self) -> str:
        """The likeliest character; `?` where none was read."""
        return self.chances[0][0] if self.chances else ONE_UNKNOWN

    @property
    def probability(self) -> float:
        """Chance that `text` is right."""
        return self.chances[0][1] if self.chances else 0.0


@dataclass(frozen=True)
class EvidenceLine:
    """Places in reading order."""

    slots: tuple[Slot, ...]
    direction: Direction = "unknown"
    cut_start: bool = True
    """It may go on before its first place."""
    cut_end: bool = True
    """It may go on after its last place."""

    @property
    def text(self) -> str:
        """The likeliest text, word gaps as one space."""
        parts = []
        for at, slot in enumerate(self.slots):
            run = f" {ANY_RUN} " if slot.run_before and at else ""
            gap = " " if slot.gap_before and at and not run else ""
            parts.append(run + gap + slot.text)
        return "".join(parts)


@dataclass(frozen=True)
class Expectation:
    """Which birds should be where this one was seen, and which were seen before."""

    here: frozenset[str] = frozenset()
    """Ids of the birds that should be here and were not seen yet."""
    seen: frozenset[str] = frozenset()
    """Ids of the birds that were seen in this round already."""
    elsewhere: float = 1.0
    """Weight of any other bird against one that should be here."""
    again: float = 1.0
    """Weight of one that was seen already."""

    def weight(self, bird_id: str) -> float:
        """What it says for a bird before its ring is compared, 0..1."""
        if bird_id in self.seen:
            return self.again
        return 1.0 if bird_id in self.here else self.elsewhere


@dataclass(frozen=True)
class Evidence:
    """Everything seen of one ring on one bird."""

    lines: tuple[EvidenceLine, ...] = ()
    colour: str = ""
    closure: Closure = "unsure"
    leg: Literal["left", "right"] | None = None
    """The bird's own left or right."""
    species: str = ""
    location: str = ""
    """Where the bird was seen."""
    expected: Expectation | None = None
    """On a walk-through: who should be there; it says more than `location`."""
    aspect: float = 0.0
    """The ring's height over its outer diameter; 0 when unknown."""
    ring_found: bool = True
    typed: bool = False
    """A keeper gave the characters; a machine did not."""
    one_photo: bool = False
    """A single photo shows it: the angles of its slots are those to the camera."""
    joined: bool = False
    """Several photos show it, and lie round the ring in one way only."""
    apart: tuple[tuple[EvidenceLine, ...], ...] = ()
    """What each photo shows by itself, where it is not certain how the photos lie
    round the ring."""

    @property
    def text(self) -> str:
        """The likeliest text, lines parted by ` / `."""
        return " / ".join(line.text for line in self.lines)

    def views(self) -> tuple[Evidence, ...]:
        """All that lies round the ring in one way: each photo, or all of them."""
        if not self.apart:
            return (self,)
        return tuple(
            replace(self, lines=lines, apart=(), one_photo=True) for lines in self.apart
        )

    @property
    def n_legible(self) -> int:
        """Places of which anything is known."""
        return sum(1 for line in self.lines for slot in line.slots if slot.chances)


def in_front(
    lines: tuple[EvidenceLine, ...], most_deg: float
) -> tuple[EvidenceLine, ...]:
    """The lines of one photo without what it shows at an edge.

    That is what it shows more aslant than `most_deg`, and what ends at a rim. A line
    is cut where places were taken from its end; one without any left is none.
    """
    kept = []
    for line in lines:
        near = [
            abs(slot.phi_deg or 0.0) <= most_deg and not slot.at_rim
            for slot in line.slots
        ]
        if not any(near):
            continue
        first, last = near.index(True), len(near) - near[::-1].index(True)
        kept.append(
            replace(
                line,
                slots=line.slots[first:last],
                cut_start=line.cut_start or first > 0,
                cut_end=line.cut_end or last < len(near),
            )
        )
    return tuple(kept)


def parse_fragment(fragment: str) -> tuple[EvidenceLine, ...]:
    """What a keeper typed, as lines of evidence.

    `?` is one character not read, `*` any run of them, ` / ` parts lines; spaces
    part words and may be left out; case does not matter.

    Args:
        fragment: For example `QSA ?4 01*`.

    Returns:
        Its lines; none where it holds no character. A fragment may always be a
        part of a line.

    Example:
        >>> [line.text for line in parse_fragment("qsa ?4 01* / 8,2")]
        ['QSA ?4 01', '8.2']
    """
    lines = []
    for part in plain(fragment).split("/"):
        line = _line(part)
        if any(slot.chances for slot in line.slots):
            lines.append(line)
    return tuple(lines)


def _line(part: str) -> EvidenceLine:
    slots: list[Slot] = []
    gap = run = cut_start = cut_end = False
    for sign in part.strip():
        if sign == ANY_RUN:
            run = cut_end = True
            cut_start = cut_start or not slots
            continue
        if sign != ONE_UNKNOWN and not is_sign(sign):
            gap = True
            continue
        known = ((sign, 1.0),) if sign in CODE else ()
        slots.append(Slot(known, gap_before=gap, run_before=run and bool(slots)))
        gap = run = cut_end = False
    return EvidenceLine(tuple(slots), cut_start=cut_start, cut_end=cut_end)
