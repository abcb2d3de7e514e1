"""One photo's characters as they may lie: upright or not, with both rims or not."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from ocr.characters import ALPHABET
from ocr.glyphs import informative, reread
from ocr.shape import fits

if TYPE_CHECKING:
    from collections.abc import Iterable

    from numpy.typing import NDArray

    from ocr.reading import Direction, PhotoReading

Key = tuple[int, bool, int]
"""Photo, turned, and the rim taken for right."""

_OUTSIDE = 0.06
"""As a share of its height: what lies further beyond the ring is not on it."""
_TURNED: dict[Direction, Direction] = {
    "around": "around",
    "axial_up": "axial_down",
    "axial_down": "axial_up",
}


@dataclass(frozen=True)
class Sighting:
    """One character in one photo."""

    photo: int
    phi_deg: float
    height: float
    width_deg: float
    height_span: float
    direction: Direction
    chances: NDArray[np.float64]
    """(len(ALPHABET),), summing to at most 1."""
    gap_before: bool | None
    """Whether a word gap stands before it; None where it is the first seen."""
    votes: tuple[tuple[str, str], ...]
    begins: bool = False
    """The first of its line, with empty metal in view before it."""
    ends: bool = False
    """The last of its line, with empty metal in view after it."""


@dataclass(frozen=True)
class View:
    """One photo's characters, one way up."""

    photo: int
    turned: bool
    sightings: tuple[Sighting, ...]
    rim: int = 0
    """1 or -1 where heights are counted from the lower or the upper rim and the
    other is taken for wrong; 0: both are taken for right."""

    @property
    def key(self) -> Key:
        """What tells it from the other views of all photos."""
        return self.photo, self.turned, self.rim


def views_of(number: int, photo: PhotoReading, aspect: float = 0.0) -> tuple[View, ...]:
    """The ways in which a photo's characters may lie, the likeliest first.

    As read and, where its text does not tell, upside down too. A rim that a finger
    hides, or that feathers hide, is sought too far in or out: where the ring's shape
    says so, heights are counted anew from either rim.

    Args:
        number: Of the photo.
        photo: As read.
        aspect: The ring's height over its diameter in most photos; 0: not known.
    """
    ways = _ways_up(number, photo)
    high = photo.aspect / aspect if photo.aspect and aspect else 1.0
    if fits(high):
        return ways
    return (*ways, *(_from_rim(view, high, rim) for view in ways for rim in (1, -1)))


def _from_rim(view: View, high: float, rim: int) -> View:
    kept = []
    for s in view.sightings:
        height = s.height * high if rim > 0 else 1.0 - (1.0 - s.height) * high
        if -_OUTSIDE < height < 1.0 + _OUTSIDE:
            kept.append(replace(s, height=height, height_span=s.height_span * high))
    return replace(view, sightings=tuple(kept), rim=rim)


def _ways_up(number: int, photo: PhotoReading) -> tuple[View, ...]:
    sightings = tuple(
        Sighting(
            number,
            g.phi_deg,
            g.height,
            g.width_deg,
            g.height_span,
            line.direction,
            _vector(g.alternatives or ((g.text, g.probability),)),
            g.gap_before if n else None,
            g.votes,
            begins=n == 0 and not line.cut_start,
            ends=n == len(line.glyphs) - 1 and not line.cut_end,
        )
        for line in photo.lines
        for n, g in enumerate(line.glyphs)
    )
    upright = View(number, False, sightings)
    told = sum(
        float(s.chances.max()) * informative(s.chances.astype(np.float32))
        for s in sightings
        if s.direction == "around"
    )
    if told > 1.0 or not sightings:
        return (upright,)
    turned = tuple(_half_turn(s) for s in sightings)
    return (upright, View(number, True, turned))


def _vector(alternatives: Iterable[tuple[str, float]]) -> NDArray[np.float64]:
    chances = np.zeros(len(ALPHABET))
    for character, chance in alternatives:
        chances[ALPHABET.index(character)] = chance
    return chances


def _half_turn(s: Sighting) -> Sighting:
    chances = s.chances
    if s.direction == "around":  # characters along the leg turn with their line
        chances = reread(chances.astype(np.float32), 180, 0).astype(np.float64)
    return replace(
        s,
        phi_deg=-s.phi_deg,
        height=1.0 - s.height,
        direction=_TURNED[s.direction],
        begins=s.ends,
        ends=s.begins,
        chances=chances,
    )
