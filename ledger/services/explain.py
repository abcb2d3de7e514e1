"""What an unfamiliar ring says, what it proves and what it does not.

Nothing here looks into the flock: a stranger is told about the ring alone.
"""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from ledger.domain.chip_code import chip_code
from ledger.errors import RuleError
from ledger.reference.ring_colours import years_of
from ledger.reference.ring_series import series_size
from ledger.reference.ring_sizes import ring_size
from ledger.rings.inscription import InscriptionReading, read_inscription
from ledger.rings.priors import colour_name
from ledger.services.explain_words import (
    CAUTIONS,
    NOTHING_READ,
    PROVES_NOT,
    asked_next,
    proofs,
)

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Iterator

    from ocr import Reading

_LEAST_SHARE = 0.01
_NO_DATE = 2030
"""Bound on ring years where no date is given."""


@dataclass(frozen=True)
class ExplainedPart:
    """One part of the inscription."""

    text: str
    field: str
    says: str
    also: tuple[str, ...] = ()
    """What else it may be."""


@dataclass(frozen=True)
class OtherReading:
    """Another way to read the whole."""

    parts: str
    """`text = field`, parted by commas."""
    share: float
    why: str


@dataclass(frozen=True)
class Explanation:
    """What a ring tells, in words."""

    inscription: str
    share: float
    """How much of all that the inscription can mean the likeliest reading has."""
    parts: tuple[ExplainedPart, ...]
    issuer: str
    """Who writes rings so; "" if that is not known."""
    others: tuple[OtherReading, ...]
    closure: str
    hints: tuple[str, ...]
    """Age by colour, size against species: candidates, never certainties."""
    proves: tuple[str, ...]
    proves_not: tuple[str, ...]
    ask: tuple[str, ...]
    cautions: tuple[str, ...]
    sources: tuple[str, ...]

    def as_text(self) -> str:
        """For a person, section by section."""
        lines = [f"Ring: {self.inscription or 'nothing legible'}", ""]
        for part in self.parts:
            also = f" Or: {'; '.join(part.also)}." if part.also else ""
            lines.append(f"  {part.text:<8} {part.field}: {part.says}.{also}")
        if self.issuer:
            lines.append(f"  Written as rings of this kind are: {self.issuer}.")
        if not self.parts:
            lines.append(f"  {NOTHING_READ}")
        others = [f"{o.parts} ({o.share:.0%})" for o in self.others]
        for title, said in (
            ("It may also be read as", others),
            ("Made", [self.closure] if self.closure else []),
            ("Hints", self.hints),
            ("What it proves", self.proves),
            ("What it does not prove", self.proves_not),
            ("Whom to ask", self.ask),
            ("Take care", self.cautions),
            ("Sources", self.sources),
        ):
            if said:
                lines += ["", title, *(f"  - {sentence}" for sentence in said)]
        return "\n".join(lines)

    def as_json(self) -> dict[str, Any]:
        """Plain data for `--json`."""
        return {
            "inscription": self.inscription,
            "share": round(self.share, 4),
            "parts": [
                {
                    "text": part.text,
                    "field": part.field,
                    "says": part.says,
                    "also": list(part.also),
                }
                for part in self.parts
            ],
            "issuer": self.issuer,
            "other_readings": [
                {"parts": o.parts, "share": round(o.share, 4), "why": o.why}
                for o in self.others
            ],
            "closure": self.closure,
            "hints": list(self.hints),
            "proves": list(self.proves),
            "proves_not": list(self.proves_not),
            "ask": list(self.ask),
            "cautions": list(self.cautions),
            "sources": list(self.sources),
        }


def explain(
    ring: str | Reading,
    *,
    today: dt.date | None = None,
    species: str = "",
    colour: str = "",
) -> Explanation:
    """Explain a ring from its inscription, or from what photos showed of it.

    Args:
        ring: The inscription as typed, lines parted by `/`, or a reading.
        today: No ring is of a year after the next.
        species: What the bird is said to be.
        colour: The ring's colour, where it was seen.
    """
    text = ring if isinstance(ring, str) else ring.text
    seen_closure = "unsure" if isinstance(ring, str) else ring.closure
    seen_colour = colour or ("" if isinstance(ring, str) else ring.colour)
    year_now = today.year if today else _NO_DATE
    readings = read_inscription(text, year_now=year_now)
    best = readings[0] if readings else None
    others = [r for r in readings[1:] if r.score >= _LEAST_SHARE]
    return Explanation(
        " ".join(text.split()),
        best.score if best else 0.0,
        tuple(_parts(best, others)) if best else (),
        f"{best.issuer}: {best.scheme.meaning}" if best and best.scheme else "",
        tuple(_other(reading) for reading in others[:5]),
        _closure_in_words(best, seen_closure),
        tuple(_hints(text, best, others, seen_colour, species)),
        proofs(best, seen_closure),
        PROVES_NOT,
        asked_next(best, others),
        CAUTIONS,
        _sources([reading for reading in (best, *others) if reading]),
    )


def _parts(
    best: InscriptionReading, others: list[InscriptionReading]
) -> Iterator[ExplainedPart]:
    for part in best.parts:
        also = {
            f"{other.field} ({other.says})": None
            for reading in others
            for other in reading.parts
            if other.text == part.text
            and (other.field, other.value) != (part.field, part.value)
        }
        yield ExplainedPart(part.text, str(part.field), part.says, tuple(also)[:4])


def _other(reading: InscriptionReading) -> OtherReading:
    parts = ", ".join(f"{part.text} = {part.field}" for part in reading.parts)
    named = f"{reading.issuer}: {parts}" if reading.issuer else parts
    return OtherReading(named, reading.score, " ".join(reading.why))


def _closure_in_words(best: InscriptionReading | None, seen: str) -> str:
    said = best.closure if best else ""
    kind = best.scheme.kind if best and best.scheme else ""
    words = {
        "closed": "Closed, as far as the photos show: no seam was seen all round.",
        "split": "Split: a seam is seen.",
    }.get(seen, "")
    if said:
        words = f"{words} The inscription says: {said}.".strip()
    elif kind and not words:
        words = f"Rings written so are {kind} rings; see whether there is a seam."
    return words or "Closed or split is not known: look for a seam all round."


def _hints(
    text: str,
    best: InscriptionReading | None,
    others: list[InscriptionReading],
    colour: str,
    species: str,
) -> Iterator[str]:
    if sum(sign.isdigit() for sign in text) == 15 and not any(map(str.isalpha, text)):
        yield "Fifteen digits are the code of an implanted chip, not of a ring."
        with suppress(RuleError):
            code = chip_code("".join(filter(str.isdigit, text)))
            yield " ".join((code.says, *code.warnings))
    years = {r.ring_year for r in (best, *others) if r and r.ring_year}
    if best and len(best.ring_years) > 1:
        named = ", ".join(str(year) for year in sorted(best.ring_years))
        yield f"Only the last digit of the year stands there: {named}."
    if colour:
        yield from _by_colour(colour, years)
    if best and best.size_code:
        yield from _by_size_code(best)
    if species and best and best.size_mm:
        yield from _by_species(species, best.size_mm)


def _by_colour(colour: str, years: set[int]) -> Iterator[str]:
    name = colour_name(colour)
    found = years_of(name)
    if not found:
        return
    by_scheme: dict[str, list[int]] = {}
    for one in found:
        by_scheme.setdefault(one.scheme, []).append(one.year)
    for scheme, of in by_scheme.items():
        fits = sorted(set(of) & years)
        fit = f"; {fits[0]} fits the inscription" if fits else ""
        named = ", ".join(map(str, sorted(of)))
        yield f"{name.capitalize()} was the colour of {named} at {scheme}{fit}."
    yield "Colours come round again and differ by scheme: a colour is not a year."


def _by_size_code(best: InscriptionReading) -> Iterator[str]:
    sizes = series_size(best.size_code)
    known = [s for s in sizes if s.inner_diameter_mm is not None]
    if best.size_mm is None and known:
        named = "; ".join(f"{s.inner_diameter_mm:g} mm at {s.scheme}" for s in known)
        yield f"Size {best.size_code} means nothing without its scheme: {named}."


def _by_species(species: str, size_mm: float) -> Iterator[str]:
    sizes = ring_size(species)
    if not sizes:
        yield f"No published ring size for “{species}” is at hand."
        return
    size = sizes[0]
    span = f"{size.smallest_mm:g}"
    if size.largest_mm > size.smallest_mm:
        span += f" to {size.largest_mm:g}"
    off = size.off_by_mm(size_mm)
    if abs(off) < 0.5:
        yield f"A ring of {size_mm:g} mm fits this species: {span} mm is published."
    else:
        word = "large" if off > 0 else "small"
        yield (
            f"A ring of {size_mm:g} mm is too {word} for this species: {span} mm is "
            f"published ({size.source}). Species or ring may not be what they seem."
        )
    if size.doubt:
        yield size.doubt


def _sources(readings: list[InscriptionReading]) -> tuple[str, ...]:
    named = {reading.scheme.source: None for reading in readings if reading.scheme}
    return tuple(named)
