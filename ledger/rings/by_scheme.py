"""Readings of an inscription by issuers' known ways of writing."""

from __future__ import annotations

from ledger.reference.ring_series import series_size
from ledger.rings.countries import countries_written
from ledger.rings.fields import Field, Part, full_years
from ledger.rings.inscription_reading import InscriptionReading
from ledger.rings.schemes import Scheme, schemes

_FIELD_OF = {
    "code": Field.FLOCK_CODE, "club": Field.ISSUER, "mixed": Field.FLOCK_CODE,
    "letter": Field.OTHER, "letters": Field.ISSUER, "digits": Field.SERIAL,
    "serial": Field.SERIAL, "member": Field.FLOCK_CODE, "yyyy": Field.RING_YEAR,
    "yy": Field.RING_YEAR, "y": Field.RING_YEAR, "size_mm": Field.SIZE,
    "ordinal": Field.SIZE, "size": Field.SIZE, "closure": Field.CLOSURE,
    "country2": Field.COUNTRY, "country3": Field.COUNTRY, "state": Field.OTHER,
}  # fmt: skip
_SAYS = {
    "code": "letters of the breeder or club",
    "club": "letters of the society",
    "mixed": "code of the breeder",
    "letters": "letters of the station and of the ring",
    "member": "the member's number",
    "state": "a state of the USA",
    "letter": "letter of a state",
}


def by_schemes(
    words: tuple[str, ...], year_now: int, own: tuple[Scheme, ...] = ()
) -> list[tuple[float, InscriptionReading]]:
    """Readings by known ways of writing, the text beginning at any word.

    Args:
        words: Of the inscription.
        year_now: This year.
        own: Ways of writing that the keeper added.
    """
    found = []
    for turn in range(len(words)):
        turned = words[turn:] + words[:turn]
        for scheme in (*own, *schemes()):
            fields = scheme.match(turned)
            if fields is None:
                continue
            reading = _of_scheme(scheme, fields, year_now)
            if reading is not None:
                score = 0.2 + 0.9 * min(scheme.n_fixed, 4) - (1.2 if turn else 0.0)
                score += scheme.likely
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
        if name == "letters" and parts and not parts[-1].value:
            # `F` and `AB` stand there as one word, `FAB`.
            text, says = parts[-1].text + text, parts.pop().says
        parts.append(Part(text, field, says, value))
    why = (f"Written as {scheme.name} rings are: {scheme.form}.",)
    return InscriptionReading(tuple(parts), 0.0, scheme, years, size_mm, closure, why)


def _size_in(scheme: Scheme, code: str) -> tuple[float | None, str]:
    """The size that a letter or ordinal stands for in this scheme, and in words."""
    start = "BArtSchV" if "(Germany)" in scheme.name else scheme.name.split(" (")[0]
    for size in series_size(code):
        if size.scheme.startswith(start) and size.inner_diameter_mm is not None:
            mm = size.inner_diameter_mm
            return mm, f"size {code}: inner diameter {mm:g} mm"
    return None, f"size letter {code}" if code.isalpha() else f"size code {code}"
