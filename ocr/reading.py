"""What a reading is: characters with place, certainty and alternatives.

Angles are degrees round the ring with the text upright for the reader of the
strip: 0 faces the camera, positive to the right. Heights run from 0 at the
strip's lower rim to 1 at its upper rim.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import Enum
from typing import TYPE_CHECKING, Any, Literal

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

Direction = Literal["around", "axial_up", "axial_down"]
Closure = Literal["closed", "split", "unsure"]


class Stage(Enum):
    """The steps of a reading, in order, in words for the keeper."""

    OPEN = "Opening the photo"
    LOCATE = "Finding the ring"
    UNWRAP = "Unrolling the ring"
    READ = "Reading the characters"
    JOIN = "Joining the photos"


@dataclass(frozen=True)
class Glyph:
    """One character as seen."""

    text: str
    """The likeliest character, one of A-Z, 0-9, `.`, `-`."""
    probability: float
    """Calibrated chance that `text` is right, 0..1."""
    alternatives: tuple[tuple[str, float], ...] = ()
    """All likely characters with their chances, likeliest first, `text` included.
    The chances sum to at most 1; what is missing is "something else"."""
    phi_deg: float = 0.0
    """Where round the ring its centre lies."""
    height: float = 0.5
    """Where between the rims its centre lies, 0..1."""
    width_deg: float = 0.0
    """Its extent round the ring, degrees."""
    height_span: float = 0.0
    """Its extent between the rims, as a fraction of the ring's height."""
    gap_before: bool = False
    """A word gap stands before it in its line."""
    votes: tuple[tuple[str, str], ...] = ()
    """What each reader said here: (reader, character); "" for nothing."""


@dataclass(frozen=True)
class Line:
    """Characters in reading order."""

    glyphs: tuple[Glyph, ...]
    direction: Direction = "around"
    cut_start: bool = False
    """The line may go on before its first character, out of view."""
    cut_end: bool = False
    """The line may go on after its last character, out of view."""

    @property
    def text(self) -> str:
        """The likeliest text, word gaps as one space."""
        parts = [
            (" " if g.gap_before and i else "") + g.text
            for i, g in enumerate(self.glyphs)
        ]
        return "".join(parts)


@dataclass(frozen=True)
class PhotoReading:
    """What one photo showed."""

    file: str
    ring_found: bool
    outline: tuple[tuple[float, float], ...] = ()
    """Visible face of the ring, both rims followed, in pixels of the stored picture."""
    lines: tuple[Line, ...] = ()
    confidence: float = 0.0
    """Chance that every character of `lines` is right, 0..1."""
    seconds: float = 0.0
    doubts: tuple[str, ...] = ()
    """What is uncertain, and what would help, as sentences."""
    closure: Closure = "unsure"
    colour: str = ""
    """The ring's colour by name; empty when the picture does not tell."""
    aspect: float = 0.0
    """The ring's height over its outer diameter; 0 when unknown."""
    strip: NDArray[np.uint8] | None = field(default=None, compare=False, repr=False)
    """(H, W, 3) uint8 BGR: the ring unrolled, equal angle per pixel, text upright."""
    strip_span_deg: float = 0.0
    """Degrees of the ring that the strip's width shows, centred on 0."""


@dataclass(frozen=True)
class Reading:
    """What all photos of one ring showed together."""

    photos: tuple[PhotoReading, ...]
    lines: tuple[Line, ...] = ()
    confidence: float = 0.0
    closed_circle: bool = False
    """The whole way round was seen."""
    unseen_deg: float = 360.0
    """How much of the circle no photo showed."""
    closure: Closure = "unsure"
    colour: str = ""
    doubts: tuple[str, ...] = ()
    fits_one_way: bool = True
    """The photos lie round the ring in one way only; if not, a character that
    repeats may be missing from the text, or stand in it twice."""

    @property
    def ring_found(self) -> bool:
        """At least one photo shows a ring."""
        return any(photo.ring_found for photo in self.photos)

    @property
    def text(self) -> str:
        """The inscription, lines parted by ` / `."""
        return " / ".join(line.text for line in self.lines)

    def as_json(self) -> dict[str, Any]:
        """The reading as plain data for `--json`, in the published form."""
        return {
            "photos": [
                {
                    "file": p.file,
                    "ring_found": p.ring_found,
                    "outline": [[round(x, 1), round(y, 1)] for x, y in p.outline],
                    "lines": [line.text for line in p.lines],
                    "confidence": round(p.confidence, 4),
                    "seconds": round(p.seconds, 3),
                    "doubts": list(p.doubts),
                }
                for p in self.photos
            ],
            "inscription": {
                "lines": [line.text for line in self.lines],
                "text": self.text,
                "confidence": round(self.confidence, 4),
                "closed_circle": self.closed_circle,
            },
            "ring": {"closure": self.closure, "colour": self.colour},
            "doubts": list(self.doubts),
        }
