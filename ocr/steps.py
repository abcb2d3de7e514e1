"""Write every stage of a reading as a picture, to see what the reader saw."""

from __future__ import annotations

import re
import threading
from pathlib import Path
from typing import TYPE_CHECKING

import cv2
import numpy as np

from ocr.errors import OcrError

if TYPE_CHECKING:
    from collections.abc import Iterable

    from numpy.typing import NDArray

    from ocr.cylinder import RingPose

_GREEN, _RED, _YELLOW = (90, 220, 60), (60, 60, 230), (40, 220, 240)


class StepsFolderError(OcrError):
    """The folder for the steps cannot be written."""

    hint = "Choose another folder for --steps."


class StepWriter:
    """Writes numbered pictures into a folder.

    Several photos may be read at once: each asks for its own writer by `of`, which
    writes into a folder named after the photo.
    """

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._lock = threading.Lock()
        self._count = 0
        self._named: set[str] = set()
        try:
            folder.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise StepsFolderError(_cannot_write(folder, error)) from error

    def of(self, photo: str) -> StepWriter:
        """A writer of its own for one photo; two photos of one name stay apart."""
        with self._lock:
            stem = _plain(Path(photo).stem)
            name, again = stem, 2
            while name in self._named:
                name, again = f"{stem}-{again}", again + 1
            self._named.add(name)
        return StepWriter(self._folder / name)

    def write(self, name: str, picture: NDArray[np.generic]) -> None:
        """Write one stage.

        Args:
            name: What it shows, as a few words; they become part of the file's name.
            picture: (H, W) or (H, W, 3), uint8 or bool, or floats 0..1.

        Raises:
            StepsFolderError: the folder cannot be written.
        """
        with self._lock:
            self._count += 1
            path = self._folder / f"{self._count:02d}-{_plain(name)}.png"
        if picture.dtype == np.uint8:
            levels = picture.astype(np.uint8, copy=False)
        else:
            levels = (np.clip(picture.astype(np.float64), 0, 1) * 255).astype(np.uint8)
        try:
            # Not cv2.imwrite, which loses names with umlauts on some systems.
            path.write_bytes(cv2.imencode(".png", levels)[1].tobytes())
        except OSError as error:
            raise StepsFolderError(_cannot_write(self._folder, error)) from error

    def write_pose(
        self, name: str, bgr: NDArray[np.uint8], pose: RingPose | None
    ) -> None:
        """Write a photo with the ring's outline, middle and axis drawn in."""
        drawn = bgr.copy()
        if pose is not None:
            thick = max(1, round(max(bgr.shape) / 600))
            for points, colour in (
                (pose.outline(33), _GREEN),
                (pose.project(np.zeros(2), np.array([-1, 1]) * pose.aspect), _YELLOW),
            ):
                corners = np.round(points * 16).astype(np.int32)
                cv2.polylines(
                    drawn, [corners], colour is _GREEN, colour, thick, cv2.LINE_AA, 4
                )
        self.write(name, drawn)

    def write_boxes(
        self,
        name: str,
        strip: NDArray[np.uint8],
        boxes: Iterable[tuple[float, float, float, float, str]],
    ) -> None:
        """Write a strip with boxes, each with a letter above it.

        Args:
            name: What it shows.
            strip: (H, W, 3) uint8.
            boxes: Centre x, y, width, height in pixels of the strip, and the text.
        """
        enlarge = max(1, round(400 / strip.shape[0]))
        drawn = cv2.resize(
            strip, None, fx=enlarge, fy=enlarge, interpolation=cv2.INTER_CUBIC
        )
        for x, y, w, h, text in boxes:
            left, top = round((x - w / 2) * enlarge), round((y - h / 2) * enlarge)
            right, bottom = round((x + w / 2) * enlarge), round((y + h / 2) * enlarge)
            cv2.rectangle(drawn, (left, top), (right, bottom), _GREEN, 1, cv2.LINE_AA)
            place = (left, max(14, top - 4))
            cv2.putText(
                drawn, text, place, cv2.FONT_HERSHEY_SIMPLEX, 0.55, _RED, 1, cv2.LINE_AA
            )
        self.write(name, np.asarray(drawn, np.uint8))


class NoSteps(StepWriter):
    """Writes nothing, so that no caller has to ask."""

    def __init__(self) -> None:
        """Needs no folder."""

    def of(self, photo: str) -> StepWriter:
        """Itself."""
        return self

    def write(self, name: str, picture: NDArray[np.generic]) -> None:
        """Nothing."""

    def write_pose(
        self, name: str, bgr: NDArray[np.uint8], pose: RingPose | None
    ) -> None:
        """Nothing."""

    def write_boxes(
        self,
        name: str,
        strip: NDArray[np.uint8],
        boxes: Iterable[tuple[float, float, float, float, str]],
    ) -> None:
        """Nothing."""


def _plain(name: str) -> str:
    """A name that every file system takes."""
    return re.sub(r"[^\w.-]+", "-", name).strip("-.") or "step"


def _cannot_write(folder: Path, error: OSError) -> str:
    return f"The folder {folder} cannot be written: {error.strerror}."
