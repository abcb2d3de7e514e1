"""Runs the reader's two networks: one finds the ring, one its characters."""

from __future__ import annotations

import threading
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import cv2
import numpy as np

from ocr.errors import ModelMissingError

if TYPE_CHECKING:
    from numpy.typing import NDArray

_MODELS = Path(__file__).parent / "models"
_MAP_SIDE = 320
"""Longest side of the picture as the face network sees it; as it was trained."""
_SMALL_RING = 0.42
"""A ring that fills less of the longest side is looked at a second time, nearer."""
_loaded = threading.local()


@dataclass(frozen=True)
class FaceMap:
    """Where the network sees a ring's face."""

    face: NDArray[np.float32]
    """(h, w) chance that the pixel lies in the ring's outer face, cover and all."""
    axis: NDArray[np.float32]
    """(h, w, 2) cosine and sine of twice the axis angle, counter-clockwise."""
    scale: float
    """Picture pixels per map pixel."""
    presence: float
    """Chance that a ring is in the picture at all."""


def run(name: str, pictures: NDArray[np.uint8]) -> NDArray[np.float32]:
    """What a network answers to pictures.

    Args:
        name: `face` or `characters`.
        pictures: (N, H, W, 3) uint8 BGR, H and W multiples of 32.

    Returns:
        (N, C, H / step, W / step) float32; step is 2 for faces, 4 for characters.

    Raises:
        ModelMissingError: the network's file is not where it belongs, or damaged.
    """
    # A network of OpenCV serves one thread at a time: each thread has its own.
    net = getattr(_loaded, name, None)
    if net is None:
        net = _load(_MODELS / f"{name}.onnx")
        setattr(_loaded, name, net)
    blob = (pictures.astype(np.float32) - 127.5) / 64
    net.setInput(np.ascontiguousarray(blob.transpose(0, 3, 1, 2)))
    return np.asarray(net.forward(), np.float32)


def _load(path: Path) -> cv2.dnn.Net:
    """A network from its file; takes about a hundredth of a second."""
    if not path.is_file():
        raise ModelMissingError(f"The reader's network {path.name} is missing.")
    try:
        return cv2.dnn.readNetFromONNX(np.fromfile(path, np.uint8))
    except cv2.error as error:
        raise ModelMissingError(
            f"The reader's network {path.name} is damaged."
        ) from error


def face_map(bgr: NDArray[np.uint8]) -> FaceMap:
    """Where in a picture the outer face of a ring is.

    Args:
        bgr: (H, W, 3) uint8.

    Returns:
        The map of the whole picture; a small ring is looked at twice and its
        map is finer.

    Raises:
        ModelMissingError: the network's file is not where it belongs, or damaged.
    """
    first, scale = _look(bgr)
    presence = _presence(first[..., 0])
    ys, xs = np.nonzero(first[..., 0] > 0.5)
    height, width = bgr.shape[:2]
    if presence > 0.3 and len(xs):
        left, right = np.percentile(xs, (1, 99)) * scale
        top, bottom = np.percentile(ys, (1, 99)) * scale
        side = max(right - left, bottom - top)
        if side < _SMALL_RING * max(width, height):
            half = side * 0.9
            x0, x1 = _span((left + right) / 2, half, width)
            y0, y1 = _span((top + bottom) / 2, half, height)
            near, fine = _look(bgr[y0:y1, x0:x1])
            if (second := _presence(near[..., 0])) > 0.3:
                whole = np.zeros(
                    (round(height / fine) + 1, round(width / fine) + 1, 3), np.float32
                )
                row, column = round(y0 / fine), round(x0 / fine)
                part = whole[row : row + near.shape[0], column : column + near.shape[1]]
                part[:] = near[: part.shape[0], : part.shape[1]]
                first, scale, presence = whole, fine, max(presence, second)
    return FaceMap(
        np.ascontiguousarray(first[..., 0]),
        np.ascontiguousarray(first[..., 1:]),
        scale,
        presence,
    )


def _span(middle: float, half: float, limit: int) -> tuple[int, int]:
    return max(0, int(middle - half)), min(limit, int(middle + half) + 1)


def _look(bgr: NDArray[np.uint8]) -> tuple[NDArray[np.float32], float]:
    """(h, w, 3) face chance and axis of a picture, and pixels per map pixel."""
    height, width = bgr.shape[:2]
    shrink = _MAP_SIDE / max(height, width)
    # Whole map pixels: the map has half as many as the picture shown.
    w, h = (max(32, 2 * round(side * shrink / 2)) for side in (width, height))
    small = cv2.resize(bgr, (w, h), interpolation=cv2.INTER_AREA)
    padded = cv2.copyMakeBorder(small, 0, -h % 32, 0, -w % 32, cv2.BORDER_REPLICATE)
    out = run("face", np.asarray(padded, np.uint8)[None])[0].transpose(1, 2, 0)
    out = out[: h // 2, : w // 2].copy()
    out[..., 0] = 1 / (1 + np.exp(-np.clip(out[..., 0], -30, 30)))
    return out, max(width / w, height / h) * 2


def _presence(face: NDArray[np.float32]) -> float:
    """Chance of a ring: how sure the network is of the best part of the map."""
    least = max(12, int(0.0015 * face.size))
    return float(np.partition(face.ravel(), -least)[-least:].mean())
