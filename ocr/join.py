"""Two to six photos of one ring into one inscription round the circle."""

from __future__ import annotations

import itertools
import math
from typing import TYPE_CHECKING

from ocr.aligned import aligned
from ocr.circle import covered_deg
from ocr.doubts import doubts_of_lines
from ocr.fuse import spots_of
from ocr.inscription import lines_of
from ocr.placing import place
from ocr.reading import Closure, PhotoReading, Reading
from ocr.rows import levelled
from ocr.trim import trimmed_joined
from ocr.twins import settled

if TYPE_CHECKING:
    from collections.abc import Sequence

    from ocr.placing import Placement
    from ocr.reading import Line

_UNCLEAR_MARGIN = 2.3
"""Below this many nats another placement is nearly as likely (one in ten)."""
_ONE_VIEW = (
    "One photo shows a part of the ring only: turn the leg a third and take another."
)
_OTHER_RING_ASPECT = 1.45


def join(photos: Sequence[PhotoReading]) -> Reading:
    """What all photos of one ring showed together.

    Args:
        photos: Readings of single photos, in any order, whichever way up.
    """
    rings = [p for p in photos if p.ring_found]
    texts = [p for p in rings if p.lines]
    closure, colour = _closure(rings), _colour(rings)
    if len(texts) < 2:
        lines = texts[0].lines if texts else ()
        unseen = 360.0 - sum(covered_deg([0.0])) if rings else 360.0
        return Reading(
            photos=tuple(photos),
            lines=lines,
            confidence=texts[0].confidence if texts else 0.0,
            unseen_deg=unseen,
            closure=_checked_closure(closure, False),
            colour=colour,
            doubts=(
                *(d for p in rings for d in p.doubts),
                *((_ONE_VIEW,) if texts else ()),
                *_doubts_of_photos(photos),
            ),
        )
    placement = aligned(place(levelled(texts)))
    linked = len(set(placement.part)) == 1
    seen = covered_deg(placement.rotation_deg)
    unseen = float(360 - sum(seen))
    lines = trimmed_joined(settled(lines_of(spots_of(placement), seen)))
    circle = linked and unseen <= 3.0
    return Reading(
        photos=tuple(photos),
        lines=lines,
        confidence=_joined_confidence(lines, placement, linked),
        closed_circle=circle,
        unseen_deg=unseen,
        closure=_checked_closure(closure, circle),
        colour=colour,
        doubts=(
            *_doubts_of_joining(texts, placement, unseen),
            *doubts_of_lines(lines),
            *_doubts_of_photos(photos),
        ),
        fits_one_way=linked and placement.margin >= _UNCLEAR_MARGIN,
    )


def _joined_confidence(
    lines: Sequence[Line], placement: Placement, linked: bool
) -> float:
    chance = math.prod(g.probability for line in lines for g in line.glyphs)
    if not linked:
        chance *= 0.5
    margin = placement.margin
    return chance * (1.0 / (1.0 + math.exp(-margin)) if math.isfinite(margin) else 1.0)


def _closure(rings: Sequence[PhotoReading]) -> Closure:
    """Split where any photo shows the seam; else what the photos agree on."""
    kinds = {p.closure for p in rings}
    if "split" in kinds:
        return "split"
    return "closed" if kinds == {"closed"} else "unsure"


def _checked_closure(closure: Closure, circle: bool) -> Closure:
    """A ring is closed only if no part of it could hide the seam."""
    return "unsure" if closure == "closed" and not circle else closure


def _colour(rings: Sequence[PhotoReading]) -> str:
    names = [p.colour for p in rings if p.colour]
    best = max(names, key=names.count, default="")
    return best if names.count(best) * 2 >= len(names) else ""


def _doubts_of_photos(photos: Sequence[PhotoReading]) -> tuple[str, ...]:
    missing = [p.file for p in photos if not p.ring_found]
    if len(missing) == len(photos):
        return ("No ring was found. Come nearer, and let the ring fill the picture.",)
    return tuple(f"No ring was found in {name}; it was left out." for name in missing)


def _doubts_of_joining(
    texts: Sequence[PhotoReading], placement: Placement, unseen: float
) -> list[str]:
    doubts = []
    parts = len(set(placement.part))
    other = _other_ring(texts)
    if other:
        doubts.append(other)
    if parts > 1 and _too_much_for_one_ring(placement):
        doubts.append(
            "The photos do not fit together round one ring: are they all of it?"
        )
    elif parts > 1:
        doubts.append(
            "Some photos share no characters, so the order of their parts is a guess; "
            "take one more between them."
        )
    elif placement.margin < _UNCLEAR_MARGIN:
        doubts.append(
            "The photos fit together in more than one way; take one more between them."
        )
    if unseen > 30:
        doubts.append(
            f"No photo shows {unseen:.0f} degrees of the ring: turn the leg a third "
            "and take another."
        )
    return doubts


def _too_much_for_one_ring(placement: Placement) -> bool:
    """Parts that share nothing would reach further than once round."""
    shown = 0
    for number in set(placement.part):
        turns = zip(placement.rotation_deg, placement.part, strict=True)
        shown += sum(covered_deg(turn for turn, part in turns if part == number))
    return shown > 420


def _other_ring(texts: Sequence[PhotoReading]) -> str:
    """The sentence for photos that cannot be of one ring, or nothing."""
    for a, b in itertools.combinations(texts, 2):
        if a.colour and b.colour and not _colours_alike(a.colour, b.colour):
            return (
                f"{a.file} shows a {a.colour} ring and {b.file} a {b.colour} one: "
                "are both of the same ring?"
            )
        if a.aspect and b.aspect:
            ratio = max(a.aspect, b.aspect) / min(a.aspect, b.aspect)
            if ratio > _OTHER_RING_ASPECT:
                return (
                    f"The rings in {a.file} and {b.file} differ in shape: are both "
                    "of the same ring?"
                )
    return ""


_ALIKE = (
    {"silver", "white"},
    {"gold", "orange", "yellow", "brown"},
    {"red", "pink", "orange"},
    {"violet", "pink", "blue"},
    {"green", "blue"},
    {"green", "yellow"},
    {"silver", "black"},
)
"""Light may make one of the other."""


def _colours_alike(a: str, b: str) -> bool:
    return a == b or any({a, b} <= group for group in _ALIKE)
