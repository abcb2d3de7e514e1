"""Leave out what stands at a line's ends and is hardly a character.

A rim, a seam, a bright edge or half a letter at the limit of the view looks a
little like a character. In the middle of a line its neighbours vouch for a
place; at an end nothing does.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

    from ocr.reading import Glyph, Line

LEAST_AT_END = 0.45
"""A character that ends a line must be at least this likely."""
LEAST_OBLIQUE = 0.8
"""The same where the ring turns away from the camera."""
OBLIQUE_DEG = 62.0


def trimmed(lines: Iterable[Line]) -> tuple[Line, ...]:
    """Lines without unlikely characters at their ends, and without empty lines."""
    kept = (_trim(line) for line in lines)
    return tuple(line for line in kept if line.glyphs)


def _trim(line: Line) -> Line:
    glyphs = list(line.glyphs)
    while glyphs and _is_weak(glyphs[0]):
        glyphs.pop(0)
    while glyphs and _is_weak(glyphs[-1]):
        glyphs.pop()
    return replace(line, glyphs=tuple(glyphs))


def _is_weak(glyph: Glyph) -> bool:
    oblique = abs(glyph.phi_deg) > OBLIQUE_DEG
    return glyph.probability < (LEAST_OBLIQUE if oblique else LEAST_AT_END)
