"""The only door to the reader of photos."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ledger.errors import ReadingError
from ledger.rings.alphabet import CODE
from ledger.rings.evidence import Evidence, EvidenceLine, Slot

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence
    from pathlib import Path

    from ocr import Reading
    from ocr.reading import Glyph, Line, Stage


_AT_RIM = 0.03
"""Share of the ring's height. Feathers over a rim left the half of a 5 that was read as
certain; common practice, no source: what ends nearer to a rim may be cut by it."""


def read(
    paths: Sequence[Path],
    report: Callable[[Stage, str], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> Reading:
    """Read one ring from one or several photos of it.

    Args:
        paths: The photos, in any order.
        report: Told of every stage as it begins.
        cancelled: Asked between stages whether to give up.

    Raises:
        ReadingError: a photo cannot be read; the message says which and why.
        Cancelled: `cancelled` said so.
    """
    from ocr import read_ring
    from ocr.errors import Cancelled, OcrError

    told = report or _say_nothing
    asked = cancelled or _never
    try:
        return read_ring(paths, report=told, cancelled=asked)
    except Cancelled:
        raise
    except OcrError as error:
        raise ReadingError(str(error), getattr(error, "hint", None) or None) from error


def _say_nothing(_stage: Stage, _detail: str) -> None:
    """Nobody asked to be told."""


def _never() -> bool:
    return False


def as_text(reading: Reading) -> str:
    """What was read, in lines for a person, doubts last."""
    from ocr.as_text import as_text

    return "\n".join(as_text(reading))


def is_reliable(reading: Reading) -> bool:
    """Whether there is a ring, something legible on it, and rather right than wrong."""
    from ocr.as_text import is_reliable

    return is_reliable(reading)


def joined(readings: Sequence[Reading]) -> Reading:
    """What photos of one ring, read one by one, show together."""
    from ocr.join import join

    return join([photo for reading in readings for photo in reading.photos])


def alike(one: Reading, other: Reading) -> float:
    """Nats in favour of two photos, each read by itself, showing one ring."""
    from ocr.alike import alike

    return alike(one.photos[0], other.photos[0])


def taken(path: Path) -> float | None:
    """When a photo was taken, in seconds since 1970; None if the camera did not say."""
    from ocr.taken import taken_at

    return taken_at(path)


def evidence(reading: Reading) -> Evidence:
    """What a reading says of the ring, in the form that the matcher takes."""
    lines = _lines(reading.lines)
    aspects = [photo.aspect for photo in reading.photos if photo.aspect]
    return Evidence(
        lines=lines,
        colour=reading.colour,
        closure=reading.closure,
        aspect=sorted(aspects)[len(aspects) // 2] if aspects else 0.0,
        # A reading without photos was put together by hand.
        ring_found=reading.ring_found or not reading.photos or bool(reading.lines),
        one_photo=sum(photo.ring_found for photo in reading.photos) == 1,
        joined=_joined(reading),
        apart=()
        if reading.fits_one_way
        else tuple(_lines(photo.lines) for photo in reading.photos),
    )


def _joined(reading: Reading) -> bool:
    """Whether several photos show the lines; what a keeper wrote is no photo's."""
    return bool(
        reading.fits_one_way
        and sum(photo.ring_found for photo in reading.photos) > 1
        and all(glyph.votes for line in reading.lines for glyph in line.glyphs)
    )


def _lines(lines: Iterable[Line]) -> tuple[EvidenceLine, ...]:
    """Those of which anything is known."""
    all_lines = (_line(line) for line in lines)
    return tuple(n for n in all_lines if any(s.chances for s in n.slots))


def _line(line: Line) -> EvidenceLine:
    return EvidenceLine(
        tuple(_slot(glyph) for glyph in line.glyphs),
        line.direction,
        line.cut_start,
        line.cut_end,
    )


def _slot(glyph: Glyph) -> Slot:
    chances = glyph.alternatives or ((glyph.text, glyph.probability),)
    known = tuple((sign, p) for sign, p in chances if sign in CODE and p > 0)
    from_rim = min(glyph.height, 1.0 - glyph.height) - glyph.height_span / 2
    return Slot(
        known,
        gap_before=glyph.gap_before,
        phi_deg=glyph.phi_deg,
        at_rim=glyph.height_span > 0 and from_rim < _AT_RIM,
    )
