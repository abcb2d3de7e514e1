"""Bring the rows of text of several photos of one ring to the same heights.

Where a rim is hidden or cut off by the picture's edge, the ring seems lower or
higher than it is, and its rows with it. But the top row is the top row in every
photo: rows are told by their order.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Sequence

    from ocr.reading import Line, PhotoReading

_ONE_ROW = 0.14
"""Lines whose heights differ by less stand in one row, as a share of the ring."""


def levelled(photos: Sequence[PhotoReading]) -> list[PhotoReading]:
    """The photos with rows of the same rank at the same height.

    Only photos that show as many rows as most are moved; with one row there is
    nothing to tell them by.
    """
    rows = [_rows(photo.lines) for photo in photos]
    counts = [len(heights) for heights in rows if len(heights) > 1]
    if not counts:
        return list(photos)
    usual = max(set(counts), key=counts.count)
    whole = [heights for heights in rows if len(heights) == usual]
    level = np.median(np.array(whole), axis=0)
    return [
        _moved(photo, heights, level) if len(heights) == usual else photo
        for photo, heights in zip(photos, rows, strict=True)
    ]


def _height(line: Line) -> float:
    return float(np.mean([glyph.height for glyph in line.glyphs]))


def _rows(lines: Sequence[Line]) -> list[float]:
    """Heights of the rows of text round the ring, from the top."""
    heights = sorted(
        (_height(line) for line in lines if line.direction == "around"), reverse=True
    )
    rows: list[list[float]] = []
    for height in heights:
        if rows and rows[-1][0] - height < _ONE_ROW:
            rows[-1].append(height)
        else:
            rows.append([height])
    return [float(np.mean(row)) for row in rows]


def _moved(
    photo: PhotoReading, heights: Sequence[float], level: Sequence[float]
) -> PhotoReading:
    lines = []
    for line in photo.lines:
        if line.direction == "around":
            rank = int(np.argmin([abs(_height(line) - h) for h in heights]))
            by = float(level[rank]) - heights[rank]
            line = replace(
                line,
                glyphs=tuple(replace(g, height=g.height + by) for g in line.glyphs),
            )
        lines.append(line)
    return replace(photo, lines=tuple(lines))
