"""What of a typed inscription can be read as one, and what must be said of the rest."""

from __future__ import annotations

import re
from dataclasses import dataclass

from ledger.domain.chip_code import ChipCode, ChipKind, chip_code
from ledger.errors import RuleError
from ledger.rings.alphabet import is_sign, plain
from ledger.services.explanation import ExplainedPart

_LONGEST = 60
"""Characters that are looked at; the longest inscriptions known have half of that."""
_MOST_WORDS = 10
_PARTS_WORDS = " \t\n\r/|,;:_'\"()"
"""Signs that people put between the parts of an inscription."""


@dataclass(frozen=True)
class Typed:
    """An inscription as it was typed or read, sorted."""

    legible: str
    """What is read as an inscription."""
    unread: tuple[ExplainedPart, ...] = ()
    """Parts in which `?` or `*` stands for what was not read."""
    notes: tuple[str, ...] = ()


def sort_typed(text: str, year_now: int) -> Typed:
    """Part what can be read from what cannot.

    Args:
        text: As typed; `?` one character not read, `*` any number.
        year_now: This year.
    """
    notes: list[str] = []
    text = " ".join(text.split())
    if len(text) > _LONGEST:
        notes.append(
            f"{len(text)} characters are no inscription of one ring: only the first "
            f"{_LONGEST} were looked at."
        )
        text = text[:_LONGEST]
    strange = _strange(text)
    if strange:
        notes.append(
            f"{' '.join(strange)}: no ring that we know of bears this; it was left "
            "out. Look at the ring again."
        )
    legible, unread = [], []
    for word in text.split():
        if "?" in word or "*" in word:
            if any(sign.isalnum() for sign in word):
                unread.append(_not_all_read(plain(word), year_now))
        else:
            legible.append(word)
    if len(legible) > _MOST_WORDS:
        notes.append(
            f"These are {len(legible)} words; a ring has room for fewer. Only the "
            f"first {_MOST_WORDS} were looked at."
        )
    return Typed(" ".join(legible[:_MOST_WORDS]), tuple(unread), tuple(notes))


def _strange(text: str) -> list[str]:
    """Signs that stand on no ring, each once, in order; at most a few."""
    found = {
        sign: None
        for sign in plain(text)
        if sign not in _PARTS_WORDS
        and sign not in "?*"
        and not (is_sign(sign) and sign.isascii())
    }
    return [sign if sign.isprintable() else "a sign that cannot be shown"
            for sign in found][:8]  # fmt: skip


def _not_all_read(word: str, year_now: int) -> ExplainedPart:
    says = "not all of it is read"
    if re.fullmatch(r"[0-9?]{2}", word) and "?" in word:
        low, high = word.replace("?", "0"), word.replace("?", "9")
        years = [
            year
            for year in range(year_now - 60, year_now + 2)
            if low <= f"{year % 100:02}" <= high
            and re.fullmatch(word.replace("?", "."), f"{year % 100:02}")
        ]
        if years:
            says += (
                f"; if it is the year, then one of {years[0]} to {years[-1]}"
                if len(years) > 1
                else f"; if it is the year, then {years[0]}"
            )
    return ExplainedPart(word, "not all read", says)


def chip_in(text: str) -> ChipCode | None:
    """The chip's code that was typed as if it were a ring; None where it is none.

    Only the forms of ISO 11784 count: 9 or 10 characters may stand on a ring as well.
    """
    if len(text) > _LONGEST:
        return None
    try:
        code = chip_code(text)
    except RuleError:
        return None
    return code if code.kind is ChipKind.ISO else None


def chip_trouble(text: str) -> str:
    """Why something that looks like a chip's code is none; "" for what does not."""
    digits = "".join(text.split())
    if not digits.isascii() or not digits.isdigit() or not 9 <= len(digits) <= 18:
        return ""
    try:
        code = chip_code(digits)
    except RuleError as error:
        return f"So many digits look like a chip's code, but: {error} {error.hint}"
    return (
        f"It can be the code of a chip too: {code.says} Only a scanner shows a chip; "
        "a ring is read by eye."
        if code.kind is not ChipKind.ISO
        else ""
    )
