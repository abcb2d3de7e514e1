"""Pack the tuning pictures, with their rings' outlines, for the face network.

    python -m ocr.training.tuning FOLDER OUT.npz

FOLDER holds pictures and a truth.json. Rings and pictures without a ring whose
number leaves 2 when divided by 3 stay out: what the reader achieves is measured
on those.
"""

from __future__ import annotations

import argparse
import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

import cv2
import numpy as np

from ocr.measure import is_held

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from numpy.typing import NDArray

_SHRINK = 0.5
_EMPTY_TIMES = 3
"""Pictures without a ring are few: each is packed so often."""
_QUALITY = [cv2.IMWRITE_JPEG_QUALITY, 90]

Packed = tuple["NDArray[np.uint8]", "NDArray[np.float64]", "NDArray[np.float64]"]
"""JPEG code, (N, 2) outline of the face, (2,) direction of the axis; pixels."""


def packed(folder: Path, truth: Mapping[str, Any]) -> Iterator[Packed]:
    """The pictures that may be trained on."""
    for ring in truth["rings"]:
        if is_held(ring["id"]):
            continue
        for photo in ring["photos"]:
            top = np.array(photo["outline"]["top_arc"], float)
            bottom = np.array(photo["outline"]["bottom_arc"], float)
            polygon = np.vstack([top, bottom[::-1]]) * _SHRINK
            axis = top.mean(0) - bottom.mean(0)
            axis /= np.linalg.norm(axis)
            yield _code(folder, photo["file"]), polygon, axis
    for photo in truth["no_ring"]:
        if is_held(Path(photo["file"]).stem.split("_")[0]):
            continue
        for _ in range(_EMPTY_TIMES):
            code = _code(folder, photo["file"])
            yield code, np.zeros((0, 2)), np.array([0.0, 1.0])


def _code(folder: Path, name: str) -> NDArray[np.uint8]:
    """A picture at half its size, as JPEG."""
    picture = cv2.imread(str(folder / Path(name).name))
    small = cv2.resize(
        picture, None, fx=_SHRINK, fy=_SHRINK, interpolation=cv2.INTER_AREA
    )
    return cv2.imencode(".jpg", small, _QUALITY)[1].ravel()


def _ragged(parts: Sequence[NDArray[Any]]) -> NDArray[np.object_]:
    """Arrays of unlike length in one."""
    out = np.empty(len(parts), object)
    out[:] = parts
    return out


def main() -> None:
    """Write the pack."""
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    options.add_argument("folder", type=Path)
    options.add_argument("out", type=Path)
    chosen = options.parse_args()
    truth = json.loads((chosen.folder / "truth.json").read_text(encoding="utf-8"))
    codes, polygons, axes = zip(*packed(chosen.folder, truth), strict=True)
    np.savez(
        chosen.out,
        codes=_ragged(codes),
        polygons=_ragged(polygons),
        axes=_ragged(axes),
    )
    print(len(codes), "pictures")


if __name__ == "__main__":
    main()
