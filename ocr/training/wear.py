"""What befalls a ring before the camera: stains, scratches, something in the way.

Every function takes the strip without and with its text and treats both alike,
so that their difference tells afterwards what of the text can still be seen.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import cv2
import numpy as np

from ocr.training.grain import noise

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Pair = tuple[NDArray[np.float32], NDArray[np.float32]]

_SKIN_AND_FEATHERS = [(130, 150, 200), (90, 110, 160), (60, 60, 60), (80, 160, 90)]


def stained(rng: np.random.Generator, pair: Pair) -> Pair:
    """Dirt in soft patches or in flakes, on most strips."""
    if rng.random() >= 0.55:
        return pair
    h, w = pair[0].shape[:2]
    stain = noise(rng, h, w, *np.exp(rng.uniform(np.log(2.5), np.log(40), 2)))
    if rng.random() < 0.4:  # flakes gather in some places
        stain = stain + noise(rng, h, w, *rng.uniform(20, 60, 2)) - 0.5
    stain = (stain > rng.uniform(0.6, 2)).astype(np.float32)
    stain = cv2.GaussianBlur(stain, (0, 0), rng.uniform(0.3, 4))[..., None]
    stain = stain * rng.uniform(0.1, 0.97)
    tone = rng.uniform(20, 230) + rng.normal(0, 30, 3).astype(np.float32)
    grains = noise(rng, h, w, *rng.uniform(1, 6, 2))[..., None]
    tone = tone * (1 + grains * np.float32(rng.uniform(0, 0.2)))
    plain, marked = (p * (1 - stain) + tone * stain for p in pair)
    return plain, marked


def faded(rng: np.random.Generator, pair: Pair) -> tuple[Pair, NDArray[np.float32]]:
    """Text rubbed thin or flaked off in places, on a third of strips.

    Returns:
        The strips, and (H, W) share of the text that is left.
    """
    plain, marked = pair
    h, w = plain.shape[:2]
    if rng.random() >= 0.33:
        return pair, np.ones((h, w), np.float32)
    rubbed = noise(rng, h, w, *np.exp(rng.uniform(np.log(1.5), np.log(35), 2)))
    if rng.random() < 0.5:  # in some places more than in others
        rubbed = rubbed * rng.uniform(0.3, 1) + noise(rng, h, w, 50, 70)
    sharp = np.exp(rng.uniform(np.log(0.8), np.log(25)))
    left = np.clip((rng.uniform(0.2, 1.8) - rubbed) * sharp + 0.5, 0, 1)
    left = (1 - (1 - left) * rng.uniform(0.4, 1)).astype(np.float32)
    return (plain, plain + (marked - plain) * left[..., None]), left


def fitted(rng: np.random.Generator, pair: Pair) -> Pair:
    """The seam of a split ring or an edge along the axis, on some strips."""
    if rng.random() >= 0.12:
        return pair
    h, w = pair[0].shape[:2]
    x = rng.uniform(0, w)
    half = rng.uniform(0.5, 3)
    away = np.abs(np.arange(w, dtype=np.float32) - x)
    shown = np.clip(half + 0.5 - away, 0, 1)[None, :, None] * rng.uniform(0.4, 1)
    gleam = np.clip(1 - np.abs(away - half - 1) / 2, 0, 1)[None, :, None]
    gleam = 1 + gleam * rng.uniform(-0.3, 0.6)
    tone = np.full((h, 1, 1), rng.uniform(5, 60), np.float32)
    plain, marked = (p * gleam * (1 - shown) + tone * shown for p in pair)
    return plain, marked


def adorned(rng: np.random.Generator, pair: Pair) -> Pair:
    """Signs that are no character, such as issuers strike: on few strips."""
    if rng.random() >= 0.08:
        return pair
    h, w = pair[0].shape[:2]
    corners = int(rng.integers(3, 11))
    angle = np.arange(corners) * 2 * np.pi / corners + rng.uniform(0, 6.3)
    size = rng.uniform(10, 40)
    reach = size * np.where(np.arange(corners) % 2, rng.uniform(0.3, 1), 1)
    middle = rng.uniform(0, (w, h))
    points = middle + np.stack([np.cos(angle), np.sin(angle)], 1) * reach[:, None]
    sign = np.zeros((h, w), np.float32)
    outline = [np.round(points * 8).astype(np.int32)]
    if rng.random() < 0.5:
        cv2.fillPoly(sign, outline, 1, cv2.LINE_AA, 3)
    else:
        thick = int(rng.integers(1, 5))
        cv2.polylines(sign, outline, True, 1, thick, cv2.LINE_AA, 3)
    sign = sign[..., None] * rng.uniform(0.3, 1)
    gain = rng.uniform(0.2, 0.7) if rng.random() < 0.6 else rng.uniform(1.3, 2)
    plain, marked = (p * (1 - sign + sign * gain) for p in pair)
    return plain, marked


def scratched(rng: np.random.Generator, pair: Pair) -> Pair:
    """Up to five scratches, on about a third of strips."""
    plain, marked = pair
    h, w = plain.shape[:2]
    for _ in range(rng.integers(0, 6) if rng.random() < 0.35 else 0):
        p, q = rng.uniform(0, w, 2), rng.uniform(0, h, 2)
        line = np.zeros((h, w), np.float32)
        end = (int(p[0] + rng.normal(0, 40)), int(q[1]))
        cv2.line(line, (int(p[0]), int(q[0])), end, 1, 1, cv2.LINE_AA)
        gain = 1 + line[..., None] * rng.uniform(-0.5, 0.8)
        plain, marked = plain * gain, marked * gain
    return plain, marked


def feathered(rng: np.random.Generator, pair: Pair) -> tuple[Pair, NDArray[np.float32]]:
    """Feathers that hang over one rim, on a tenth of strips.

    Returns:
        The strips, and (H, W) 1 where they are covered.
    """
    h, w = pair[0].shape[:2]
    cover = np.zeros((h, w), np.float32)
    if rng.random() >= 0.1:
        return pair, cover
    rim = float(rng.choice([-2, h + 2]))
    reach = h * rng.uniform(0.1, 0.6) * (1 if rim < 0 else -1)
    middle, spread = rng.uniform(0, w), rng.uniform(20, 200)
    for _ in range(int(rng.integers(15, 120))):
        root = middle + rng.normal(0, spread)
        lean, bent = rng.normal(0, 0.5, 2)
        t = np.linspace(0, rng.uniform(0.3, 1), 5)
        hair = np.stack([root + reach * (lean * t + bent * t * t), rim + reach * t], 1)
        thick = int(rng.integers(1, 3))
        points = [np.round(hair * 8).astype(np.int32)]
        cv2.polylines(cover, points, False, rng.uniform(0.4, 1), thick, cv2.LINE_AA, 3)
    tone = rng.uniform(20, 220) + rng.normal(0, 15, 3).astype(np.float32)
    down = tone * (1 + 0.25 * noise(rng, h, w, 2, 2)[..., None])
    return _under(pair, cover, down), cover


def covered(rng: np.random.Generator, pair: Pair) -> tuple[Pair, NDArray[np.float32]]:
    """A finger or feather over one rim, on a fifth of strips.

    Returns:
        The strips, and (H, W) 1 where they are covered.
    """
    h, w = pair[0].shape[:2]
    cover = np.zeros((h, w), np.float32)
    if rng.random() >= 0.2:
        return pair, cover
    c = (rng.uniform(0, w), rng.choice([0, h]) + rng.normal(0, 10))
    axes = (int(rng.uniform(15, 90)), int(rng.uniform(8, 60)))
    lean = rng.uniform(-30, 30)
    at = (int(c[0]), int(c[1]))
    cv2.ellipse(cover, at, axes, lean, 0, 360, 1, -1, cv2.LINE_AA)
    tone = np.array(rng.choice(_SKIN_AND_FEATHERS), np.float32)
    tone = tone * rng.uniform(0.5, 1.3)
    skin = tone * (1 + 0.1 * noise(rng, h, w, 6, 6)[..., None])
    return _under(pair, cover, skin), cover


def _under(pair: Pair, cover: NDArray[np.float32], over: NDArray[np.float32]) -> Pair:
    """Both strips under what covers them, (H, W, 3)."""
    shown = cover[..., None]
    plain, marked = (p * (1 - shown) + over * shown for p in pair)
    return plain, marked
