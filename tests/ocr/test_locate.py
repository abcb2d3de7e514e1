"""Finding the ring's pose from a map of its face."""

from __future__ import annotations

import math
from dataclasses import replace

import cv2
import numpy as np
import pytest
from drawn_cylinder import DrawnMap, Scene, drawn_map, filled, overlap

from ocr.locate import fit_pose, pose_from_points

SCENES = [
    Scene(),
    Scene(lean_deg=25, toward_deg=12),
    Scene(lean_deg=-15, toward_deg=-20, height_mm=4.0, off_mm=(4, -3)),
    Scene(lean_deg=-85, toward_deg=8),
    Scene(lean_deg=5, toward_deg=-5, height_mm=12.0, focal_px=4800),
    # As high as wide in the picture: sides and axis could be mistaken.
    Scene(lean_deg=10, toward_deg=3, height_mm=10.0),
    # Small in the picture.
    Scene(lean_deg=8, toward_deg=-10, focal_px=1700, off_mm=(20, 14)),
    # Near the camera: strong perspective.
    Scene(lean_deg=-10, toward_deg=18, distance_mm=60, focal_px=2400),
]


def axis_apart(one: float, other: float) -> float:
    return abs((one - other + 90) % 180 - 90)


@pytest.mark.parametrize("scene", SCENES)
def test_fit__the_outline_is_the_rings(scene: Scene) -> None:
    pose = fit_pose(drawn_map(scene.face(), scene.pose.axis_deg))
    assert pose is not None
    assert overlap(filled(pose.outline(), scene.size), scene.face()) > 0.98
    assert axis_apart(pose.axis_deg, scene.pose.axis_deg) < 1
    assert math.sin(math.radians(pose.axis_deg)) >= 0


@pytest.mark.parametrize("scene", SCENES)
def test_fit__places_on_the_ring_are_found_again(scene: Scene) -> None:
    pose = fit_pose(drawn_map(scene.face(), scene.pose.axis_deg))
    assert pose is not None
    phi, level = np.meshgrid(np.linspace(-50, 50, 11), np.linspace(-0.8, 0.8, 5))
    found = pose.surface(scene.pixels(phi, level * scene.height_mm / 2))
    upright = 1 if abs(pose.axis_deg - scene.pose.axis_deg) < 90 else -1
    assert np.abs(upright * found[..., 0] - phi).max() < 2
    heights = upright * found[..., 1] / pose.aspect / 2
    assert np.abs(heights - level / 2).max() < 0.03


def bitten(scene: Scene, phi: float, level: float, size: float) -> np.ndarray:
    """The face with a round bite taken out, its size in radii of the ring."""
    mask = scene.face()
    x, y = scene.pixels(phi, level * scene.height_mm / 2)
    radius = round(size * scene.pose.radius_px)
    cv2.circle(mask, (round(x), round(y)), radius, 0, -1)
    return mask


@pytest.mark.parametrize("scene", SCENES[:5])
@pytest.mark.parametrize(
    ("phi", "level", "size"), [(20, 1, 0.35), (-30, -1, 0.4), (88, 0, 0.2), (0, 0, 0.3)]
)
def test_fit__a_finger_or_feather_over_it(
    scene: Scene, phi: float, level: float, size: float
) -> None:
    mask = bitten(scene, phi, level, size)
    pose = fit_pose(drawn_map(mask, scene.pose.axis_deg))
    assert pose is not None
    assert overlap(filled(pose.outline(), scene.size), scene.face()) > 0.95


def test_fit__a_finger_right_across_it() -> None:
    scene = Scene(lean_deg=10, toward_deg=5)
    mask = scene.face()
    ends = [scene.pixels(-15.0, z) for z in (-6.0, 6.0)]
    cv2.line(mask, *[(round(x), round(y)) for x, y in ends], 0, 60)
    pose = fit_pose(drawn_map(mask, scene.pose.axis_deg))
    assert pose is not None
    assert overlap(filled(pose.outline(), scene.size), scene.face()) > 0.95


def test_fit__a_second_blob_elsewhere() -> None:
    scene = Scene(lean_deg=-12, toward_deg=10)
    mask = scene.face()
    cv2.circle(mask, (150, 150), 70, 255, -1)
    pose = fit_pose(drawn_map(mask, scene.pose.axis_deg))
    assert pose is not None
    assert overlap(filled(pose.outline(), scene.size), scene.face()) > 0.97


def test_fit__the_axis_is_not_known() -> None:
    scene = Scene(lean_deg=15, toward_deg=10)
    known = drawn_map(scene.face(), scene.pose.axis_deg)
    lost = replace(known, axis=np.zeros_like(known.axis))
    pose = fit_pose(lost)
    assert pose is not None
    assert overlap(filled(pose.outline(), scene.size), scene.face()) > 0.9


def test_fit__a_ring_cut_off_by_the_picture() -> None:
    scene = Scene(lean_deg=5, toward_deg=8, off_mm=(13.0, 0.0))
    assert scene.face()[:, -1].any()
    pose = fit_pose(drawn_map(scene.face(), scene.pose.axis_deg))
    assert pose is not None
    assert overlap(filled(pose.outline(), scene.size), scene.face()) > 0.93


def empty() -> np.ndarray:
    return np.zeros((960, 1280), np.uint8)


def disc() -> np.ndarray:
    return cv2.circle(empty(), (640, 480), 200, 255, -1)


def speck() -> np.ndarray:
    return cv2.rectangle(empty(), (600, 480), (625, 500), 255, -1)


def triangle() -> np.ndarray:
    corners = np.array([[300, 800], [980, 760], [640, 120]])
    return cv2.fillPoly(empty(), [corners], 255)


def thread() -> np.ndarray:
    return cv2.line(empty(), (0, 100), (1279, 700), 255, 8)


@pytest.mark.parametrize("draw", [empty, disc, speck, triangle, thread])
@pytest.mark.parametrize("axis_deg", [90.0, 25.0])
def test_fit__nothing_like_a_ring(draw, axis_deg: float) -> None:
    assert fit_pose(drawn_map(draw(), axis_deg)) is None


def test_fit__the_network_sees_no_ring() -> None:
    scene = Scene()
    unlikely = replace(drawn_map(scene.face(), 90.0), presence=0.1)
    assert fit_pose(unlikely) is None


def test_fit__even_noise_all_over() -> None:
    chance = np.random.default_rng(8)
    face = chance.uniform(0.2, 0.8, (240, 320)).astype(np.float32)
    axis = chance.normal(0, 1, (240, 320, 2)).astype(np.float32)
    assert fit_pose(DrawnMap(face, axis)) is None


@pytest.mark.parametrize("scene", SCENES)
def test_points__marked_by_hand(scene: Scene) -> None:
    limit = scene.pose.phi_limit_deg
    half = scene.height_mm / 2
    phi = np.array([-limit, 0, limit, limit, 0, -limit])
    marked = scene.pixels(phi, np.array([half] * 3 + [-half] * 3))
    # A hand is good to about a hundredth of the ring: common practice, no source.
    shaken = (
        marked
        + np.random.default_rng(2).normal(0, 0.01, marked.shape) * scene.pose.radius_px
    )
    pose = pose_from_points(shaken, scene.size)
    assert overlap(filled(pose.outline(), scene.size), scene.face()) > 0.95
    assert axis_apart(pose.axis_deg, scene.pose.axis_deg) < 1
    assert abs(pose.tilt_deg - scene.pose.tilt_deg) < 4


@pytest.mark.parametrize(
    ("points", "says"),
    [([(0, 0)] * 5, "six points"), ([(5.0, 5.0)] * 6, "enclose no ring")],
)
def test_points__that_mark_nothing(points, says: str) -> None:
    with pytest.raises(ValueError, match=says):
        pose_from_points(points, (640, 480))


def test_fit__a_second_ring_is_counted() -> None:
    scene = Scene(lean_deg=-12, toward_deg=10, focal_px=1700, off_mm=(-14.0, 0.0))
    other = Scene(lean_deg=8, focal_px=1700, off_mm=(14.0, 4.0))
    alone = fit_pose(drawn_map(scene.face(), scene.pose.axis_deg))
    both = fit_pose(drawn_map(scene.face() | other.face(), scene.pose.axis_deg))
    assert alone is not None
    assert both is not None
    assert (alone.others, both.others) == (0, 1)
