"""A photo of a leg ring in, a Reading out. Knows nothing of the ledger."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ocr.errors import Cancelled, OcrError
from ocr.reading import PhotoReading, Reading, Stage

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from pathlib import Path

    from ocr.steps import StepWriter

__all__ = ["Cancelled", "OcrError", "PhotoReading", "Reading", "Stage", "read_ring"]


def _silent(stage: Stage, detail: str) -> None:
    """Report nothing."""


def read_ring(
    paths: Sequence[Path],
    *,
    report: Callable[[Stage, str], None] = _silent,
    cancelled: Callable[[], bool] = lambda: False,
    steps: StepWriter | None = None,
) -> Reading:
    """Read one ring from one to six photos of it; see `ocr.pipeline.read_ring`.

    The reader's libraries are loaded here and not before: `import ocr` is cheap.

    Raises:
        OcrError: a photo cannot be opened, or a part of the program is missing.
        Cancelled: the keeper stopped the reading.
    """
    from ocr import pipeline

    return pipeline.read_ring(paths, report=report, cancelled=cancelled, steps=steps)
