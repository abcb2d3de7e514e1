"""Leave out what is hardly a character, at a line's ends above all.

A rim, a seam, a bright edge or half a letter at the limit of the view looks a
little like a character. In the middle of a line its neighbours vouch for a
place; at an end nothing does.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from ocr.characters import LETTERS_AND_DIGITS

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from ocr.reading import Glyph, Line

LEAST_AT_ALL = 0.2
"""What is less likely than this is left out wherever it stands: in the tuning
pictures and two sets of another make four such were none, and none was right."""
LEAST_AT_END = 0.35
"""A character that ends a line must be at least this likely."""
LEAST_OBLIQUE = 0.5
"""The same where the ring turns away from the camera."""
OBLIQUE_DEG = 62.0
LEAST_AT_SIDE = 0.9
"""The same at the very side, where a character is seen half and read as another."""
SIDE_DEG = 66.0


LEAST_JOINED = 0.8
"""In lines joined from several photos: so likely must any character at all stand at an
end. Photos may dispute whether it is an M or an N, and dirt is nothing in each. Of
seven bars from 0.3 to 0.9 the one that read most rings whole, in the tuning pictures
and eight sets of another make: 367 of 389; of bars for the likeliest name alone the
best, 0.6, read 365."""


LONE_JOINED = 0.9
"""A character that stands in a line alone must be this likely: dirt makes such."""


_FADES_FROM_DEG, _FADED_DEG, _FADED_TO = 58.0, 62.0, 0.95
"""Beyond 60 degrees 9 of 186 characters given 0.7 or more were wrong in the tuning
pictures and three other sets, and of those before it hardly one."""


def trimmed(lines: Iterable[Line]) -> tuple[Line, ...]:
    """Lines of one photo without what is hardly a character, and without empty lines.

    Characters where the ring turns away are believed less: they are narrow there,
    and the last one is often cut.
    """
    seen = (_without_unlikely(_faded(line)) for line in lines)
    return _trimmed(seen, lambda glyph: glyph.probability >= _least_in_photo(glyph))


def _without_unlikely(line: Line) -> Line:
    """A line without what is hardly a character; the place it stood in is blank."""
    kept: list[Glyph] = []
    blank = False
    for glyph in line.glyphs:
        if glyph.probability < LEAST_AT_ALL:
            blank = True
            continue
        kept.append(replace(glyph, gap_before=True) if blank and kept else glyph)
        blank = False
    return replace(line, glyphs=tuple(kept))


def _faded(line: Line) -> Line:
    return replace(line, glyphs=tuple(_fade(glyph) for glyph in line.glyphs))


def _fade(glyph: Glyph) -> Glyph:
    away = (abs(glyph.phi_deg) - _FADES_FROM_DEG) / (_FADED_DEG - _FADES_FROM_DEG)
    if away <= 0:
        return glyph
    kept = 1.0 + (_FADED_TO - 1.0) * min(away, 1.0)
    # Half of a character looks like another: what is lost is no empty place.
    chances = dict.fromkeys(LETTERS_AND_DIGITS, (1.0 - kept) * _stands(glyph) / 36)
    for sign, chance in _seen(glyph):
        chances[sign] = chances.get(sign, 0.0) + kept * chance
    likeliest = sorted(chances.items(), key=lambda item: -item[1])
    return replace(
        glyph, probability=chances[glyph.text], alternatives=tuple(likeliest)
    )


def _seen(glyph: Glyph) -> tuple[tuple[str, float], ...]:
    return glyph.alternatives or ((glyph.text, glyph.probability),)


def _stands(glyph: Glyph) -> float:
    """Chance that any character stands here."""
    return sum(chance for _, chance in _seen(glyph))


def trimmed_joined(lines: Iterable[Line]) -> tuple[Line, ...]:
    """Joined lines without unlikely ends, and without those of dirt."""
    kept = _trimmed(lines, lambda glyph: _stands(glyph) >= LEAST_JOINED)
    return tuple(line for line in kept if not _is_dirt(line))


def _is_dirt(line: Line) -> bool:
    letters = [g for g in line.glyphs if g.text not in ".-"]
    return len(letters) < 2 and all(g.probability < LONE_JOINED for g in letters)


def _trimmed(
    lines: Iterable[Line], kept_at_end: Callable[[Glyph], bool]
) -> tuple[Line, ...]:
    kept = []
    for line in lines:
        glyphs = list(line.glyphs)
        while glyphs and not kept_at_end(glyphs[0]):
            glyphs.pop(0)
        while glyphs and not kept_at_end(glyphs[-1]):
            glyphs.pop()
        if glyphs:
            kept.append(replace(line, glyphs=tuple(glyphs)))
    return tuple(kept)


def _least_in_photo(glyph: Glyph) -> float:
    away = abs(glyph.phi_deg)
    if away > SIDE_DEG:
        return LEAST_AT_SIDE
    return LEAST_OBLIQUE if away > OBLIQUE_DEG else LEAST_AT_END
