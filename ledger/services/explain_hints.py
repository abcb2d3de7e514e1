"""Hints to year, age and species: candidates, never certainties."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from ledger.errors import NotFoundError
from ledger.reference.longevity import longevity
from ledger.reference.ring_colours import years_of
from ledger.reference.ring_series import series_size
from ledger.reference.ring_sizes import all_ring_sizes, ring_size
from ledger.reference.species import scientific_name
from ledger.rings.priors import colour_name

if TYPE_CHECKING:
    from collections.abc import Iterator

    from ledger.domain.partial_date import PartialDate
    from ledger.rings.inscription_reading import InscriptionReading

_FITS_MM, _FITS_PART = 0.25, 0.06
"""How far a size may be off and still fit: common practice, no source."""
_MOST_SPECIES = 6
_QUARANTINE_ENDS = 1992
"""The Wild Bird Conservation Act ended the import of parrots to the USA: APHIS, "Bird
Leg Band Information"."""
_PARROTS = "Psittaciformes"


@dataclass(frozen=True)
class OwnerSays:
    """What whoever holds the bird says of it; nothing of it needs to be true."""

    species: str = ""
    hatched: PartialDate | None = None
    size_mm: float | None = None
    """Inner diameter as measured."""
    colour: str = ""
    """The ring's."""
    closure: str = ""
    """"closed", "split", "quarantine" (a screw or rivet), or "" where nobody looked."""


def hints(
    best: InscriptionReading | None,
    others: list[InscriptionReading],
    said: OwnerSays,
    year_now: int,
) -> Iterator[str]:
    """Sentences on year, age, size and species.

    Args:
        best: The likeliest reading.
        others: The other ones.
        said: What the owner says.
        year_now: This year.
    """
    years = {r.ring_year for r in (best, *others) if r and r.ring_year}
    if best and len(best.ring_years) > 1:
        named = ", ".join(str(year) for year in sorted(best.ring_years))
        yield f"Only the last digit of the year stands there: {named}."
    if said.colour:
        yield from _by_colour(said.colour, years)
    if best and best.size_code:
        yield from _by_size_code(best)
    yield from _by_size(best, said)
    if best:
        yield from _by_age(best, said, year_now)
    if said.species and said.hatched:
        yield from _by_longevity(said.species, year_now - said.hatched.year)


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
    if len(years) == 1 and not years & {one.year for one in found}:
        yield (
            f"None of these schemes had {name} in {min(years)}: year, colour or scheme "
            "is another. Many breeders choose colours freely."
        )
    yield "Colours come round again and differ by scheme: a colour is not a year."


def _by_size_code(best: InscriptionReading) -> Iterator[str]:
    sizes = series_size(best.size_code)
    known = [s for s in sizes if s.inner_diameter_mm is not None]
    if best.size_mm is None and known:
        named = "; ".join(f"{s.inner_diameter_mm:g} mm at {s.scheme}" for s in known)
        yield f"Size {best.size_code} means nothing without its scheme: {named}."


def _by_size(best: InscriptionReading | None, said: OwnerSays) -> Iterator[str]:
    printed = best.size_mm if best else None
    measured = said.size_mm
    if printed and measured and not _fits(measured - printed, printed):
        yield (
            f"The ring says {printed:g} mm, measured are {measured:g} mm: read it and "
            "measure it again; the inner diameter counts."
        )
    size_mm = measured or printed
    if size_mm is None:
        return
    if said.species:
        yield from _by_species(said.species, size_mm)
    else:
        yield from _species_of(size_mm)


def _by_species(species: str, size_mm: float) -> Iterator[str]:
    sizes = ring_size(species)
    if not sizes:
        yield f"No published ring size for “{species}” is at hand.{_meant(species)}"
        return
    size = sizes[0]
    span = f"{size.smallest_mm:g}"
    if size.largest_mm > size.smallest_mm:
        span += f" to {size.largest_mm:g}"
    off = size.off_by_mm(size_mm)
    if _fits(off, size.smallest_mm):
        yield f"A ring of {size_mm:g} mm fits this species: {span} mm is published."
    elif off > 0:
        yield (
            f"A ring of {size_mm:g} mm is too large for this species: {span} mm is "
            f"published ({size.source}). Species or ring may not be what they seem, "
            "and a ring that slips off over the foot proves less."
        )
    else:
        yield (
            f"A ring of {size_mm:g} mm is too small for this species: {span} mm is "
            f"published ({size.source}). Species or ring may not be what they seem. "
            "Look at the leg: if it is swollen or the ring does not turn, an avian "
            "vet must see it today."
        )
    if size.doubt:
        yield size.doubt


def _meant(species: str) -> str:
    """Names that sound like one that no table has, as a question."""
    try:
        scientific_name(species)
    except NotFoundError as error:
        return f" {error.hint}" if error.hint else ""
    return ""


def _fits(off_mm: float, of_mm: float) -> bool:
    return abs(off_mm) <= max(_FITS_MM, _FITS_PART * of_mm)


def _species_of(size_mm: float) -> Iterator[str]:
    """Parrots for which a ring of this size is published."""
    found = [
        size
        for size in all_ring_sizes()
        if size.order == _PARROTS
        and not size.doubt
        and size.smallest_mm <= size_mm <= size.largest_mm
    ]
    names = list(dict.fromkeys(s.english_name or s.scientific_name for s in found))
    if not names:
        return
    more = len(names) - _MOST_SPECIES
    also = f" and {more} more" if more > 0 else ""
    yield (
        f"{size_mm:g} mm is the published size of {', '.join(names[:_MOST_SPECIES])}"
        f"{also} ({found[0].source}). Say the species, and the size is held against it."
    )


def _by_age(best: InscriptionReading, said: OwnerSays, year_now: int) -> Iterator[str]:
    year = best.ring_year
    kind = best.scheme.kind if best.scheme else ""
    if kind == "quarantine":
        yield (
            f"If it is a quarantine ring, the bird was imported before "
            f"{_QUARANTINE_ENDS} and is over {year_now - _QUARANTINE_ENDS} years old."
        )
        if said.hatched and said.hatched.year > _QUARANTINE_ENDS:
            yield (
                f"Hatched in {said.hatched.year} and a quarantine ring do not go "
                "together: the letters may be a breeder's own."
            )
        return
    has_seam = said.closure in ("split", "quarantine")
    split = kind == "split" or best.closure == "open" or has_seam
    if year is None or split:
        return
    if not said.hatched:
        age = year_now - year
        if age > 0:
            yield (
                f"If {year} is the year of the ring and the ring is closed, the bird "
                f"is about {age} {'year' if age == 1 else 'years'} old."
            )
        return
    hatched = said.hatched.year
    if abs(hatched - year) > 1:
        which = "before" if hatched < year else "after"
        yield (
            f"The bird is said to have hatched in {hatched}, "
            f"{abs(hatched - year)} years {which} {year}, which the ring seems to "
            "say. A closed ring is put on in the first days of life: year, ring or "
            "hatching is not what it seems, or it is a split ring."
        )
    elif hatched != year:
        yield (
            f"Hatched in {hatched}, ring of {year}: that happens at the turn of a "
            "year and with rings left over."
        )
    else:
        yield f"Hatched in {hatched} goes together with a ring of {year}."


def _by_longevity(species: str, age: int) -> Iterator[str]:
    known = longevity(species)
    if known and age > known.longest_years:
        yield (
            f"{age} years are more than the {known.longest_years:g} that are on file "
            f"for this species ({known.source}). Records disagree, but ask how the "
            "age is known."
        )
