"""Unrolled rings and ringed legs lettered by OpenCV itself.

The typeface is the one that OpenCV 5 carries inside itself (`cv2.putText`). It is
not in the table of typefaces that the character network was trained on.
"""

from __future__ import annotations

import math

import cv2
import numpy as np
from drawn_cylinder import Scene

HEIGHT = 96
"""Rows of a strip as rings are unrolled."""
SILVER = (178, 182, 186)
FACE = cv2.FONT_HERSHEY_DUPLEX


def blank(width: int = 280, height: int = HEIGHT, colour=SILVER) -> np.ndarray:
    """Bare metal, brighter in the middle than at its ends, with a little grain."""
    across = np.cos(np.linspace(-1.2, 1.2, width)) * 0.5 + 0.5
    strip = across[None, :, None] * np.array(colour, float) * np.ones((height, 1, 1))
    strip += np.random.default_rng(4).normal(0, 1.5, strip.shape)
    return np.clip(strip, 0, 255).astype(np.uint8)


def lettered(
    text: str, *, cap: int = 40, width: int = 280, height: int = HEIGHT, colour=SILVER
):
    """A line of text in the middle of a strip.

    Returns:
        The strip, and (N, 4) each character's centre x, y, width and height as its
        pixels show them.
    """
    strip = blank(width, height, colour)
    scale = cap / cv2.getTextSize("H", FACE, 1, 2)[0][1]
    pitch = max(cv2.getTextSize(c, FACE, scale, 2)[0][0] for c in text) + 2
    left = (width - pitch * len(text)) / 2
    boxes = []
    for k, character in enumerate(text):
        wide = cv2.getTextSize(character, FACE, scale, 2)[0][0]
        x = round(left + pitch * (k + 0.5) - wide / 2)
        ink = np.zeros((height, width), np.uint8)
        at = (x, round(height / 2 + cap * 0.4))
        cv2.putText(ink, character, at, FACE, scale, 255, 2, cv2.LINE_AA)
        cover = ink[..., None] / 255
        strip = (strip * (1 - cover) + np.array((35, 32, 30)) * cover).astype(np.uint8)
        x, y, w, h = cv2.boundingRect((ink > 100).astype(np.uint8))
        if w:
            boxes.append((x + (w - 1) / 2, y + (h - 1) / 2, w, h))
    return strip, np.array(boxes)


def axial(text: str, *, down: bool) -> np.ndarray:
    """Text along the leg: read from the upper rim down, or from the lower up."""
    # Drawn along a ring of the strip's height, then laid on its side.
    lying, _ = lettered(text, cap=26, width=HEIGHT, height=80)
    way = cv2.ROTATE_90_CLOCKWISE if down else cv2.ROTATE_90_COUNTERCLOCKWISE
    strip = blank()
    strip[:, 100:180] = cv2.rotate(lying, way)
    return strip


def ringed_leg(scene: Scene, strip: np.ndarray) -> np.ndarray:
    """A photo: the strip wrapped round the scene's ring, on a leg."""
    width, height = scene.size
    picture = np.full((height, width, 3), (40.0, 25.0, 10.0))
    picture += np.linspace(70, 120, height)[:, None, None]
    _paint_leg(scene, picture)
    tall, wide = strip.shape[:2]
    angles, rows = np.linspace(-90, 90, 91), np.linspace(0.5, -0.5, 41)
    grid = scene.pixels(angles[None], rows[:, None] * scene.height_mm)
    for i in range(len(rows) - 1):
        for j in range(len(angles) - 1):
            x = (angles[j] + 91) / 182 * wide
            colour = strip[int((i + 0.5) / 40 * tall), int(min(x, wide - 1))]
            light = 0.35 + 0.65 * math.cos(math.radians(angles[j] - 20) * 0.9)
            patch = grid[[i, i, i + 1, i + 1], [j, j + 1, j + 1, j]]
            corners = np.round(patch * 16).astype(np.int32)
            tone = (colour * light).tolist()
            cv2.fillConvexPoly(picture, corners, tone, cv2.LINE_8, 4)
    picture += np.random.default_rng(6).normal(0, 3, picture.shape)
    picture = cv2.GaussianBlur(picture, (0, 0), 1.2)
    return np.clip(picture, 0, 255).astype(np.uint8)


def _paint_leg(scene: Scene, picture: np.ndarray) -> None:
    """A lit cylinder thinner than the ring, through the whole picture."""
    thin = Scene(**{**scene.__dict__, "height_mm": 60.0})
    object.__setattr__(thin, "radius_mm", 3.4)
    angles = np.linspace(-88, 88, 60)
    ends = thin.pixels(angles[None], np.array([[30.0], [-30.0]]))
    for j in range(len(angles) - 1):
        patch = ends[[0, 0, 1, 1], [j, j + 1, j + 1, j]]
        light = 0.4 + 0.6 * math.cos(math.radians(angles[j]))
        tone = [110 * light, 125 * light, 140 * light]
        corners = np.round(patch).astype(np.int32)
        cv2.fillConvexPoly(picture, corners, tone)
