"""Other readers, measured on the same photos beside ours. Never needed to read."""

from __future__ import annotations

import importlib
import time
from typing import TYPE_CHECKING, Any

import cv2
import numpy as np

from ocr import tesseract
from ocr.photo import open_photo

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from pathlib import Path

    from numpy.typing import NDArray

    from ocr.reading import PhotoReading

_STRIP_ZOOM = 2


def peers_of() -> dict[str, Callable[[Path, PhotoReading], tuple[list[str], float]]]:
    """The readers present on this machine, by name."""
    found: dict[str, Callable[[Path, PhotoReading], tuple[list[str], float]]] = {
        "tesseract on photo": _on_photo(tesseract.read_plainly),
        "tesseract on strip": _on_strip(tesseract.read_plainly),
    }
    engine = _rapidocr()
    if engine is not None:
        found["rapidocr on photo"] = _on_photo(engine)
        found["rapidocr on strip"] = _on_strip(engine)
    return found


def _timed(
    read: Callable[[NDArray[np.uint8]], Sequence[str]], picture: NDArray[np.uint8]
) -> tuple[list[str], float]:
    started = time.perf_counter()
    lines = list(read(picture))
    return lines, time.perf_counter() - started


def _on_photo(
    read: Callable[[NDArray[np.uint8]], Sequence[str]],
) -> Callable[[Path, PhotoReading], tuple[list[str], float]]:
    return lambda path, _: _timed(read, open_photo(path).bgr)


def _on_strip(
    read: Callable[[NDArray[np.uint8]], Sequence[str]],
) -> Callable[[Path, PhotoReading], tuple[list[str], float]]:
    def peer(_: Path, reading: PhotoReading) -> tuple[list[str], float]:
        if reading.strip is None:
            return [], 0.0
        strip = cv2.resize(
            reading.strip,
            None,
            fx=_STRIP_ZOOM,
            fy=_STRIP_ZOOM,
            interpolation=cv2.INTER_CUBIC,
        )
        return _timed(read, np.asarray(strip, np.uint8))

    return peer


_ENGINES: dict[str, Any] = {}


def _rapidocr() -> Callable[[NDArray[np.uint8]], Sequence[str]] | None:
    """A general-purpose reader with its own networks, where it is installed."""
    if "rapidocr" not in _ENGINES:
        try:
            module = importlib.import_module("rapidocr")
            quiet = {"Global.log_level": "error"}
            _ENGINES["rapidocr"] = module.RapidOCR(params=quiet)
        except ImportError:
            _ENGINES["rapidocr"] = None
    engine = _ENGINES["rapidocr"]
    if engine is None:
        return None
    return lambda picture: list(engine(picture).txts or ())
