"""A ring photographed with the machine's own camera: the sharpest of several frames."""

from __future__ import annotations

import contextlib
import os
import sys
from typing import TYPE_CHECKING, Any, Protocol

import cv2
import numpy as np

from ocr.errors import OcrError

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Callable, Iterator
    from pathlib import Path

    from numpy.typing import NDArray

FRAMES = 12
_WARM_UP = 5
"""A camera sets its exposure during its first frames."""


class CameraMissingError(OcrError):
    """No camera answers on this machine."""

    hint = "Connect a camera, or send a photo from your phone to the photo inbox."


class Camera(Protocol):
    """What is needed of a camera; OpenCV's capture has it."""

    def isOpened(self) -> bool:  # noqa: N802 - OpenCV's name
        """It answers."""
        ...

    def read(self) -> tuple[bool, Any]:
        """Whether a frame came, and the frame, (H, W, 3) uint8 BGR."""
        ...

    def release(self) -> None:
        """Free it for other programs."""
        ...


def take_photo(
    folder: Path,
    *,
    now: dt.datetime,
    camera: int = 0,
    frames: int = FRAMES,
    opened: Callable[[int], Camera] | None = None,
) -> Path:
    """Take several frames and keep the sharpest as a JPEG in `folder`.

    Args:
        folder: Where the photo goes; made if it is not there.
        now: When the photo is taken; gives the file its name.
        camera: Number of the camera, 0 for the machine's first.
        frames: How many frames to choose from.
        opened: Opens a camera by its number; OpenCV unless given.

    Raises:
        CameraMissingError: no camera answers, or it gives no picture.
    """
    with _quiet():
        source = (opened or _opened)(camera)
        try:
            sharpest = _sharpest(source, frames)
        finally:
            source.release()
    if sharpest is None:
        raise CameraMissingError("No camera answers on this machine.")
    ok, packed = cv2.imencode(".jpg", sharpest, [cv2.IMWRITE_JPEG_QUALITY, 95])
    if not ok:
        raise CameraMissingError("The camera gave a picture that cannot be kept.")
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / f"camera-{now:%Y%m%d-%H%M%S-%f}.jpg"
    path.write_bytes(packed.tobytes())
    return path


def sharpness(picture: NDArray[np.uint8]) -> float:
    """Variance of the Laplacian: the higher, the sharper.

    Args:
        picture: (H, W, 3) uint8 BGR.

    Source:
        J. L. Pech-Pacheco et al., "Diatom autofocusing in brightfield
        microscopy: a comparative study", ICPR 2000.
    """
    grey = cv2.cvtColor(picture, cv2.COLOR_BGR2GRAY)
    return float(cv2.Laplacian(grey, cv2.CV_32F).var())


def _opened(number: int) -> Camera:
    return cv2.VideoCapture(number)


def _sharpest(source: Camera, frames: int) -> NDArray[np.uint8] | None:
    if not source.isOpened():
        return None
    best: tuple[float, NDArray[np.uint8]] | None = None
    for n in range(_WARM_UP + frames):
        came, frame = source.read()
        if n < _WARM_UP or not came or frame is None:
            continue
        value = sharpness(frame)
        if best is None or value > best[0]:
            best = (value, np.asarray(frame, np.uint8))
    return None if best is None else best[1]


@contextlib.contextmanager
def _quiet() -> Iterator[None]:
    """Camera drivers write straight to the terminal, past Python; not on our screen."""
    try:
        terminal = sys.__stderr__.fileno() if sys.__stderr__ else -1
        kept = os.dup(terminal)
    except (OSError, ValueError):
        yield
        return
    try:
        with open(os.devnull, "wb") as nowhere:  # noqa: PTH123 - a device, no file
            os.dup2(nowhere.fileno(), terminal)
            yield
    finally:
        os.dup2(kept, terminal)
        os.close(kept)
