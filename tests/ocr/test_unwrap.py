"""Unrolling a ring drawn through OpenCV's own projection."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
from drawn_cylinder import Scene

from ocr.unwrap import unwrap

PHI = np.arange(-60.0, 61.0, 20.0)
LEVEL = np.array([-0.7, 0.0, 0.7])
SCENES = [
    Scene(),
    Scene(lean_deg=25, toward_deg=15),
    Scene(lean_deg=-80, toward_deg=-20, height_mm=5.0),
    Scene(lean_deg=8, toward_deg=12, distance_mm=60, focal_px=2400, off_mm=(2, -2)),
    # Far larger than the strip, so that it is reduced twice.
    Scene(lean_deg=5, toward_deg=-8, focal_px=19000, size=(3200, 2400)),
]


def dotted(scene: Scene) -> np.ndarray:
    """White dots, round on the metal, at PHI x LEVEL on black."""
    picture = np.zeros((*scene.size[::-1], 3), np.uint8)
    around = np.linspace(0, 2 * np.pi, 40)
    for phi in PHI:
        for level in LEVEL:
            z = level * scene.height_mm / 2
            size = 0.07 * scene.height_mm
            edge = scene.pixels(
                phi + np.degrees(size / scene.radius_mm) * np.cos(around),
                z + size * np.sin(around),
            )
            corners = np.round(edge * 256).astype(np.int32)
            cv2.fillPoly(picture, [corners], (255, 255, 255), cv2.LINE_AA, 8)
    return picture


def middle_of(strip: np.ndarray, x: float, y: float, reach: int) -> np.ndarray:
    """Where the light near a place has its centre."""
    left, top = max(0, round(x) - reach), max(0, round(y) - reach)
    patch = strip[top : round(y) + reach + 1, left : round(x) + reach + 1, 1].astype(
        float
    )
    rows, columns = np.indices(patch.shape)
    light = patch.sum()
    return np.array([(columns * patch).sum(), (rows * patch).sum()]) / light + (
        left,
        top,
    )


@pytest.mark.parametrize("scene", SCENES)
@pytest.mark.parametrize("px_height", [96, 160])
def test_unwrap__a_known_pattern_comes_back_within_a_pixel(
    scene: Scene, px_height: int
) -> None:
    strip = unwrap(dotted(scene), scene.pose, px_height=px_height)
    assert strip.bgr.shape[0] == px_height
    assert strip.bgr.dtype == np.uint8
    for phi in PHI:
        for level in LEVEL:
            x, y = strip.x_of(phi), strip.y_of(0.5 + level / 2)
            found = middle_of(strip.bgr, x, y, round(px_height / 9))
            assert found == pytest.approx((x, y), abs=1)


@pytest.mark.parametrize("scene", SCENES)
def test_unwrap__lengths_are_equal_along_both_axes(scene: Scene) -> None:
    strip = unwrap(dotted(scene), scene.pose)
    # 10 mm across: the circle is 10 pi mm round.
    round_mm = np.pi * 10 * strip.span_deg / 360
    high, wide = strip.bgr.shape[:2]
    assert wide / round_mm == pytest.approx(high / scene.height_mm)
    assert strip.span_deg == pytest.approx(150, abs=2 * strip.deg_per_px)
    assert strip.aspect == pytest.approx(scene.height_mm / 10)


def test_unwrap__a_ring_partly_out_of_the_picture() -> None:
    scene = Scene(off_mm=(13.0, 0.0))
    assert scene.face()[:, -1].any()
    strip = unwrap(dotted(scene), scene.pose)
    x, y = strip.x_of(-40), strip.y_of(0.5)
    assert middle_of(strip.bgr, x, y, 10) == pytest.approx((x, y), abs=1)


def test_unwrap__near_camera_shows_no_more_than_faces_it() -> None:
    scene = Scene(distance_mm=26, focal_px=1200)
    strip = unwrap(np.zeros((960, 1280, 3), np.uint8), scene.pose, half_span_deg=88)
    assert strip.span_deg / 2 < scene.pose.phi_limit_deg


def test_strip__places_and_pixels_are_inverse() -> None:
    strip = unwrap(np.zeros((960, 1280, 3), np.uint8), Scene().pose)
    high, wide = strip.bgr.shape[:2]
    assert strip.x_of(0.0) == pytest.approx((wide - 1) / 2)
    assert strip.phi_of(strip.x_of(31.0)) == pytest.approx(31.0)
    assert strip.phi_of(-0.5) == pytest.approx(-strip.span_deg / 2)
    assert strip.height_of(-0.5) == pytest.approx(1.0)
    assert strip.height_of(high - 0.5) == pytest.approx(0.0)
    assert strip.y_of(strip.height_of(20.0)) == pytest.approx(20.0)


def test_unwrap__fine_lines_are_averaged_not_skipped() -> None:
    # Black and white lines one pixel wide must come out grey where they are reduced.
    scene = Scene(focal_px=19000, size=(3200, 2400))
    picture = np.zeros((2400, 3200, 3), np.uint8)
    picture[::2] = 255
    strip = unwrap(picture, scene.pose, px_height=64)
    middle = strip.bgr[8:-8, strip.bgr.shape[1] // 4 : -strip.bgr.shape[1] // 4]
    assert middle.mean() == pytest.approx(127, abs=6)
    assert middle.std() < 20
