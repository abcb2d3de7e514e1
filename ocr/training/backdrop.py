"""What a photo of a ringed leg shows besides the ring."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import cv2
import numpy as np

from ocr.characters import ALPHABET
from ocr.training.grain import noise

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

W, H = 320, 256
"""Size of the photos drawn, as the face network sees them."""
_SKINS = [(140, 165, 215), (95, 125, 180), (60, 80, 120)]


def background(rng: np.random.Generator) -> NDArray[np.float32]:
    """Whatever lies behind a leg: cloth, wood, print, leaves, blur; (H, W, 3)."""
    tone = rng.uniform(10, 235, 3)
    picture = np.ones((H, W, 3), np.float32) * tone
    for _ in range(rng.integers(1, 4)):
        s = np.exp(rng.uniform(np.log(2), np.log(90), 2))
        picture += noise(rng, H, W, s[0], s[1])[..., None] * rng.normal(0, 22, 3)
    if rng.random() < 0.25:
        _leaves(rng, picture)
    if rng.random() < 0.2:
        _bars(rng, picture)
    if rng.random() < 0.2:
        picture = _hand(rng, picture.astype(np.float32))
    if rng.random() < 0.2:
        picture = np.clip(picture, 0, 255).astype(np.uint8)
        _print(rng, picture)
    return cv2.GaussianBlur(picture.astype(np.float32), (0, 0), rng.uniform(0.3, 6))


def _leaves(rng: np.random.Generator, picture: NDArray[np.float64]) -> None:
    for _ in range(rng.integers(2, 40)):
        at = (int(rng.uniform(0, W)), int(rng.uniform(0, H)))
        colour = tuple(rng.uniform(0, 255, 3))
        axes = (int(rng.uniform(2, 60)), int(rng.uniform(2, 25)))
        cv2.ellipse(picture, at, axes, rng.uniform(0, 180), 0, 360, colour, -1)


def _hand(
    rng: np.random.Generator, picture: NDArray[np.float32]
) -> NDArray[np.float32]:
    """Fingers side by side, as of the hand that holds the bird."""
    skin = np.array(rng.choice(_SKINS), np.float32) * rng.uniform(0.5, 1.2)
    a, wide = rng.uniform(0, math.pi), rng.uniform(15, 60)
    across, along = turned_axes((W / 2, H / 2), a)
    first = rng.normal(0, 2 * wide)
    for k in range(int(rng.integers(1, 6))):
        apart = across - first - k * wide * 1.9
        light, cover = tube(rng, apart, along, wide, texture=False)
        colour = light.mean(2, keepdims=True) / 120 * skin
        picture = laid_over(picture, colour, cover)
    return picture


def _bars(rng: np.random.Generator, picture: NDArray[np.float64]) -> None:
    a = rng.uniform(0, math.pi)
    step = rng.uniform(10, 60)
    yy, xx = np.mgrid[0:H, 0:W]
    d = (xx * math.cos(a) + yy * math.sin(a)) % step
    picture[d < rng.uniform(1, 5)] = rng.uniform(60, 240, 3)


def _print(rng: np.random.Generator, picture: NDArray[np.uint8]) -> None:
    for k in range(14):
        text = "".join(rng.choice(list(ALPHABET[:36] + "    "), 30))
        at = (int(rng.uniform(-40, 30)), 8 + k * 18)
        size, tone = rng.uniform(0.3, 0.6), tuple(rng.uniform(0, 120, 3))
        face = cv2.FONT_HERSHEY_SIMPLEX
        cv2.putText(picture, text, at, face, size, tone, 1, cv2.LINE_AA)


def turned_axes(
    middle: Sequence[float] | NDArray[np.float64], turn: float
) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    """(H, W) pixels across and along a line through `middle`, turned in radians."""
    yy, xx = np.mgrid[0:H, 0:W].astype(np.float32)
    dx, dy = xx - middle[0], yy - middle[1]
    return (
        dx * math.cos(turn) + dy * math.sin(turn),
        -dx * math.sin(turn) + dy * math.cos(turn),
    )


def laid_over(
    picture: NDArray[np.float32],
    colour: NDArray[np.float32],
    cover: NDArray[np.float32],
) -> NDArray[np.float32]:
    """(H, W, 3) picture under a colour that covers so much, (H, W), of each pixel."""
    return picture * (1 - cover[..., None]) + colour * cover[..., None]


def tube(
    rng: np.random.Generator,
    xx: NDArray[np.float32],
    yy: NDArray[np.float32],
    radius: float,
    *,
    texture: bool,
) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    """A lit cylinder, endless along its axis.

    Args:
        rng: chance.
        xx: (H, W) pixels across the cylinder from its axis.
        yy: (H, W) pixels along it.
        radius: pixels.
        texture: draw the ridges or scales of a bird's leg.

    Returns:
        (H, W, 3) colour and (H, W) how much of the pixel it covers.
    """
    u = xx / radius
    inside = np.clip((radius - np.abs(xx)) + 0.5, 0, 1)
    side = rng.uniform(-0.8, 0.8)
    n = np.sqrt(np.clip(1 - u * u, 0, 1))
    light = 0.45 + 0.6 * (n * math.cos(side) + u * math.sin(side))
    light = np.clip(light, 0.1, 1.3)
    tone = rng.uniform(25, 225, 3)
    if texture:
        step = rng.uniform(8, 30)
        ridges = 1 - 0.3 * np.exp(-((((yy + 3 * u * u) % step) / 1.6) ** 2))
        along = 0.12 * np.sin(yy / rng.uniform(1, 5))
        around = np.sin(np.arcsin(np.clip(u, -1, 1)) * rng.uniform(4, 12))
        scales = 1 + along * around
        light = light * (ridges if rng.random() < 0.5 else scales)
    return (tone * light[..., None]).astype(np.float32), inside.astype(np.float32)


def cover_some(
    rng: np.random.Generator, picture: NDArray[np.float32]
) -> NDArray[np.float32]:
    """Up to three fingers, feathers and wires before the leg."""
    for _ in range(rng.integers(0, 4)):
        a = rng.uniform(0, math.pi)
        c = rng.uniform(0, 1, 2) * (W, H)
        finger = rng.random() < 0.55
        r = rng.uniform(14, 55) if finger else rng.uniform(1, 5)
        lx, ly = turned_axes(c, a)
        colour, cover = tube(rng, lx, ly, r, texture=rng.random() < 0.3)
        if finger:
            tip = r - np.sqrt(lx * lx + np.maximum(-ly, 0) ** 2)
            cover = np.where(ly < 0, np.clip(tip + 0.5, 0, 1), cover)
            skin = np.array(rng.choice(_SKINS), np.float32)
            colour = colour.mean(2, keepdims=True) / 120 * skin
            middle = cover[H // 3 : 2 * H // 3, W // 3 : 2 * W // 3]
            if rng.random() < 0.7 and middle.mean() > 0.35:
                continue
        picture = laid_over(picture, colour, cover)
    return picture
