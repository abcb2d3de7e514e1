"""Text of a ring to its fields: every reading that fits, the likeliest first.

Nothing on a ring says which part is which. Issuers known by their way of writing
(`schemes.csv`) are tried first, from any word round the ring; beside them every
word is read as all it may be, and the whole is judged.
"""

from __future__ import annotations

import math
from dataclasses import replace
from functools import lru_cache
from typing import TYPE_CHECKING

from ledger.rings.alphabet import is_sign, plain
from ledger.rings.by_scheme import by_schemes
from ledger.rings.fields import Field, Option, Part, options
from ledger.rings.inscription_reading import InscriptionReading

if TYPE_CHECKING:
    from ledger.rings.schemes import Scheme

__all__ = ["InscriptionReading", "read_inscription", "words_of"]

_BEAM = 60
_MOST_READINGS = 12
_MOST_WORDS = 10


def read_inscription(
    text: str,
    *,
    year_now: int,
    flock_codes: frozenset[str] = frozenset(),
    own: tuple[Scheme, ...] = (),
) -> tuple[InscriptionReading, ...]:
    """Every reading of an inscription that fits, the likeliest first.

    Args:
        text: As typed or read; lines parted by `/`, case and spacing as they come.
        year_now: This year; no ring is of a year after the next.
        flock_codes: Letters known to be a flock's or club's.
        own: Ways of writing that the keeper added to the table.

    Returns:
        At most twelve readings whose scores sum to 1 or less; none for an empty
        text.

    Example:
        >>> best = read_inscription("B 2,0 G 11 1234", year_now=2025)[0]
        >>> best.issuer, best.size_mm, best.closure, best.ring_year, best.serial
        ('BNA (Germany)', 2.0, 'closed', 2011, '1234')
    """
    return _read(words_of(text), year_now, frozenset(map(plain, flock_codes)), own)


def words_of(text: str) -> tuple[str, ...]:
    """The words of an inscription; line ends part words."""
    spaced = "".join(s if is_sign(s) and s.isascii() else " " for s in plain(text))
    return tuple(word for word in spaced.split() if any(s.isalnum() for s in word))


@lru_cache(maxsize=16384)
def _read(
    words: tuple[str, ...],
    year_now: int,
    codes: frozenset[str],
    own: tuple[Scheme, ...],
) -> tuple[InscriptionReading, ...]:
    if not words:
        return ()
    found: dict[tuple[object, ...], tuple[float, InscriptionReading]] = {}
    ways = [*by_schemes(words, year_now, own), *_by_words(words, year_now, codes)]
    for score, reading in ways:
        parts = tuple(sorted((p.text, p.field) for p in reading.parts))
        key = (reading.issuer, parts, reading.country, reading.size_mm)
        if key not in found or found[key][0] < score:
            found[key] = (score, reading)
    ranked = sorted(found.values(), key=lambda way: -way[0])
    total = sum(math.exp(score - ranked[0][0]) for score, _ in ranked)
    best = ranked[:_MOST_READINGS]
    return tuple(
        replace(reading, score=math.exp(score - ranked[0][0]) / total)
        for score, reading in best
    )


_ONCE = frozenset(Field) - {Field.OTHER, Field.FLOCK_CODE}


def _by_words(
    words: tuple[str, ...], year_now: int, codes: frozenset[str]
) -> list[tuple[float, InscriptionReading]]:
    """Readings word by word, whoever issued the ring."""
    ways: list[Option] = [((), 0.0)]
    for word in words[:_MOST_WORDS]:
        found = options(word, year_now, codes)
        ways = [
            (parts + more, score + gain)
            for parts, score in ways
            for more, gain in found
            if _may_join(parts, more)
        ] or [
            ((*parts, Part(word, Field.OTHER, "no field that we know")), score - 4.0)
            for parts, score in ways
        ]
        ways = sorted(ways, key=lambda way: -way[1])[:_BEAM]
    return [(score + _shape(parts), _plain_reading(parts)) for parts, score in ways]


def _may_join(parts: tuple[Part, ...], more: tuple[Part, ...]) -> bool:
    """No field but letters of breeder and club stands on a ring twice."""
    used = [p.field for p in (*parts, *more)]
    return all(used.count(field) <= 1 for field in _ONCE) and (
        used.count(Field.FLOCK_CODE) <= 2
    )


def _shape(parts: tuple[Part, ...]) -> float:
    """What the whole has and lacks; common practice, no source."""
    fields = [part.field for part in parts]
    score = 0.0
    score -= 1.6 if Field.SERIAL not in fields else 0.0
    score -= 1.3 if Field.FLOCK_CODE not in fields else 0.0
    score -= 0.7 if Field.RING_YEAR not in fields else 0.0
    score -= 1.2 if fields.count(Field.FLOCK_CODE) > 1 else 0.0
    if Field.COUNTRY in fields and Field.FLOCK_CODE in fields:
        # A country stands before the letters it belongs to more often than after.
        before = fields.index(Field.COUNTRY) < fields.index(Field.FLOCK_CODE)
        score += 0.3 if before else 0.0
    if Field.RING_YEAR in fields and Field.SERIAL in fields:
        before = fields.index(Field.RING_YEAR) < fields.index(Field.SERIAL)
        score += 0.3 if before else 0.0
    return score


def _plain_reading(parts: tuple[Part, ...]) -> InscriptionReading:
    year = next((p for p in parts if p.field is Field.RING_YEAR), None)
    size = next((p for p in parts if p.field is Field.SIZE and p.value), None)
    years: tuple[int, ...] = ()
    if year is not None and year.value:
        years = (int(year.value),)
    elif year is not None:
        years = tuple(int(y) for y in year.says.rpartition("one of ")[2].split(", "))
    closure = next((p.value for p in parts if p.field is Field.CLOSURE), "")
    why = tuple(f"{part.text}: {part.says}." for part in parts)
    return InscriptionReading(
        parts, 0.0, None, years, float(size.value) if size else None, closure, why
    )
