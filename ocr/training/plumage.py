"""Feathers about a ringed leg: tufts that hang over a rim of the ring, or behind it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import cv2
import numpy as np

from ocr.training.backdrop import laid_over
from ocr.training.grain import noise

if TYPE_CHECKING:
    from numpy.typing import NDArray


def tuft(
    rng: np.random.Generator,
    picture: NDArray[np.float32],
    rim: NDArray[np.float64],
    onto: NDArray[np.float64],
    size: tuple[float, float],
) -> NDArray[np.float32]:
    """The picture with a tuft that grows from the leg and hangs towards a ring.

    From a few single hairs to the whole belly of a bird.

    Args:
        rng: Chance.
        picture: (H, W, 3) BGR.
        rim: Middle of the ring's rim that is nearer, pixels.
        onto: Unit vector from that rim over the ring.
        size: The ring's radius and height, pixels.
    """
    h, w = picture.shape[:2]
    radius, height = size
    across = np.array([-onto[1], onto[0]])
    over = height * rng.uniform(-0.2, 1.1) * rng.uniform(0.3, 1)
    back = radius * rng.uniform(0.1, 1.5)
    spread = radius * np.exp(rng.uniform(-1.2, 0.9))
    middle = radius * rng.normal(0, 0.4)
    cover = np.zeros((h, w), np.float32)
    shade = np.zeros((h, w), np.float32)
    thick = int(rng.integers(1, 4))
    wild = rng.uniform(0.05, 0.7)
    for _ in range(int(np.exp(rng.uniform(np.log(15), np.log(350))))):
        side = middle + spread * rng.normal()
        length = (back + over) * rng.uniform(0.2, 1.0)
        lean, bent = rng.normal(0, wild, 2)
        t = np.linspace(0, 1, 5)[:, None]
        root = rim - onto * back * rng.uniform(0.3, 1) + across * side
        hair = root + length * (onto * t + across * (lean * t + bent * t * t))
        points = [np.round(hair * 8).astype(np.int32)]
        cv2.polylines(cover, points, False, 1, thick, cv2.LINE_AA, 3)
        cv2.polylines(shade, points, False, rng.normal(), thick, cv2.LINE_AA, 3)
    tone = rng.uniform(10, 235) + rng.normal(0, 35, 3) * (rng.random() < 0.6)
    light = 1 + shade * rng.uniform(0.05, 0.4) + 0.2 * noise(rng, h, w, 30, 30)
    down = tone.astype(np.float32) * np.clip(light, 0.1, 1.8)[..., None]
    cover *= np.float32(rng.uniform(0.5, 1))
    return laid_over(picture, down.astype(np.float32), cover)


def tufts(
    rng: np.random.Generator,
    picture: NDArray[np.float32],
    middle: NDArray[np.float64],
    axis: NDArray[np.float64],
    size: tuple[float, float],
) -> NDArray[np.float32]:
    """The picture with a tuft at one end of a ring or, seldom, at both.

    Args:
        rng: Chance.
        picture: (H, W, 3) BGR.
        middle: Of the ring's face, pixels.
        axis: Unit vector along the ring's axis, either way.
        size: The ring's radius and height, pixels.
    """
    ends = [1, -1] if rng.random() < 0.1 else [int(rng.choice([1, -1]))]
    for end in ends:
        rim = middle + axis * (end * size[1] / 2)
        picture = tuft(rng, picture, rim, -end * axis, size)
    return picture
