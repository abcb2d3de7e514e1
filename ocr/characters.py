"""Characters of a strip, found and named by the network."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

ALPHABET = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ.-"
"""The characters that rings carry, in the order of the probabilities."""

Turn = Literal[0, 90, 180, 270]


@dataclass(frozen=True)
class RawGlyph:
    """One character as the network found it, before lines are known."""

    probabilities: NDArray[np.float32] = field(compare=False)
    """(len(ALPHABET),) chances of each character."""
    x: float
    """Centre, pixels of the strip from its left edge."""
    y: float
    """Centre, pixels of the strip from its top edge."""
    w: float
    """Extent along the strip, pixels."""
    h: float
    """Extent across the strip, pixels."""
    turn: Turn
    """How far it is turned counter-clockwise from upright in the strip, degrees."""
    score: float
    """Chance that a character stands here at all, 0..1."""
