"""Smooth random noise, the stuff of cloth, brushed metal, stains and reflections."""

from __future__ import annotations

from typing import TYPE_CHECKING

import cv2
import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray


def noise(
    rng: np.random.Generator, h: int, w: int, scale_y: float, scale_x: float
) -> NDArray[np.float32]:
    """(h, w) noise of unit variance, its grain `scale_y` by `scale_x` pixels."""
    sh, sw = max(2, int(h / scale_y) + 2), max(2, int(w / scale_x) + 2)
    small = rng.standard_normal((sh, sw)).astype(np.float32)
    smooth = cv2.INTER_CUBIC if min(sh, sw) > 3 else cv2.INTER_LINEAR
    large = cv2.resize(small, (w, h), interpolation=smooth)
    return large / (large.std() + 1e-6)
