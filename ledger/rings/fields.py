"""What one word on a ring may be: code, year, serial, country, size and so on."""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import StrEnum
from functools import partial
from typing import TYPE_CHECKING

from ledger.rings.countries import countries_written

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator


class Field(StrEnum):
    """What a part of an inscription is."""

    FLOCK_CODE = "flock code"
    RING_YEAR = "ring year"
    SERIAL = "serial"
    COUNTRY = "country"
    SIZE = "size"
    CLOSURE = "closed or open"
    ISSUER = "issuer"
    OTHER = "other"


@dataclass(frozen=True)
class Part:
    """One part of an inscription, read one way."""

    text: str
    """As it stands on the ring; lookalikes as read here."""
    field: Field
    says: str
    """What it means and why, in words."""
    value: str = ""
    """The year in full, the country's two letters, the size in mm."""


Option = tuple[tuple[Part, ...], float]
"""One way to read a word, and how much speaks for it (natural logarithm)."""

_OLDEST_YEAR = 1950
_AS_DIGITS = str.maketrans("OI", "01")
_AS_LETTERS = str.maketrans("01", "OI")


def full_years(digits: str, year_now: int) -> tuple[int, ...]:
    """The years that the digits on a ring may stand for, latest first.

    Args:
        digits: One, two or four digits.
        year_now: Rings for the next year are sold before it begins.

    Example:
        >>> full_years("23", 2025), full_years("98", 2025), full_years("5", 2025)
        ((2023,), (1998,), (2025, 2015, 2005, 1995))
    """
    latest = year_now + 1
    if len(digits) == 4:
        year = int(digits)
        return (year,) if _OLDEST_YEAR <= year <= latest else ()
    if len(digits) == 2:
        year = latest // 100 * 100 + int(digits)
        year = year if year <= latest else year - 100
        return (year,) if year >= _OLDEST_YEAR else ()
    last = int(digits)
    return tuple(y for y in range(latest, latest - 40, -1) if y % 10 == last)


def options(word: str, year_now: int, codes: frozenset[str]) -> list[Option]:
    """Every way to read one word of an inscription.

    Args:
        word: Capitals, digits, points and dashes; no spaces.
        year_now: This year.
        codes: Flock codes known to the reader.
    """
    ways = list(_whole(word, year_now, codes))
    if re.fullmatch(r"[A-Z]+", word):
        ways += _letters_in_two(word, codes)
    elif re.fullmatch(r"[0-9]{5,8}", word):
        ways += _digits_in_two(word, year_now)
    else:
        ways += _runs(word, year_now, codes)
    return ways or [((Part(word, Field.OTHER, "no field that we know"),), -4.0)]


def _whole(word: str, year_now: int, codes: frozenset[str]) -> Iterator[Option]:
    letters, digits = word.translate(_AS_LETTERS), word.translate(_AS_DIGITS)
    has_letter, has_digit = re.search("[A-Z]", word), re.search("[0-9]", word)
    if re.fullmatch(r"[A-Z]+", letters) and has_letter:
        as_read = "" if letters == word else f"; “{word}” read as letters"
        cost = 0.0 if letters == word else -1.5
        for part, score in _of_letters(letters, codes):
            yield (
                (Part(letters, part.field, part.says + as_read, part.value),),
                (score + cost),
            )
    if re.fullmatch(r"[0-9]+", digits) and (has_digit or word in "OI"):
        as_read = "" if digits == word else f"; “{word}” read as digits"
        cost = 0.0 if digits == word else -1.0
        for part, score in _of_digits(digits, year_now):
            yield (
                (Part(digits, part.field, part.says + as_read, part.value),),
                (score + cost),
            )
    size = re.fullmatch(r"[0-9]{1,2}\.[0-9]{1,2}", word)
    if size and 1.5 <= float(word) <= 40:
        yield (_size_mm(word),), -0.1
    dashed = re.fullmatch(r"-([0-9])", word)
    if dashed:
        yield (_one_digit_year(dashed[1], year_now),), -0.3


def _of_letters(letters: str, codes: frozenset[str]) -> Iterator[tuple[Part, float]]:
    if letters in codes:
        yield Part(letters, Field.FLOCK_CODE, "a flock code on record here"), 1.5
    for country in countries_written(letters):
        known = -0.2 if country.is_common else -1.8
        short = -1.0 if country.how == "short form" else 0.0
        yield (
            Part(letters, Field.COUNTRY, country.says, country.alpha_2),
            known + short,
        )
    if 2 <= len(letters) <= 6:
        usual = {2: -0.9, 3: -0.3, 4: -0.3, 5: -0.5, 6: -1.5}[len(letters)]
        says = "letters of a breeder, club or flock"
        yield Part(letters, Field.FLOCK_CODE, says), usual
    if len(letters) == 1:
        says = "a size letter; it means nothing without its issuer"
        yield Part(letters, Field.SIZE, says), -0.9
        if letters in "OG":
            closure = "open" if letters == "O" else "closed"
            says = f"{closure} ring, in German official inscriptions"
            yield Part(letters, Field.CLOSURE, says, closure), -2.5
        yield Part(letters, Field.FLOCK_CODE, "a letter of the breeder's own"), -2.5


def _of_digits(digits: str, year_now: int) -> Iterator[tuple[Part, float]]:
    for year in full_years(digits, year_now) if len(digits) in (2, 4) else ():
        age = max(year_now - year, 0)
        recent = -0.2 - 0.06 * age
        says = f"the year {year}" if len(digits) == 4 else f"the year {year}, short"
        yield Part(digits, Field.RING_YEAR, says, str(year)), recent
    if len(digits) <= 8:
        looks = 0.0 if digits[0] == "0" or len(digits) != 2 else -0.9
        if len(digits) == 4 and full_years(digits, year_now):
            looks = -2.0
        yield Part(digits, Field.SERIAL, "the number within its series"), looks


def _size_mm(word: str) -> Part:
    return Part(word, Field.SIZE, f"inner diameter {float(word):g} mm", word)


def _one_digit_year(digit: str, year_now: int) -> Part:
    years = full_years(digit, year_now)
    named = ", ".join(str(year) for year in sorted(years))
    says = f"last digit of the year: one of {named}"
    return Part(f"-{digit}", Field.RING_YEAR, says, "")


def _letters_in_two(word: str, codes: frozenset[str]) -> Iterator[Option]:
    """`IETWK`: a country and a code run together."""
    for cut in (2, 3):
        head, tail = word[:cut], word[cut:]
        if len(tail) < 2:
            continue
        for one, score in _of_letters(head, codes):
            if one.field is Field.COUNTRY and score > -1.0:
                for other, score_2 in _of_letters(tail, codes):
                    if other.field is Field.FLOCK_CODE:
                        yield (one, other), score + score_2 - 1.2


def _digits_in_two(word: str, year_now: int) -> Iterator[Option]:
    """`210042`: a year and a serial run together."""
    for cut in (2, 4):
        head, tail = word[:cut], word[cut:]
        if not tail:
            continue
        for one, score in _of_digits(head, year_now):
            if one.field is Field.RING_YEAR:
                serial = Part(tail, Field.SERIAL, "the number within its series")
                yield (one, serial), score - 1.2


def _runs(word: str, year_now: int, codes: frozenset[str]) -> Iterator[Option]:
    """Letters and digits run together, each run read by itself."""
    runs = re.findall(r"[A-Z]+|[0-9]{1,2}\.[0-9]{1,2}|[0-9]+|-[0-9]|[^A-Z0-9]", word)
    if len(runs) < 2 or len(runs) > 5:
        return
    read: Callable[[str], list[Option]] = partial(
        options, year_now=year_now, codes=codes
    )
    ways: list[Option] = [((), -0.4)]
    for run in runs:
        if run in ".-":
            continue
        found = sorted(read(run), key=lambda option: -option[1])[:4]
        ways = [
            (parts + more, score + gain)
            for parts, score in ways
            for more, gain in found
        ]
    yield from sorted(ways, key=lambda way: -way[1])[:12]
