"""An inscription on the keeper's desk: read by machine, corrected by hand.

A draft never changes; each correction gives a new one. `as_reading` hands it
back in the form the matcher takes, with the keeper's characters as certain as
a character can be.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from enum import Enum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator

    from ledger.domain.flock import Flock
    from ledger.services.identify import Identification
    from ocr.reading import Direction, Glyph, Line, Reading

UNREAD = "?"
"""One character, not read."""
GAP = "*"
"""Any number of characters out of view, none included."""
SIGNS = frozenset("ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789.-" + UNREAD + GAP)
"""What can stand in one place of an inscription."""

_SURE_FROM = 0.95
_WORTH_SAYING = 0.003
"""A character less likely than this is not offered."""
_LIKELY_FROM = 0.75


class Certainty(Enum):
    """How far a character is to be trusted, in a word."""

    SURE = "sure"
    LIKELY = "likely"
    DOUBTFUL = "doubtful"
    UNREAD = "not read"
    OUT_OF_VIEW = "out of view"
    BY_KEEPER = "typed by you"


@dataclass(frozen=True)
class Sign:
    """One place of an inscription."""

    text: str
    probability: float = 1.0
    """Chance that `text` is right, 0..1."""
    alternatives: tuple[tuple[str, float], ...] = ()
    """Other characters it may be, with their chances, likeliest first."""
    gap_before: bool = False
    by_keeper: bool = False
    seen: Glyph | None = field(default=None, compare=False, repr=False)

    @property
    def certainty(self) -> Certainty:
        """How far to trust it."""
        if self.text == UNREAD:
            return Certainty.UNREAD
        if self.text == GAP:
            return Certainty.OUT_OF_VIEW
        if self.by_keeper:
            return Certainty.BY_KEEPER
        if self.probability >= _SURE_FROM:
            return Certainty.SURE
        if self.probability >= _LIKELY_FROM:
            return Certainty.LIKELY
        return Certainty.DOUBTFUL


@dataclass(frozen=True)
class DraftLine:
    """Places in reading order."""

    signs: tuple[Sign, ...] = ()
    direction: Direction = "around"

    @property
    def text(self) -> str:
        """As one would type it, word gaps as one space."""
        return "".join(
            (" " if sign.gap_before and i else "") + sign.text
            for i, sign in enumerate(self.signs)
        )


@dataclass(frozen=True)
class Draft:
    """The lines of one ring."""

    lines: tuple[DraftLine, ...] = (DraftLine(),)

    @property
    def text(self) -> str:
        """The inscription as one would type it, lines parted by ` / `."""
        return " / ".join(line.text for line in self.lines)

    @property
    def is_empty(self) -> bool:
        """Not one character is known."""
        signs = (sign for line in self.lines for sign in line.signs)
        return all(sign.text in (UNREAD, GAP) for sign in signs)

    def first_to_check(self) -> tuple[int, int]:
        """Line and place of the least certain sign; (0, 0) if none is doubtful."""
        places = [
            (sign.probability if sign.text != UNREAD else 0.0, at, place)
            for at, line in enumerate(self.lines)
            for place, sign in enumerate(line.signs)
            if sign.certainty
            in (Certainty.LIKELY, Certainty.DOUBTFUL, Certainty.UNREAD)
        ]
        return min(places)[1:] if places else (0, 0)

    def typed(self, at: int, place: int, text: str) -> Draft:
        """Put a character in a place; at a line's end, add it.

        Args:
            at: Line, from 0.
            place: Place in the line, from 0; the line's length is its end.
            text: One of `SIGNS`, in either case.

        Raises:
            ValueError: `text` is no such character.
        """
        text = text.upper()
        if text not in SIGNS:
            raise ValueError(f"{text!r} does not stand on rings")
        signs = self.lines[at].signs
        gap = place < len(signs) and signs[place].gap_before
        sign = Sign(text, gap_before=gap, by_keeper=True)
        return self._with_signs(at, (*signs[:place], sign, *signs[place + 1 :]))

    def inserted(self, at: int, place: int) -> Draft:
        """Make room for a place not read before this one."""
        signs = self.lines[at].signs
        gap = place < len(signs) and signs[place].gap_before
        after = signs[place:]
        if after and gap:
            after = (replace(after[0], gap_before=False), *after[1:])
        sign = Sign(UNREAD, gap_before=gap, by_keeper=True)
        return self._with_signs(at, (*signs[:place], sign, *after))

    def without(self, at: int, place: int) -> Draft:
        """Take a place out; a gap before it stays."""
        signs = self.lines[at].signs
        after = signs[place + 1 :]
        if after and signs[place : place + 1] and signs[place].gap_before:
            after = (replace(after[0], gap_before=True), *after[1:])
        return self._with_signs(at, (*signs[:place], *after))

    def gap_turned(self, at: int, place: int) -> Draft:
        """Put a word gap before a place, or close it."""
        signs = self.lines[at].signs
        if not 0 < place < len(signs):
            return self
        sign = replace(signs[place], gap_before=not signs[place].gap_before)
        return self._with_signs(at, (*signs[:place], sign, *signs[place + 1 :]))

    def broken(self, at: int, place: int) -> Draft:
        """Begin a new line at this place."""
        line = self.lines[at]
        first = replace(line, signs=line.signs[:place])
        second = replace(line, signs=line.signs[place:])
        return Draft((*self.lines[:at], first, second, *self.lines[at + 1 :]))

    def joined(self, at: int) -> Draft:
        """Put a line behind the one before it."""
        if not 0 < at < len(self.lines):
            return self
        one, two = self.lines[at - 1 : at + 1]
        line = replace(one, signs=one.signs + two.signs)
        return Draft((*self.lines[: at - 1], line, *self.lines[at + 1 :]))

    def _with_signs(self, at: int, signs: tuple[Sign, ...]) -> Draft:
        return self._with(at, replace(self.lines[at], signs=signs))

    def _with(self, at: int, line: DraftLine) -> Draft:
        return Draft((*self.lines[:at], line, *self.lines[at + 1 :]))


def of_reading(reading: Reading) -> Draft:
    """What the photos showed, ready to be corrected."""
    lines = tuple(_of_line(line) for line in reading.lines)
    return Draft(lines or (DraftLine(),))


def of_text(text: str) -> Draft:
    """What a keeper typed: `?` one place not read, `*` any number, `/` a new line.

    Signs that stand on no ring part words, as a space does.
    """
    lines = []
    for part in text.upper().split("/"):
        signs: list[Sign] = []
        gap = False
        for sign in part.strip():
            if sign in SIGNS:
                signs.append(Sign(sign, gap_before=gap and bool(signs), by_keeper=True))
            gap = sign not in SIGNS
        lines.append(DraftLine(tuple(signs)))
    return Draft(tuple(lines))


def as_reading(draft: Draft, reading: Reading) -> Reading:
    """The reading with the draft's characters in place of its own.

    Args:
        draft: What the keeper made of it.
        reading: What the photos showed; its photos, colour and closure stay.
    """
    lines = tuple(part for line in draft.lines for part in _as_lines(line))
    # Whoever corrects it has looked at all of it.
    certain = reading.fits_one_way or lines != reading.lines
    return replace(reading, lines=lines, fits_one_way=certain)


def identify(flock: Flock, draft: Draft, reading: Reading | None) -> Identification:
    """Rank the birds whose ring the draft may be.

    Args:
        flock: The flock.
        draft: What is known of the inscription, by machine and by hand.
        reading: The photos it comes from; None when all of it was typed.
    """
    from ledger.services import identify as matcher

    if reading is None or not reading.ring_found:
        # What a keeper types counts, also where the reader saw no ring at all.
        if not draft.is_empty or reading is None:
            return matcher.by_text(flock, draft.text)
        return matcher.by_reading(flock, reading)
    return matcher.by_reading(flock, as_reading(draft, reading))


def prepare(flock: Flock) -> None:
    """Do ahead what the first ranking of a flock needs; a second for 10,000 birds."""
    from ledger.rings.index import index_of

    index_of(flock)


def _of_line(line: Line) -> DraftLine:
    signs = [
        Sign(
            glyph.text,
            glyph.probability,
            tuple(
                (text, chance)
                for text, chance in glyph.alternatives
                if text != glyph.text and chance >= _WORTH_SAYING
            ),
            gap_before=glyph.gap_before,
            seen=glyph,
        )
        for glyph in line.glyphs
    ]
    before = [Sign(GAP)] if line.cut_start else []
    after = [Sign(GAP)] if line.cut_end else []
    return DraftLine((*before, *signs, *after), line.direction)


def _as_lines(line: DraftLine) -> Iterator[Line]:
    """One line for every stretch between gaps, each cut where a gap is."""
    from ocr.reading import Line

    stretches: list[list[Sign]] = [[]]
    for sign in line.signs:
        if sign.text == GAP:
            stretches.append([])
        else:
            stretches[-1].append(sign)
    for i, stretch in enumerate(stretches):
        if stretch:
            yield Line(
                tuple(_as_glyph(sign) for sign in stretch),
                line.direction,
                cut_start=i > 0,
                cut_end=i < len(stretches) - 1,
            )


def _as_glyph(sign: Sign) -> Glyph:
    from ocr.reading import Glyph

    if sign.seen is not None:
        return replace(sign.seen, gap_before=sign.gap_before)
    if sign.text == UNREAD:
        return Glyph(UNREAD, 0.0, gap_before=sign.gap_before)
    return Glyph(sign.text, 1.0, ((sign.text, 1.0),), gap_before=sign.gap_before)
