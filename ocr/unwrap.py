"""Unroll the visible part of a ring onto a flat strip."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import cv2
import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from ocr.cylinder import Floats, RingPose

HALF_SPAN_DEG = 75.0
"""Farther round, a letter is seen at under a quarter of its width."""
_MOST_OVERSAMPLING = 6


@dataclass(frozen=True)
class Strip:
    """A ring unrolled: equal angle per pixel, lengths equal along both axes."""

    bgr: NDArray[np.uint8]
    """(H, W, 3) uint8; the top row lies at the ring's top rim, the bottom row at
    its bottom rim."""
    deg_per_px: float
    """Angle round the ring of one column."""
    aspect: float
    """The ring's height over its outer diameter."""

    @property
    def _width(self) -> int:
        return int(self.bgr.shape[1])

    @property
    def _height(self) -> int:
        return int(self.bgr.shape[0])

    @property
    def span_deg(self) -> float:
        """The angle that the whole width shows, centred on 0."""
        return self._width * self.deg_per_px

    def phi_of(self, x: float) -> float:
        """Degrees round the ring at a column; whole numbers are column centres."""
        return (x + 0.5 - self._width / 2) * self.deg_per_px

    def x_of(self, phi_deg: float) -> float:
        """The column at an angle; the inverse of `phi_of`."""
        return phi_deg / self.deg_per_px + self._width / 2 - 0.5

    def height_of(self, y: float) -> float:
        """Height at a row: 0 at the bottom rim, 1 at the top rim."""
        return 1.0 - (y + 0.5) / self._height

    def y_of(self, height: float) -> float:
        """The row at a height; the inverse of `height_of`."""
        return (1.0 - height) * self._height - 0.5


def unwrap(
    bgr: NDArray[np.uint8],
    pose: RingPose,
    *,
    px_height: int = 96,
    half_span_deg: float = HALF_SPAN_DEG,
) -> Strip:
    """Unroll a ring; perspective, both tilts and the curve are undone.

    Args:
        bgr: (H, W, 3) uint8, the picture that `pose` belongs to.
        pose: How the ring lies in it.
        px_height: Height of the strip, from rim to rim.
        half_span_deg: How far round to go to each side; less is shown when the
            surface turns away before.
    """
    half_span = min(half_span_deg, pose.phi_limit_deg - 1.0)
    deg_per_px = math.degrees(2 * pose.aspect / px_height)
    width = max(2, 2 * round(half_span / deg_per_px))
    # Pixels of the picture that one pixel of the strip covers in the ring's middle.
    coarse = 2 * pose.radius_px * pose.aspect / px_height
    reduce_by = math.floor(coarse / _MOST_OVERSAMPLING)
    if reduce_by > 1:
        bgr = _reduced(bgr, reduce_by)
        pose = pose.scaled(1 / reduce_by)
        coarse /= reduce_by
    fine = min(_MOST_OVERSAMPLING, max(1, math.ceil(coarse - 0.25)))
    spots = _spots(pose, px_height * fine, width * fine, deg_per_px / fine)
    strip = cv2.remap(
        bgr,
        spots[..., 0].astype(np.float32),
        spots[..., 1].astype(np.float32),
        cv2.INTER_CUBIC,
        borderMode=cv2.BORDER_REPLICATE,
    )
    if fine > 1:
        # Averaged, so that no fine line of the metal is skipped.
        strip = cv2.resize(strip, (width, px_height), interpolation=cv2.INTER_AREA)
    return Strip(np.asarray(strip, dtype=np.uint8), deg_per_px, pose.aspect)


def _reduced(bgr: NDArray[np.uint8], by: int) -> NDArray[np.uint8]:
    """The picture smaller by a whole number, cut to a multiple of it."""
    height, width = (side // by for side in bgr.shape[:2])
    whole = bgr[: height * by, : width * by]
    return np.asarray(
        cv2.resize(whole, (width, height), interpolation=cv2.INTER_AREA), np.uint8
    )


def _spots(pose: RingPose, height: int, width: int, deg_per_px: float) -> Floats:
    """(height, width, 2): where each pixel of the strip lies in the picture."""
    columns, rows = np.arange(width, dtype=np.float64), np.arange(height) + 0.5
    phi = (columns + 0.5 - width / 2) * deg_per_px
    z = pose.aspect * (1 - 2 * rows / height)
    return pose.project(phi[None, :], z[:, None])
