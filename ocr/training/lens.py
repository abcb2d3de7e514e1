"""How a strip comes to the network: unrolled a little amiss, blurred, noisy."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import cv2
import numpy as np

if TYPE_CHECKING:
    from collections.abc import Iterable

    from numpy.typing import NDArray

    from ocr.training.sheet import Mark
    from ocr.training.wear import Pair

_SPAN = 1.31
"""Half of what a strip shows of its ring, radians."""


@dataclass(frozen=True)
class Misfit:
    """By how much a pose is off: pixels of the strip, unless said otherwise."""

    above: float
    """Rows of what lies beyond the upper rim."""
    below: float
    bow: float
    """How far the strip's ends hang below its middle."""
    shear: float
    """Columns per row."""
    roll: float
    """Rows per column."""
    sx: NDArray[np.float32]
    """(H, W) column of the true strip that each pixel shows."""
    sy: NDArray[np.float32]
    """(H, W) its row."""

    @classmethod
    def drawn(cls, rng: np.random.Generator, h: int, w: int) -> Misfit:
        """A misfit such as fitted poses have."""
        above, below = rng.uniform(-0.03, 0.06, 2) * h
        bow, shear = rng.normal(0, 0.02) * h, rng.normal(0, 0.02)
        roll = rng.normal(0, 0.012)
        yy, xx = np.ogrid[0:h, 0:w]
        u = (xx - w / 2) / (w / 2)
        sy = (-above + yy * (h + above + below) / h) + (bow * u * u + roll * w * u)
        sx = (xx + rng.normal(0, 0.01) * w * u**3) + shear * (yy - h / 2)
        return cls(
            above,
            below,
            bow,
            shear,
            roll,
            sx.astype(np.float32),
            sy.astype(np.float32),
        )

    def shown(self, rng: np.random.Generator, pair: Pair) -> Pair:
        """Strips as this pose unrolls them: rims, and what lies beyond them."""
        h = pair[0].shape[0]
        beyond = rng.uniform(5, 200, 3).astype(np.float32)
        gleam = rng.uniform(-0.5, 0.7)
        sx, sy = self.sx, self.sy
        far = np.clip(np.maximum(-sy, sy - (h - 1)) / 2, 0, 1)[..., None]
        near_rim = np.minimum(np.abs(sy - 1), np.abs(sy - h + 2))
        rim = np.exp(-near_rim / 2)[..., None]
        out = []
        for p in pair:
            q = cv2.remap(p, sx, sy, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
            out.append(q * (1 + rim * gleam) * (1 - far) + beyond * far)
        return out[0], out[1]

    def move(self, marks: Iterable[Mark], h: int, w: int) -> None:
        """Put characters where this pose shows them."""
        for mark in marks:
            u = (mark.x - w / 2) / (w / 2)
            y = mark.y + self.above - self.bow * u * u - self.roll * w * u
            mark.y = float(y * h / (h + self.above + self.below))
            mark.x = float(mark.x - self.shear * (mark.y - h / 2))


def _shake(rng: np.random.Generator) -> NDArray[np.float32] | None:
    """How the camera moved while it looked, on a fifth of photos: a kernel."""
    if rng.random() >= 0.2:
        return None
    n = int(rng.integers(3, 9))
    kernel = np.zeros((n, n), np.float32)
    a = rng.uniform(0, math.pi)
    c = (n - 1) / 2
    dx, dy = c * math.cos(a), c * math.sin(a)
    start, end = (round(c - dx), round(c - dy)), (round(c + dx), round(c + dy))
    cv2.line(kernel, start, end, 1)
    kernel /= kernel.sum()
    return kernel


def blurred(rng: np.random.Generator, pair: Pair) -> tuple[Pair, float]:
    """Strips out of focus, shaken, and from a photo with fewer pixels.

    Towards its ends a strip is drawn from ever fewer pixels of the photo.

    Returns:
        The strips, and the photo's pixels per pixel of the strip, at most 1.
    """
    h, w = pair[0].shape[:2]
    small = rng.uniform(0.22, 1.0) if rng.random() < 0.6 else 1.0
    sigma = abs(rng.normal(0, 0.9)) + 0.2
    shake = _shake(rng)
    squeeze = np.clip(1 / np.cos(np.linspace(-_SPAN, _SPAN, w)) - 1, 0, 4)
    ends = np.clip(squeeze / 2, 0, 1)[None, :, None].astype(np.float32)
    fewer = (max(8, int(w * small)), max(8, int(h * small)))
    out = []
    for p in pair:
        q = cv2.GaussianBlur(p, (0, 0), sigma)
        if shake is not None:
            q = cv2.filter2D(q, -1, shake)
        wide = cv2.GaussianBlur(q, (0, 0), sigmaX=2.2, sigmaY=0.3)
        q = q + (wide - q) * ends
        if small < 1:
            q = cv2.resize(q, fewer, interpolation=cv2.INTER_AREA)
            q = cv2.resize(q, (w, h), interpolation=cv2.INTER_LINEAR)
        out.append(q)
    return (out[0], out[1]), small


def exposed(
    rng: np.random.Generator, pair: Pair
) -> tuple[NDArray[np.float32], NDArray[np.float32], float]:
    """The marked strip as the sensor gives it.

    Returns:
        The strip 0..255, (H, W, 2) how far its text stands out from the metal and
        how far the metal does from itself near by, and the noise: grey levels.
    """
    plain, marked = pair
    gain = rng.uniform(0.4, 1.25)
    amount = float(rng.uniform(0.5, 9) if rng.random() < 0.7 else 1)
    if rng.random() < 0.08:
        amount *= 2.5
    grains = rng.standard_normal(plain.shape).astype(np.float32)
    if rng.random() < 0.5:
        grains = cv2.GaussianBlur(grains, (0, 0), 0.8) * 2
    white = rng.uniform(0.85, 1.15, 3).astype(np.float32)
    photo = marked * np.float32(gain) * white + grains * np.float32(amount)
    if rng.random() < 0.25:  # what is too bright spills over
        over = cv2.GaussianBlur(np.maximum(photo - 240, 0), (0, 0), rng.uniform(1.5, 9))
        photo = photo + over * np.float32(rng.uniform(0.2, 1))
    photo = np.clip(photo, 0, 255)
    metal = np.clip(plain * np.float32(gain), 0, 255)
    away = np.abs(np.clip(marked * np.float32(gain), 0, 255) - metal).max(2)
    grey = np.ascontiguousarray(metal[..., 1])
    clutter = np.abs(grey - cv2.blur(grey, (13, 13)))
    return photo, np.dstack([away, clutter]), amount
