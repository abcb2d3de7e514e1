"""Draw and vary photos of ringed legs, with the ring's face and axis as truth.

Two sources: rings drawn here (`ring_scene.py`) and the tuning pictures
(`tuning.py` packs them) turned, scaled, relit and covered.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import cv2
import numpy as np

from ocr.training.backdrop import H, W, cover_some
from ocr.training.plumage import tufts
from ocr.training.ring_scene import ring_scene

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from numpy.typing import NDArray

    from ocr.training.glyph_table import GlyphTable
    from ocr.training.ring_scene import Scene

    Photo = tuple[NDArray[np.uint8], NDArray[np.float64], NDArray[np.float64]]


def tuning_photos(path: Path | str) -> list[Photo]:
    """The pictures that `tuning.py` packed.

    Returns:
        For each its BGR pixels, the (N, 2) outline of its ring's face (N = 0: no
        ring) and the (2,) direction of the ring's axis, both in pixels, y down.
    """
    table = np.load(path, allow_pickle=True)
    return [
        (cv2.imdecode(code, cv2.IMREAD_COLOR), polygon, axis)
        for code, polygon, axis in zip(
            table["codes"], table["polygons"], table["axes"], strict=True
        )
    ]


def sample(
    rng: np.random.Generator, table: GlyphTable, real: Sequence[Photo]
) -> tuple[NDArray[np.uint8], NDArray[np.float32]]:
    """One pair to train on.

    Returns:
        (H, W, 3) uint8 BGR, and (H/2, W/2, 3) float32: face, cos 2a, sin 2a.
    """
    if real and rng.random() < 0.5:
        picture, face, angle = from_photo(rng, real[rng.integers(len(real))])
    else:
        with_ring = rng.random() < 0.85
        picture, face, angle = ring_scene(rng, table, with_ring=with_ring)
    if rng.random() < 0.5:
        picture = cover_some(rng, picture)
    shown = camera(rng, picture)
    face = cv2.resize(face, (W // 2, H // 2), interpolation=cv2.INTER_AREA)
    twice = (math.cos(2 * angle), math.sin(2 * angle))
    truth = np.stack([face, *(np.full_like(face, part) for part in twice)], -1)
    return shown, truth.astype(np.float32)


def from_photo(rng: np.random.Generator, photo: Photo) -> Scene:
    """A tuning picture seen another way; gives what `ring_scene` gives."""
    pixels, polygon, axis = photo
    h, w = pixels.shape[:2]
    quarters = [0, 0, 0, math.pi, math.pi / 2, -math.pi / 2]
    turn = rng.normal(0, 0.25) + rng.choice(quarters)
    scale = W / max(w, h) * np.exp(rng.uniform(np.log(0.7), np.log(1.7)))
    flip = rng.random() < 0.5
    c, s = math.cos(turn), math.sin(turn)
    m = scale * np.array([[c, -s], [s, c]])
    if flip:
        m = m @ np.diag([-1.0, 1.0])
    middle = polygon.mean(0) if len(polygon) else np.array([w / 2, h / 2])
    to = np.array([W / 2 + rng.normal(0, 35), H / 2 + rng.normal(0, 25)])
    t = to - m @ middle
    a = np.hstack([m, t[:, None]]).astype(np.float32)
    picture = cv2.warpAffine(
        pixels, a, (W, H), flags=cv2.INTER_AREA, borderMode=cv2.BORDER_REPLICATE
    ).astype(np.float32)
    face = np.zeros((H * 4, W * 4), np.float32)
    angle = 0.0
    if len(polygon):
        p = polygon @ m.T + t
        cv2.fillPoly(face, [np.round((p + 0.5) * 4).astype(np.int32)], 1.0)
        d = m @ axis
        angle = math.atan2(-d[1], d[0])
        if rng.random() < 0.3:
            picture = tufts(rng, picture, *_lie(p, d))
    face = cv2.resize(face, (W, H), interpolation=cv2.INTER_AREA)
    if rng.random() < 0.2:
        picture = picture[..., rng.permutation(3)]
    return picture, face, angle


def _lie(
    polygon: NDArray[np.float64], axis: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64], tuple[float, float]]:
    """Middle, unit axis, radius and height of a ring whose face is outlined."""
    along = axis / np.hypot(*axis)
    middle = polygon.mean(0)
    up = (polygon - middle) @ along
    across = (polygon - middle) @ np.array([-along[1], along[0]])
    return middle, along, (float(np.ptp(across)) / 2, float(np.ptp(up)))


def camera(rng: np.random.Generator, picture: NDArray[np.float32]) -> NDArray[np.uint8]:
    """Blur, noise, light and white balance of a hurried photo."""
    if rng.random() < 0.6:
        picture = cv2.GaussianBlur(picture, (0, 0), abs(rng.normal(0, 1.0)) + 0.2)
    if rng.random() < 0.1:
        picture = _shaken(rng, picture)
    picture = picture * rng.uniform(0.35, 1.5) * rng.uniform(0.8, 1.2, 3)
    if rng.random() < 0.15:
        picture = np.repeat(picture.mean(2, keepdims=True), 3, 2)
    picture = picture + rng.standard_normal((H, W, 3)) * rng.uniform(0, 9)
    picture = np.clip(picture, 0, 255)
    if rng.random() < 0.3:
        picture = 255 * (picture / 255) ** rng.uniform(0.6, 1.6)
    return picture.astype(np.uint8)


def _shaken(
    rng: np.random.Generator, picture: NDArray[np.float32]
) -> NDArray[np.float32]:
    """The picture as a hand that moves takes it, by up to 8 pixels."""
    kernel = np.zeros((9, 9), np.float32)
    a, far = rng.uniform(0, math.pi), rng.uniform(1, 4)
    by = (far * math.cos(a), far * math.sin(a))
    ends = [np.round((np.array([4, 4]) + np.array(by) * k) * 8) for k in (-1, 1)]
    points = [np.array(ends, np.int32)]
    cv2.polylines(kernel, points, False, 1, 1, cv2.LINE_AA, 3)
    return cv2.filter2D(picture, -1, kernel / kernel.sum())
