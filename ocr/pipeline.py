"""From photos to a Reading: the order of the steps, progress and cancelling."""

from __future__ import annotations

import math
import threading
import time
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from ocr import calibration, shape
from ocr.characters import ALPHABET
from ocr.closure import closure_of
from ocr.colour import colour_of
from ocr.doubts import doubts_of_lines
from ocr.enhance import MARGIN_PX, TEXT_PX, line_crop, renderings
from ocr.errors import Cancelled, TesseractMissingError
from ocr.hints import hints
from ocr.join import join
from ocr.lines import Sheet, group
from ocr.parts import Parts, real_parts
from ocr.reading import PhotoReading, Reading, Stage
from ocr.trim import trimmed
from ocr.twins import settled
from ocr.vote import Said, capital_px, combine, extent

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from concurrent.futures import Future

    from numpy.typing import NDArray

    from ocr.lines import RawLine
    from ocr.steps import StepWriter

READ_PX = 96
"""Height of the strip the network reads: finer ones show it grain, not letters."""
FINE_PX = 192
"""Height of the strip Tesseract's lines are cut from."""
PARALLEL = 2
OUTLINE_POINTS = 25
"""On each rim."""
_MORE_RINGS = (
    "There is more than one ring in this picture; the clearest was read."
    " Photograph each ring alone."
)


class _Progress:
    """Reports stages one at a time and stops where the keeper cancelled."""

    def __init__(
        self, report: Callable[[Stage, str], None], cancelled: Callable[[], bool]
    ) -> None:
        self._report, self._cancelled = report, cancelled
        self._lock = threading.Lock()

    def enter(self, stage: Stage, detail: str) -> None:
        """Say that a stage begins.

        Raises:
            Cancelled: the keeper stopped the reading.
        """
        if self._cancelled():
            raise Cancelled
        with self._lock:
            self._report(stage, detail)


def _silent(stage: Stage, detail: str) -> None:
    """Report nothing."""


def _never() -> bool:
    return False


def read_ring(
    paths: Sequence[Path],
    *,
    report: Callable[[Stage, str], None] = _silent,
    cancelled: Callable[[], bool] = _never,
    steps: StepWriter | None = None,
    parts: Parts | None = None,
) -> Reading:
    """Read one ring from one to six photos of it.

    Args:
        paths: Photos of the same ring, in any order, whichever way up.
        report: Called as each stage begins, with the photo's name; from a thread
            of the reading, never two calls at once.
        cancelled: Asked before each stage; true stops the reading.
        steps: Writes every stage as a picture.
        parts: Other steps than those shipped, for trials.

    Raises:
        OcrError: a photo cannot be opened, or a part of the program is missing.
        Cancelled: the keeper stopped the reading.
    """
    progress = _Progress(report, cancelled)
    used = parts or real_parts()
    with ThreadPoolExecutor(max_workers=PARALLEL) as pool:
        jobs = [
            pool.submit(_read_photo, Path(path), used, progress, steps)
            for path in paths
        ]
        photos = _results(jobs)
        # Where most photos agree on the ring's shape, the others look once more.
        usual = shape.agreed_aspect(photos)
        again = {
            i: pool.submit(_read_photo, Path(paths[i]), used, progress, steps, usual)
            for i in shape.amiss(photos)
        }
        anew = dict(zip(again, _results(list(again.values())), strict=True))
        photos = [shape.better(anew.get(i, p), p) for i, p in enumerate(photos)]
    progress.enter(Stage.JOIN, f"{len(photos)} photos" if len(photos) > 1 else "")
    return join(photos)


def _results(jobs: Sequence[Future[PhotoReading]]) -> list[PhotoReading]:
    """What all jobs gave; if one fails, those not begun are not begun."""
    try:
        return [job.result() for job in jobs]
    except BaseException:
        for job in jobs:
            job.cancel()
        raise


def _read_photo(
    path: Path,
    parts: Parts,
    progress: _Progress,
    steps: StepWriter | None,
    aspect: float | None = None,
) -> PhotoReading:
    """One photo read; `aspect`: the ring's shape, where other photos tell it."""
    started = time.perf_counter()
    writer = steps.of(path.name) if steps is not None else None
    known = {} if aspect is None else {"aspect": aspect}
    progress.enter(Stage.OPEN, path.name)
    photo = parts.open_photo(path)
    progress.enter(Stage.LOCATE, path.name)
    pose = parts.find_ring(photo.bgr, steps=writer, **known)
    if writer is not None:
        writer.write_pose("ring found" if pose else "no ring found", photo.bgr, pose)
    if pose is None:
        return _no_ring(path, started)
    progress.enter(Stage.UNWRAP, path.name)
    strip = parts.unwrap(photo.bgr, pose, px_height=READ_PX)
    fine = parts.unwrap(photo.bgr, pose, px_height=FINE_PX)
    if writer is not None:
        writer.write("strip", fine.bgr)
    progress.enter(Stage.READ, path.name)
    read = read_strip(
        strip.bgr, fine.bgr, strip.span_deg, parts, progress, path.name, writer
    )
    if not shape.borne_out(read, pose.score):
        return _no_ring(path, started)
    outline = np.asarray(pose.outline(OUTLINE_POINTS), np.float64)
    stored = np.asarray(photo.to_stored(outline), np.float64)
    return replace(
        read,
        outline=tuple((float(x), float(y)) for x, y in stored),
        aspect=float(strip.aspect),
        doubts=(
            *((_MORE_RINGS,) if pose.others else ()),
            *read.doubts,
            *_hints(read, outline, pose.tilt_deg),
        ),
        seconds=time.perf_counter() - started,
    )


def _no_ring(path: Path, started: float) -> PhotoReading:
    return PhotoReading(
        file=path.name,
        ring_found=False,
        seconds=time.perf_counter() - started,
        doubts=("No ring was found: let the ring fill a third of the picture.",),
    )


def read_strip(
    strip: NDArray[np.uint8],
    fine: NDArray[np.uint8],
    span_deg: float,
    parts: Parts,
    progress: _Progress | None = None,
    name: str = "",
    steps: StepWriter | None = None,
) -> PhotoReading:
    """Read an unrolled ring.

    Args:
        strip: (H, W, 3) uint8 BGR, either way up.
        fine: The same at a finer scale, for Tesseract.
        span_deg: Degrees of the ring that both show, centred on 0.
        parts: The network's and Tesseract's readers.
        progress: Asked before Tesseract starts.
        name: The photo's name.
        steps: Writes what the readers saw.
    """
    sheet = Sheet(strip.shape[1], strip.shape[0], span_deg)
    layout = group(parts.find_characters([strip])[0], sheet)
    if layout.turned:
        strip, fine = _half_turn(strip), _half_turn(fine)
    if progress is not None:
        progress.enter(Stage.READ, name)
    pages = [_pages(line, strip, fine) for line in layout.lines]
    if steps is not None:
        _write_steps(steps, layout.lines, strip, pages)
    said, trouble = _ask_tesseract(pages, parts)
    figures = calibration.load()
    lines = trimmed(
        settled(
            combine(line, answers, sheet, figures)
            for line, answers in zip(layout.lines, said, strict=True)
        )
    )
    doubts = list(doubts_of_lines(lines)) + trouble
    if not lines:
        doubts.append("The ring shows no characters here: turn the leg and try again.")
    return PhotoReading(
        file=name,
        ring_found=True,
        lines=lines,
        confidence=math.prod(g.probability for ln in lines for g in ln.glyphs)
        if lines
        else 0.0,
        doubts=tuple(doubts),
        closure=closure_of(strip),
        colour=colour_of(strip),
        strip=strip,
        strip_span_deg=span_deg,
    )


def _half_turn(picture: NDArray[np.uint8]) -> NDArray[np.uint8]:
    return np.ascontiguousarray(picture[::-1, ::-1])


def _ask_tesseract(
    pages: Sequence[Sequence[NDArray[np.uint8]]], parts: Parts
) -> tuple[list[list[list[Said]]], list[str]]:
    """Tesseract's answers to every page of every line, and what went wrong."""
    nothing: list[list[list[Said]]] = [[] for _ in pages]
    try:
        answers = parts.read_pages([page for of_line in pages for page in of_line])
    except TesseractMissingError as error:
        return nothing, [f"Read by one reader only. {error} {error.hint}"]
    if answers.timed_out:
        return nothing, ["Read by one reader only: Tesseract took too long."]
    left = iter(answers.pages)
    return [
        [
            [Said(c.text, c.certainty, (c.x - MARGIN_PX) / TEXT_PX) for c in next(left)]
            for _ in of_line
        ]
        for of_line in pages
    ], []


def _pages(
    line: RawLine, strip: NDArray[np.uint8], fine: NDArray[np.uint8]
) -> list[NDArray[np.uint8]]:
    scale = fine.shape[0] / strip.shape[0]
    low, high = sorted(extent(line))
    size = capital_px(line)
    if line.direction == "around":
        middles = [g.y for g in line.glyphs if g.h > 0.6 * size] or [line.glyphs[0].y]
        box = (low, min(middles) - size / 2, high, max(middles) + size / 2)
    else:
        middles = [g.x for g in line.glyphs if g.w > 0.6 * size] or [line.glyphs[0].x]
        box = (min(middles) - size / 2, low, max(middles) + size / 2, high)
    left, top, right, bottom = (v * scale for v in box)
    crop = line_crop(fine, (left, top, right, bottom), size * scale, line.direction)
    return renderings(crop)


def _hints(
    read: PhotoReading, outline: NDArray[np.float64], tilt_deg: float
) -> tuple[str, ...]:
    """Hints on the picture, from the strip and how the ring lies in the photo."""
    if read.strip is None:
        return ()
    upper, lower = outline[len(outline) // 4], outline[-len(outline) // 4]
    height = float(np.hypot(*(upper - lower)))
    return hints(read.strip, read.lines, ring_height_px=height, toward_deg=tilt_deg)


def _write_steps(
    steps: StepWriter,
    lines: Sequence[RawLine],
    strip: NDArray[np.uint8],
    pages: Sequence[Sequence[NDArray[np.uint8]]],
) -> None:
    boxes = [
        (g.x, g.y, g.w, g.h, ALPHABET[int(np.argmax(g.probabilities))])
        for line in lines
        for g in line.glyphs
    ]
    steps.write_boxes("characters", strip, boxes)
    for n, of_line in enumerate(pages, 1):
        steps.write(f"line {n} for Tesseract", np.vstack(list(of_line)))
