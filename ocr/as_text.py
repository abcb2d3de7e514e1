"""A reading in lines for a person, and whether it can be relied on."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ocr.reading import Reading

RELIABLE = 0.5
"""A reading less likely right than wrong is a finding to look at."""


def is_reliable(reading: Reading) -> bool:
    """Whether there is a ring, something legible on it, and rather right than wrong."""
    return bool(reading.lines) and reading.confidence >= RELIABLE


def as_text(reading: Reading) -> list[str]:
    """The reading in lines for a person."""
    if not reading.ring_found:
        return ["No ring found.", *_doubts(reading)]
    text = [
        f"{line.text}  ({_percent(math.prod(g.probability for g in line.glyphs))})"
        for line in reading.lines
    ]
    if not text:
        text = ["A ring, but no characters could be read on it."]
    else:
        text.append(f"All of it right: {_percent(reading.confidence)}")
    ring = [reading.colour, "" if reading.closure == "unsure" else reading.closure]
    if any(ring):
        text.append(f"Ring: {', '.join(part for part in ring if part)}")
    return [*text, *_doubts(reading)]


def _doubts(reading: Reading) -> list[str]:
    """Every doubt once; those of one photo with its name where there are several."""
    several = len(reading.photos) > 1
    found = list(reading.doubts)
    for photo in reading.photos:
        for doubt in photo.doubts:
            if doubt not in reading.doubts:
                found.append(f"{photo.file}: {doubt}" if several else doubt)
    return [f"- {doubt}" for doubt in dict.fromkeys(found)]


def _percent(share: float) -> str:
    return f"{100 * share:.0f} %"
