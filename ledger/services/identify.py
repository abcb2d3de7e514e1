"""Which bird: from a typed fragment or a reading of photos to ranked birds."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any

from ledger.rings.evidence import Evidence, Expectation, parse_fragment
from ledger.rings.look_next import look_next
from ledger.rings.matcher import rank
from ledger.rings.why import why

if TYPE_CHECKING:
    from typing import Literal

    from ledger.domain.flock import Flock
    from ledger.rings.candidate import Verdict
    from ocr import Reading


@dataclass(frozen=True)
class Candidate:
    """A bird that the ring may belong to."""

    bird: str | None
    """Bird id; None for a ring of ours that is on no bird."""
    ring: str
    """Inscription on record."""
    probability: float
    why: str
    ring_id: str = ""
    name: str = ""
    """What the bird is called; "" for a ring on no bird."""


@dataclass(frozen=True)
class Identification:
    """The birds a ring may belong to, and what to look at next."""

    verdict: Verdict
    candidates: tuple[Candidate, ...]
    look_next: str
    none_of_ours: float = 0.0
    """Chance that it is no ring of ours at all."""
    n_left: int = 0
    """How many birds are left; may be more than are listed."""
    reading: dict[str, Any] = field(default_factory=dict)
    """What was read, as plain data."""

    def as_json(self) -> dict[str, Any]:
        """Plain data for `--json`, in the published form."""
        return {
            "verdict": self.verdict,
            "candidates": [
                {
                    "bird": one.bird,
                    "ring": one.ring,
                    "probability": round(one.probability, 4),
                    "why": one.why,
                }
                for one in self.candidates
            ],
            "look_next": self.look_next,
            "reading": self.reading,
        }


def by_text(
    flock: Flock,
    fragment: str,
    *,
    leg: Literal["left", "right"] | None = None,
    colour: str | None = None,
    at: str | None = None,
) -> Identification:
    """Rank the birds by what a keeper could read.

    Args:
        flock: Whose rings are compared.
        fragment: `?` for one character not read, `*` for any run of them, ` / `
            between lines; case and spaces as they come.
        leg: The bird's own left or right.
        colour: The ring's colour.
        at: Where the bird was seen.
    """
    lines = parse_fragment(fragment)
    seen = _with(Evidence(lines, typed=True), leg, colour, at)
    return _identified(flock, seen, _typed(seen))


def by_reading(
    flock: Flock,
    reading: Reading,
    *,
    leg: Literal["left", "right"] | None = None,
    colour: str | None = None,
    at: str | None = None,
    expected: Expectation | None = None,
) -> Identification:
    """Rank the birds by what photos showed; what the keeper says counts more.

    Args:
        flock: Whose rings are compared.
        reading: As read, or as the keeper corrected it.
        leg: The bird's own left or right.
        colour: The ring's colour, in place of what the photos showed.
        at: Where the bird was seen.
        expected: On a walk-through: who should be there.
    """
    from ledger.services.ring_reading import evidence

    seen = _with(evidence(reading), leg, colour, at)
    seen = replace(seen, expected=expected)
    return _identified(flock, seen, reading.as_json())


def rerank(flock: Flock, evidence: Evidence) -> Identification:
    """Rank the birds by evidence put together by the caller."""
    return _identified(flock, evidence, _typed(evidence))


def _with(
    seen: Evidence,
    leg: Literal["left", "right"] | None,
    colour: str | None,
    at: str | None,
) -> Evidence:
    return replace(
        seen, leg=leg, colour=colour or seen.colour, location=at or seen.location
    )


def _identified(
    flock: Flock, seen: Evidence, reading: dict[str, Any]
) -> Identification:
    ranking = rank(flock, seen)
    candidates = tuple(
        Candidate(
            one.bird.id if one.bird else None,
            one.ring.inscription,
            one.probability,
            why(one, seen, ranking.year_now),
            one.ring.id,
            one.bird.title if one.bird else "",
        )
        for one in ranking.candidates
    )
    return Identification(
        ranking.verdict,
        candidates,
        look_next(ranking, seen, flock),
        ranking.none_of_ours,
        ranking.n_left,
        reading,
    )


def _typed(seen: Evidence) -> dict[str, Any]:
    """Typed characters in the form of a reading, so that callers need one form."""
    return {
        "photos": [],
        "inscription": {
            "lines": [line.text for line in seen.lines],
            "text": seen.text,
            "confidence": 1.0 if seen.typed else 0.0,
            "closed_circle": False,
        },
        "ring": {"closure": seen.closure, "colour": seen.colour},
        "doubts": [],
    }
