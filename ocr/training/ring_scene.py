"""Draw a ring on a leg: a strip wrapped on a cylinder before some background."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import cv2
import numpy as np

from ocr.training.backdrop import H, W, background, laid_over, tube, turned_axes
from ocr.training.grain import noise
from ocr.training.layout import lay_out
from ocr.training.metal import paint
from ocr.training.plumage import tufts
from ocr.training.sheet import HEIGHT

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from ocr.training.glyph_table import GlyphTable

    Scene = tuple[NDArray[np.float32], NDArray[np.float32], float]

_HALF_STRIP = 1.35
"""Half of what is painted of a ring, radians: it faces the camera."""


@dataclass(frozen=True)
class _Place:
    """Where a ring is: pixels; angles in radians."""

    centre: NDArray[np.float64]
    radius: float
    half: float
    """Half its height."""
    tilt: float
    """Towards the camera."""
    lx: NDArray[np.float32]
    """(H, W) across the ring from its axis."""
    ly: NDArray[np.float32]
    """(H, W) along its axis from its middle."""
    leg: float
    """Radius of the leg."""
    leg_lx: NDArray[np.float32]
    """(H, W) across the leg from its axis."""


def ring_scene(
    rng: np.random.Generator, table: GlyphTable, *, with_ring: bool
) -> Scene:
    """A drawn photo of a leg.

    Returns:
        (H, W, 3) picture, (H, W) how much of each pixel lies in the ring's outer
        face, and the angle of the ring's axis, radians, y up.
    """
    picture = background(rng)
    place, turn = _place(rng)
    if rng.random() < 0.93:
        colour, cover = tube(rng, place.leg_lx, place.ly, place.leg, texture=True)
        picture = laid_over(picture, colour, cover)
    face = np.zeros((H, W), np.float32)
    if with_ring:
        down = np.array([-math.sin(turn), math.cos(turn)])
        size = (place.radius, 2 * place.half)
        if rng.random() < 0.15:
            picture = tufts(rng, picture, place.centre, down, size)
        picture, face = _with_ring(rng, table, place, picture)
        if rng.random() < 0.4:
            picture = tufts(rng, picture, place.centre, down, size)
    elif rng.random() < 0.35:
        _blob(rng, place, picture)
    return picture, face, math.pi / 2 - turn


def _place(rng: np.random.Generator) -> tuple[_Place, float]:
    """A place, and by how much the ring's axis is turned from upright."""
    centre = np.array([W / 2 + rng.normal(0, 45), H / 2 + rng.normal(0, 32)])
    radius = W / 2 * np.exp(rng.uniform(np.log(0.13), np.log(0.76)))
    half = radius / np.exp(rng.uniform(np.log(0.62), np.log(3.3)))
    tilt = rng.normal(0, 0.2)
    turn = rng.normal(0, 0.35) + (math.pi / 2 if rng.random() < 0.25 else 0)
    taper = rng.normal(0, 0.02)
    lx, ly = turned_axes(centre, turn)
    lx = lx / (1 + taper * ly / radius)
    leg = radius * rng.uniform(0.4, 0.92)
    bend = rng.normal(0, 0.0006) * ly * ly
    shift = rng.uniform(-1, 1) * (radius - leg) * 0.7
    return _Place(centre, radius, half, tilt, lx, ly, leg, lx - shift - bend), turn


def _with_ring(
    rng: np.random.Generator,
    table: GlyphTable,
    place: _Place,
    picture: NDArray[np.float32],
) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    """The picture with a ring in it, and the ring's face."""
    radius, half, lx = place.radius, place.half, place.lx
    w = int(np.clip(HEIGHT * 2.7 * radius / (2 * half), 110, 900))
    sheet = lay_out(rng, table, w)
    if rng.random() < 0.1:
        sheet.mask[:] = 0
    _, skin = paint(rng, sheet)
    u = np.clip(lx / radius, -0.9999, 0.9999)
    bulge = radius * math.sin(place.tilt) * np.sqrt(1 - u * u)
    z = (place.ly - bulge) / math.cos(place.tilt)
    _open_end(rng, place, picture, skin.mean((0, 1)))
    inside = np.clip(radius - np.abs(lx) + 0.5, 0, 1)
    face = inside * np.clip(half - np.abs(z) + 0.5, 0, 1)
    mx = (w / 2 + np.arcsin(u) / _HALF_STRIP * w / 2).astype(np.float32)
    my = ((z / half + 1) / 2 * (HEIGHT - 1)).astype(np.float32)
    step = max(1.0, HEIGHT / (2 * half))
    soft = cv2.GaussianBlur(skin, (0, 0), 0.45 * step) if step > 1.2 else skin
    drawn = cv2.remap(soft, mx, my, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    edge = np.exp(-(((half - np.abs(z)) / 1.2) ** 2))[..., None]
    drawn = drawn * (1 + edge * rng.uniform(-0.5, 0.6))
    if rng.random() < 0.35:
        drawn = np.clip(drawn * _half_lit(rng, u)[..., None], 0, 255)
    return laid_over(picture, drawn, face), face


def _half_lit(rng: np.random.Generator, u: NDArray[np.float32]) -> NDArray[np.float32]:
    """(H, W) light on a ring of which one side mirrors a window, or the dark."""
    away = (np.arcsin(u) - rng.uniform(-1.2, 1.2)) / np.exp(rng.uniform(-4, -0.5))
    share = 0.5 + 0.5 * np.tanh(away * rng.choice([-1, 1]))
    if rng.random() < 0.5:
        return (1 + share * rng.uniform(0.3, 3)).astype(np.float32)
    return (1 - share * rng.uniform(0.3, 0.9)).astype(np.float32)


def _open_end(
    rng: np.random.Generator,
    place: _Place,
    picture: NDArray[np.float32],
    tone: NDArray[np.float32],
) -> None:
    """Paint the end that tilts to the camera: the far wall's inside, and the rim."""
    wall = rng.uniform(0.84, 0.95)
    radius, tilt = place.radius, place.tilt
    end = -np.sign(tilt) * place.half * math.cos(tilt)
    along = place.ly - end
    flat = max(1.0, abs(radius * math.sin(tilt)))
    outer = (place.lx / radius) ** 2 + (along / flat) ** 2 < 1
    flat = max(1.0, abs(radius * wall * math.sin(tilt)))
    inner = (place.lx / (radius * wall)) ** 2 + (along / flat) ** 2 < 1
    beside_leg = ~(np.abs(place.leg_lx) < place.leg)
    within = outer & beside_leg
    # The hollow mirrors itself and the leg: streaks along the axis.
    streaks = noise(rng, 2, W, 2, radius * np.exp(rng.uniform(-2.5, 0)))[:1]
    light = np.exp(streaks * rng.uniform(0, 0.6)) * rng.uniform(0.2, 1.1)
    light = np.broadcast_to(light, within.shape)[within]
    picture[within] = np.clip(tone * light[:, None], 0, 255)
    picture[outer & ~inner] = np.clip(tone * rng.uniform(0.7, 1.6), 0, 255)


def _blob(
    rng: np.random.Generator, place: _Place, picture: NDArray[np.float32]
) -> None:
    """Something round or square that is no ring."""
    x, y = int(place.centre[0]), int(place.centre[1])
    tone = tuple(rng.uniform(20, 230, 3))
    across, along = int(place.radius), int(place.half)
    if rng.random() < 0.5:
        cv2.circle(picture, (x, y), across, tone, -1, cv2.LINE_AA)
    else:
        corner, other = (x - across, y - along), (x + across, y + along)
        cv2.rectangle(picture, corner, other, tone, -1)
