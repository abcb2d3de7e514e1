"""Text of a ring to its fields: every reading that fits, the likeliest first.

Nothing on a ring says which part is which. Issuers known by their way of writing
(`schemes.csv`) are tried first, from any word round the ring; beside them every
word is read as all it may be, and the whole is judged.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

from ledger.reference.ring_series import series_size
from ledger.rings.alphabet import is_sign, plain
from ledger.rings.countries import countries_written
from ledger.rings.fields import Field, Option, Part, full_years, options
from ledger.rings.schemes import Scheme, schemes

_BEAM = 60
_MOST_READINGS = 12
_MOST_WORDS = 10


@dataclass(frozen=True)
class InscriptionReading:
    """One way to read an inscription."""

    parts: tuple[Part, ...]
    """In reading order, as far as it is known where the text begins."""
    score: float
    """Share among all readings that were found, 0..1."""
    scheme: Scheme | None = None
    ring_years: tuple[int, ...] = ()
    """The years it can be; several where only the last digit stands there."""
    size_mm: float | None = None
    closure: str = ""
    """"closed" or "open" where the inscription itself tells, else ""."""
    why: tuple[str, ...] = ()

    def _text(self, field: Field) -> str:
        return next((p.text for p in self.parts if p.field is field), "")

    @property
    def flock_code(self) -> str:
        """The letters of breeder, club or flock."""
        return self._text(Field.FLOCK_CODE)

    @property
    def ring_year(self) -> int | None:
        """The full year, where it is one."""
        return self.ring_years[0] if len(self.ring_years) == 1 else None

    @property
    def year_printed(self) -> str:
        """The year as it stands there."""
        return self._text(Field.RING_YEAR)

    @property
    def serial(self) -> str:
        """The number within its series, noughts in front kept."""
        return self._text(Field.SERIAL)

    @property
    def country(self) -> str:
        """ISO 3166 two letters; "" where none stands there."""
        part = next((p for p in self.parts if p.field is Field.COUNTRY), None)
        return part.value if part else ""

    @property
    def size_code(self) -> str:
        """Size letter or ordinal; "" where the size stands there in mm."""
        part = next((p for p in self.parts if p.field is Field.SIZE), None)
        return part.text if part and not part.value else ""

    @property
    def issuer(self) -> str:
        """Name of the way of writing that it follows; "" if it is nobody's."""
        return self.scheme.name if self.scheme else ""


def read_inscription(
    text: str, *, year_now: int, flock_codes: frozenset[str] = frozenset()
) -> tuple[InscriptionReading, ...]:
    """Every reading of an inscription that fits, the likeliest first.

    Args:
        text: As typed or read; lines parted by `/`, case and spacing as they come.
        year_now: This year; no ring is of a year after the next.
        flock_codes: Letters known to be a flock's or club's.

    Returns:
        At most twelve readings whose scores sum to 1 or less; none for an empty
        text.

    Example:
        >>> best = read_inscription("B 2,0 G 11 1234", year_now=2025)[0]
        >>> best.issuer, best.size_mm, best.closure, best.ring_year, best.serial
        ('BNA (Germany)', 2.0, 'closed', 2011, '1234')
    """
    return _read(words_of(text), year_now, frozenset(map(plain, flock_codes)))


def words_of(text: str) -> tuple[str, ...]:
    """The words of an inscription; line ends part words."""
    spaced = "".join(s if is_sign(s) and s.isascii() else " " for s in plain(text))
    return tuple(word for word in spaced.split() if any(s.isalnum() for s in word))


@lru_cache(maxsize=16384)
def _read(
    words: tuple[str, ...], year_now: int, codes: frozenset[str]
) -> tuple[InscriptionReading, ...]:
    if not words:
        return ()
    found: dict[tuple[object, ...], tuple[float, InscriptionReading]] = {}
    ways = [*_by_schemes(words, year_now), *_by_words(words, year_now, codes)]
    for score, reading in ways:
        parts = tuple(sorted((p.text, p.field) for p in reading.parts))
        key = (reading.issuer, parts, reading.country, reading.size_mm)
        if key not in found or found[key][0] < score:
            found[key] = (score, reading)
    ranked = sorted(found.values(), key=lambda way: -way[0])
    total = sum(math.exp(score - ranked[0][0]) for score, _ in ranked)
    best = ranked[:_MOST_READINGS]
    return tuple(
        _scored(reading, math.exp(score - ranked[0][0]) / total)
        for score, reading in best
    )


def _scored(reading: InscriptionReading, score: float) -> InscriptionReading:
    return InscriptionReading(
        reading.parts,
        score,
        reading.scheme,
        reading.ring_years,
        reading.size_mm,
        reading.closure,
        reading.why,
    )


_FIELD_OF = {
    "code": Field.FLOCK_CODE, "club": Field.ISSUER, "mixed": Field.FLOCK_CODE,
    "letter": Field.OTHER, "letters": Field.ISSUER, "digits": Field.SERIAL,
    "serial": Field.SERIAL, "member": Field.FLOCK_CODE, "yyyy": Field.RING_YEAR,
    "yy": Field.RING_YEAR, "y": Field.RING_YEAR, "size_mm": Field.SIZE,
    "ordinal": Field.SIZE, "size": Field.SIZE, "closure": Field.CLOSURE,
    "country2": Field.COUNTRY, "country3": Field.COUNTRY, "state": Field.OTHER,
    "station": Field.ISSUER,
}  # fmt: skip
_SAYS = {
    "code": "letters of the breeder or club",
    "club": "letters of the society",
    "mixed": "code of the breeder",
    "letters": "letters of the station and of the ring",
    "member": "the member's number",
    "state": "a state of the USA",
    "station": "letters of the station",
    "letter": "letter of a state",
}


def _by_schemes(
    words: tuple[str, ...], year_now: int
) -> list[tuple[float, InscriptionReading]]:
    """Readings by known ways of writing, the text beginning at any word."""
    found = []
    for turn in range(len(words)):
        turned = words[turn:] + words[:turn]
        for scheme in schemes():
            fields = scheme.match(turned)
            if fields is None:
                continue
            reading = _of_scheme(scheme, fields, year_now)
            if reading is not None:
                score = 0.2 + 0.9 * min(scheme.n_fixed, 4) - (1.2 if turn else 0.0)
                score -= 0.02 * _age(reading, year_now) + _rarity(reading)
                # A size in mm with O or G between is as good as a signature.
                score += 2.0 if reading.closure else 0.0
                found.append((score, reading))
    return found


def _age(reading: InscriptionReading, year_now: int) -> int:
    return max(year_now - reading.ring_years[0], 0) if reading.ring_years else 0


def _rarity(reading: InscriptionReading) -> float:
    written = [p.text for p in reading.parts if p.field is Field.COUNTRY]
    found = [c for text in written for c in countries_written(text)]
    return 1.5 if found and not found[0].is_common else 0.0


def _of_scheme(
    scheme: Scheme, fields: tuple[tuple[str, str], ...], year_now: int
) -> InscriptionReading | None:
    parts: list[Part] = []
    years: tuple[int, ...] = ()
    closure, size_mm = "", None
    for name, text in fields:
        field = _FIELD_OF.get(name, Field.ISSUER)
        says, value = _SAYS.get(name, ""), ""
        if name in ("yy", "yyyy", "y"):
            years = full_years(text, year_now)
            if not years:
                return None
            value = str(years[0]) if len(years) == 1 else ""
            says = "the year " + " or ".join(str(year) for year in sorted(years))
        elif name in ("country2", "country3"):
            countries = countries_written(text)
            if not countries or countries[0].how == "short form":
                return None
            says, value = countries[0].says, countries[0].alpha_2
        elif name == "closure":
            closure = "closed" if text == "G" else "open"
            says, value = f"{closure} ring", closure
        elif name == "size_mm":
            size_mm = float(text)
            says, value = f"inner diameter {size_mm:g} mm", text
        elif name in ("ordinal", "size"):
            size_mm, says = _size_in(scheme, text)
        elif name in ("serial", "digits"):
            says = "the number within its series"
        elif not name:
            says = scheme.meaning
        parts.append(Part(text, field, says, value))
    why = (f"Written as {scheme.name} rings are: {scheme.form}.",)
    return InscriptionReading(tuple(parts), 0.0, scheme, years, size_mm, closure, why)


_SERIES_OF = {"B": "BArtSchV", "Z": "BArtSchV", "G": "BArtSchV"}


def _size_in(scheme: Scheme, code: str) -> tuple[float | None, str]:
    """The size that a letter or ordinal stands for in this scheme, and in words."""
    start = "BArtSchV" if "(Germany)" in scheme.name else scheme.name.split(" (")[0]
    for size in series_size(code):
        if size.scheme.startswith(start) and size.inner_diameter_mm is not None:
            mm = size.inner_diameter_mm
            return mm, f"size {code}: inner diameter {mm:g} mm"
    return None, f"size letter {code}" if code.isalpha() else f"size code {code}"


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
