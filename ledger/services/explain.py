"""What an unfamiliar ring says, what it proves and what it does not.

Nothing here looks into the flock: a stranger is told about the ring alone.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from ledger import paths
from ledger.rings.fields import Field
from ledger.rings.inscription import InscriptionReading, read_inscription
from ledger.rings.own_schemes import OwnSchemes, read_own_schemes
from ledger.services.explain_hints import OwnerSays, hints
from ledger.services.explain_typed import chip_in, chip_trouble, sort_typed
from ledger.services.explain_words import (
    CAUTIONS,
    CHIP_ASK,
    CHIP_PROVES,
    CHIP_PROVES_NOT,
    PROVES_NOT,
    asked_next,
    certainty,
    closure_in_words,
    proofs,
)
from ledger.services.explanation import ExplainedPart, Explanation, OtherReading

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Iterable, Iterator

    from ledger.domain.chip_code import ChipCode
    from ledger.domain.partial_date import PartialDate
    from ocr import Reading

__all__ = ["Explanation", "explain", "own_schemes"]

_LEAST_SHARE = 0.01
_MOST_OTHERS = 5
_NO_DATE = 2030
"""Bound on ring years where no date is given."""
_UNLISTED = 0.03
"""Share kept for issuers whose way of writing stands in no table: common practice,
no source. So nothing is ever certain."""
_AGAINST = 0.1
"""What is left of a reading whose kind of ring is not the kind that was seen."""


def own_schemes() -> OwnSchemes:
    """The ways of writing that the keeper added, in the folder of the program."""
    return read_own_schemes(paths.own_schemes_file())


def explain(
    ring: str | Reading,
    *,
    today: dt.date | None = None,
    species: str = "",
    colour: str = "",
    hatched: PartialDate | None = None,
    size_mm: float | None = None,
    closure: str = "",
    own: OwnSchemes | None = None,
) -> Explanation:
    """Explain a ring from its inscription, or from what photos showed of it.

    Args:
        ring: The inscription as typed, lines parted by `/`, or a reading.
        today: No ring is of a year after the next.
        species: What the bird is said to be.
        colour: The ring's colour, where it was seen.
        hatched: When the bird is said to have hatched.
        size_mm: Inner diameter as measured.
        closure: "closed", "split", or "quarantine" for one shut by a screw or rivet,
            where a person looked.
        own: Ways of writing beside the table's; None: the keeper's file of them.
    """
    text = ring if isinstance(ring, str) else ring.text
    seen = closure or ("unsure" if isinstance(ring, str) else ring.closure)
    said = OwnerSays(
        species.strip(),
        hatched,
        size_mm,
        colour or ("" if isinstance(ring, str) else ring.colour),
        seen,
    )
    chip = chip_in(text)
    if chip is not None:
        return _of_chip(text, chip)
    own = own if own is not None else own_schemes()
    year_now = today.year if today else _NO_DATE
    typed = sort_typed(text, year_now)
    readings = _weighed(
        read_inscription(typed.legible, year_now=year_now, own=own.schemes), seen
    )
    best = readings[0] if readings else None
    if best and all(part.field is Field.OTHER for part in best.parts):
        best = replace(best, score=0.0)
    others = [r for r in readings[1:] if r.score >= _LEAST_SHARE]
    doubts = () if isinstance(ring, str) else ring.doubts
    trouble = chip_trouble(text)
    return Explanation(
        _shown(text),
        best.score if best else 0.0,
        (*(_parts(best, others) if best else ()), *typed.unread),
        f"{best.issuer}: {best.scheme.meaning}" if best and best.scheme else "",
        tuple(_others(others, best)),
        closure_in_words(best, seen),
        tuple(hints(best, others, said, year_now)),
        proofs(best, seen),
        PROVES_NOT,
        asked_next(best, others),
        CAUTIONS,
        _sources([reading for reading in (best, *others) if reading]),
        certainty(best.score) if best else "",
        (*typed.notes, *([trouble] if trouble else []), *doubts, *own.troubles),
        needs_photo=best is None or bool(typed.unread or doubts),
    )


def _of_chip(text: str, chip: ChipCode) -> Explanation:
    """A chip's code that was typed as a ring: say so, and what it says."""
    says = " ".join((chip.says, *chip.warnings))
    forms = {
        "15 digits": chip.text,
        "with a dot": chip.iso.dotted if chip.iso else "",
    }
    written = ", ".join(f"{name} {code}" for name, code in forms.items() if code)
    return Explanation(
        _shown(text),
        1.0 - _UNLISTED,
        (ExplainedPart(chip.text, "chip code", f"by {chip.kind}; {written}"),),
        "",
        (),
        "",
        (
            "This is the code of an implanted chip, not of a ring. Fifteen digits, or "
            "one of the three hexadecimal forms of ISO 11784, stand on no ring that we "
            "know of.",
            says,
        ),
        CHIP_PROVES,
        (*CHIP_PROVES_NOT, *PROVES_NOT),
        CHIP_ASK,
        CAUTIONS,
        ("ISO 11784:1996; ISO 3166-1 for countries",),
        "Most likely:",
    )


def _weighed(
    readings: Iterable[InscriptionReading], seen: str
) -> list[InscriptionReading]:
    """The readings with what was seen of the ring counted in, likeliest first."""
    weights = [(r.score * (_AGAINST if _speaks_against(r, seen) else 1.0), r)
               for r in readings]  # fmt: skip
    total = sum(weight for weight, _ in weights)
    weights.sort(key=lambda pair: -pair[0])
    return [
        replace(reading, score=weight / total * (1.0 - _UNLISTED))
        for weight, reading in weights
    ]


def _speaks_against(reading: InscriptionReading, seen: str) -> bool:
    kind = reading.scheme.kind if reading.scheme else ""
    if seen == "closed":
        return kind in ("split", "quarantine") or reading.closure == "open"
    if seen in ("split", "quarantine"):
        return kind == "closed" or reading.closure == "closed"
    return False


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


def _others(
    others: list[InscriptionReading], best: InscriptionReading | None
) -> Iterator[OtherReading]:
    for reading in others[:_MOST_OTHERS]:
        parts = ", ".join(f"{part.text} = {part.field}" for part in reading.parts)
        named = f"{reading.issuer}: {parts}" if reading.issuer else parts
        yield OtherReading(named, reading.score, _why(reading))
    if best:
        yield OtherReading(
            "a way of writing that stands in no table here",
            _UNLISTED,
            "Anyone can order rings with letters and digits of their own.",
        )


def _why(reading: InscriptionReading) -> str:
    """Why it may be read so, as a sentence."""
    if reading.scheme:
        return f"Then it is {reading.scheme.meaning}."
    said = [f"{part.text}: {part.says}" for part in reading.parts]
    return f"Then {'; '.join(said)}."


def _shown(text: str) -> str:
    text = " ".join(text.split())
    return text if len(text) <= _LONGEST else f"{text[:_LONGEST]}…"


_LONGEST = 60


def _sources(readings: list[InscriptionReading]) -> tuple[str, ...]:
    named = {
        reading.scheme.source: None
        for reading in readings
        if reading.scheme and reading.scheme.source
    }
    return tuple(named)
