"""Light on a strip: lamps, bands of a mirrored room, ragged where metal is brushed."""

from __future__ import annotations

from typing import TYPE_CHECKING

import cv2
import numpy as np

from ocr.training.grain import noise
from ocr.training.sheet import HEIGHT

if TYPE_CHECKING:
    from numpy.typing import NDArray


def lighting(rng: np.random.Generator, w: int, *, metal: bool) -> NDArray[np.float32]:
    """Light over the strip, (HEIGHT, w); metal mirrors its room in bands."""
    x = np.linspace(-1, 1, w, dtype=np.float32)
    light = 0.75 + 0.25 * np.cos(x * 1.3 + rng.normal(0, 0.6))
    if metal:
        bands = noise(rng, 2, w, 2, w / rng.uniform(2, 14))[0] * rng.uniform(0.1, 0.5)
        light = light * np.exp(bands)
    for _ in range(rng.integers(0, 3)):
        strength = rng.uniform(0.1, 1.0)
        away = (x - rng.uniform(-1, 1)) / rng.uniform(0.02, 0.35)
        light = light + strength * np.exp(-0.5 * away**2)
    light = light.astype(np.float32)
    if metal:
        both = shown(light, seen_from(rng, w))
    else:
        both = np.repeat(light[None], HEIGHT, 0)
    slope = np.linspace(-1, 1, HEIGHT, dtype=np.float32)[:, None]
    return both * np.float32(1 + rng.normal(0, 0.12) * slope)


def room(rng: np.random.Generator, w: int) -> NDArray[np.float32]:
    """What a polished ring mirrors from side to side: (w, 3) light, 1 in the mean."""
    x = np.linspace(-1, 1, w)
    bands = noise(rng, 2, w, 2, w / rng.uniform(2, 9))[0] * rng.uniform(0.2, 1.1)
    if rng.random() < 0.25:  # windows, bars, leaves: narrow, with hard edges
        narrow = noise(rng, 2, w, 2, w / rng.uniform(9, 30))[0]
        bands += rng.uniform(0.3, 1.0) * np.tanh(narrow * rng.uniform(1, 4))
    tint = noise(rng, 2, w, 2, w / rng.uniform(1.5, 5))[0]
    coloured = 0.14 if rng.random() < 0.8 else 0.35
    light = np.exp(np.clip(bands, -2.2, 1.2))[:, None] * (
        1 + np.clip(tint, -2, 2)[:, None] * rng.normal(0, coloured, 3)
    )
    for _ in range(rng.integers(0, 3)):
        away = (x - rng.uniform(-1, 1)) / rng.uniform(0.03, 0.3)
        light += rng.uniform(0.3, 2.0) * np.exp(-0.5 * away[:, None] ** 2)
    return np.clip(light, 0.03, 3.5).astype(np.float32)


def seen_from(rng: np.random.Generator, w: int) -> NDArray[np.float32]:
    """(HEIGHT, w) column of the room that each place of the metal mirrors.

    Polished metal mirrors its own column; brushed or dented metal, one beside it.
    """
    columns = np.repeat(np.arange(w, dtype=np.float32)[None], HEIGHT, 0)
    kind = rng.random()
    if kind < 0.45:
        return columns
    if kind < 0.75:  # brushed round the ring: every row a little otherwise
        grain = noise(
            rng, HEIGHT, w, np.exp(rng.uniform(0, 1.6)), rng.uniform(0.1, 1) * w
        )
    else:  # dented, or scuffed
        grain = noise(rng, HEIGHT, w, *np.exp(rng.uniform(0.5, 3.8, 2)))
    return columns + grain * np.float32(w * np.exp(rng.uniform(-6, -2.8)))


def shown(
    row: NDArray[np.float32], columns: NDArray[np.float32]
) -> NDArray[np.float32]:
    """The room's light, (w,) or (w, 3), at (H, w) columns."""
    # Mirrored beyond its ends, as far as anything asks.
    w = len(row)
    at = np.abs((columns + w) % (2 * w) - w)
    zero = np.zeros_like(columns)
    return cv2.remap(
        row[None], at.astype(np.float32), zero, cv2.INTER_LINEAR, None,
        cv2.BORDER_REPLICATE,
    )  # fmt: skip
