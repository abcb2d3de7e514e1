"""The table of characters in many typefaces that drawn rings are lettered from."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from ocr.characters import ALPHABET

if TYPE_CHECKING:
    from pathlib import Path

    from numpy.typing import NDArray

CAP = 64
"""Height of a capital in a cell, pixels."""
CELL = (80, 112)
"""Rows and columns of a cell."""
BASELINE = 72
"""Row on which characters stand in their cell."""
MIDDLE = (56, 40)
"""Column and row of the middle of a capital in its cell."""

_MOST_SLANT = 0.08
"""Columns per row by which an H may lean: rings are lettered upright."""
# Outlined, blackletter and wrongly lettered faces, by their files: no ring is
# lettered so.
_UNLIKE_RINGS = (
    "Jessen",
    "Hamlet",
    "Outline",
    "Havana",
    "It.",
    "_RI",
    "_I.",
    "_RBI",
    "BdIta",
    "ellenike",
    "ellenbold",
    "elleboli",
    "ellenita",
    "alfa-beta",
    "OCRBE",
    "OCRBX",
    "LinBiolinum_K",
)


def slant(cell: NDArray[np.uint8]) -> float:
    """Columns per row by which the ink of a (rows, columns) cell leans."""
    rows, columns = np.nonzero(cell > 100)
    if len(rows) == 0:
        return 0.0
    down = rows - rows.mean()
    return float((down * columns).sum() / max(float((down**2).sum()), 1.0))


class GlyphTable:
    """Pictures of characters in many typefaces, as `faces.py` packs them.

    Attributes:
        cells: (typefaces, characters, 80, 112) uint8 coverage, 255 inside strokes.
        advance: (typefaces, characters) width each takes in a line, pixels.
    """

    def __init__(self, path: Path | str) -> None:
        table = np.load(path)
        cells: NDArray[np.uint8] = table["cells"]
        keep = [
            i
            for i, name in enumerate(table["names"])
            if not any(part in name for part in _UNLIKE_RINGS)
            and abs(slant(cells[i, ALPHABET.index("H")])) < _MOST_SLANT
        ]
        self.cells: NDArray[np.uint8] = cells[keep]
        self.advance: NDArray[np.float32] = table["advance"][keep]

    def __len__(self) -> int:
        return len(self.cells)

    def glyph(self, face: int, label: int) -> tuple[NDArray[np.uint8], float]:
        """A character's (80, 112) cell and its advance in pixels."""
        return self.cells[face, label], float(self.advance[face, label])
