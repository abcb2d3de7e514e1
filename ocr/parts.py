"""The steps of a reading that trials exchange for others."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from ocr import tesseract

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from pathlib import Path

    import numpy as np
    from numpy.typing import NDArray

    from ocr.characters import RawGlyph
    from ocr.locate import RingPose
    from ocr.photo import Photo
    from ocr.unwrap import Strip


@dataclass(frozen=True)
class Parts:
    """The steps that need trained files or the picture's geometry, exchangeable."""

    open_photo: Callable[[Path], Photo]
    find_ring: Callable[..., RingPose | None]
    unwrap: Callable[..., Strip]
    find_characters: Callable[[Sequence[NDArray[np.uint8]]], list[list[RawGlyph]]]
    read_pages: Callable[[Sequence[NDArray[np.uint8]]], tesseract.Answers]


def real_parts() -> Parts:
    """The steps as shipped."""
    from ocr.characters import find_characters
    from ocr.locate import find_ring
    from ocr.photo import open_photo
    from ocr.unwrap import unwrap

    return Parts(open_photo, find_ring, unwrap, find_characters, tesseract.read_pages)
