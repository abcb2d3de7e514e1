"""What a ring tells, in words: the parts of an answer, as text and as plain data."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from ledger.services.explain_words import NOTHING_READ

if TYPE_CHECKING:
    from collections.abc import Iterator


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
    certainty: str = ""
    """How sure the likeliest reading is, as a sentence."""
    notes: tuple[str, ...] = ()
    """What of the text could not be used, and why."""
    needs_photo: bool = False
    """A better photo, or more of them, would tell more."""

    def as_text(self) -> str:
        """For a person, section by section."""
        return "\n".join(self._lines())

    def _lines(self) -> Iterator[str]:
        yield f"Ring: {self.inscription or 'nothing legible'}"
        yield ""
        if self.certainty:
            yield f"  {self.certainty}"
        for part in self.parts:
            also = f" Or: {'; '.join(part.also)}." if part.also else ""
            yield f"  {part.text:<8} {part.field}: {part.says}.{also}"
        if self.issuer:
            yield f"  Written as rings of this kind are: {self.issuer}."
        if not self.parts:
            yield f"  {NOTHING_READ}"
        for title, said in self.sections():
            yield ""
            yield title
            yield from (f"  - {sentence}" for sentence in said)

    def sections(self) -> Iterator[tuple[str, tuple[str, ...]]]:
        """Title and sentences of all that follows the parts; empty ones left out."""
        others = tuple(f"{o.parts} ({o.share:.0%}). {o.why}" for o in self.others)
        for title, said in (
            ("Please note", self.notes),
            ("It may also be read as", others),
            ("Made", (self.closure,) if self.closure else ()),
            ("Hints", self.hints),
            ("What it proves", self.proves),
            ("What it does not prove", self.proves_not),
            ("Whom to ask", self.ask),
            ("Take care", self.cautions),
            ("Sources", self.sources),
        ):
            if said:
                yield title, said

    def as_json(self) -> dict[str, Any]:
        """Plain data for `--json`."""
        return {
            "inscription": self.inscription,
            "share": round(self.share, 4),
            "certainty": self.certainty,
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
            "notes": list(self.notes),
            "closure": self.closure,
            "hints": list(self.hints),
            "proves": list(self.proves),
            "proves_not": list(self.proves_not),
            "ask": list(self.ask),
            "cautions": list(self.cautions),
            "sources": list(self.sources),
        }
