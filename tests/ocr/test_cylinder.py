"""The ring's geometry against OpenCV's camera."""

from __future__ import annotations

import numpy as np
import pytest
from drawn_cylinder import Scene, filled, overlap

from ocr.cylinder import RingPose

SCENES = [
    Scene(),
    Scene(lean_deg=20, toward_deg=15, turn_deg=70),
    Scene(lean_deg=-80, toward_deg=-25, height_mm=4.0),
    Scene(lean_deg=170, toward_deg=10, height_mm=12.0, turn_deg=200),
    # Close and far off the middle, as a phone held near.
    Scene(lean_deg=12, toward_deg=-20, distance_mm=50, focal_px=1500, off_mm=(8, -5)),
]


@pytest.mark.parametrize("scene", SCENES)
def test_project__as_opencv_does(scene: Scene) -> None:
    phi, z = np.meshgrid(np.linspace(-180, 180, 25), np.linspace(-1, 1, 9))
    ours = scene.pose.project(phi, z * scene.pose.aspect)
    theirs = scene.pixels(phi, z * scene.height_mm / 2)
    assert np.abs(ours - theirs).max() < 1e-6


@pytest.mark.parametrize("scene", SCENES)
def test_surface__is_where_the_line_of_sight_meets_the_ring(scene: Scene) -> None:
    phi, z = np.meshgrid(np.linspace(-70, 70, 15), np.linspace(-1, 1, 5))
    found = scene.pose.surface(scene.pixels(phi, z * scene.height_mm / 2))
    assert np.abs(found[..., 0] - phi).max() < 1e-6
    assert np.abs(found[..., 1] - z * scene.pose.aspect).max() < 1e-6


def test_surface__misses_beside_the_ring() -> None:
    pose = Scene().pose
    assert np.isnan(pose.surface(np.array([[5.0, 480.0]]))).all()


@pytest.mark.parametrize("scene", SCENES)
def test_outline__encloses_the_face_that_opencv_draws(scene: Scene) -> None:
    ours = filled(scene.pose.outline(65), scene.size)
    assert overlap(ours, scene.face()) > 0.99


@pytest.mark.parametrize("scene", SCENES)
def test_phi_limit__the_surface_turns_away_there(scene: Scene) -> None:
    # Where the outline's sides lie no point of the ring reaches farther out.
    pose = scene.pose
    limit = pose.phi_limit_deg
    assert 75 < limit < 90
    middle, side = pose.project(0.0, 0.0), pose.project(limit, 0.0)
    edge = pose.project(limit, pose.aspect) - pose.project(limit, -pose.aspect)
    outward = np.array([edge[1], -edge[0]]) / np.linalg.norm(edge)
    outward *= np.sign(outward @ (side - middle))
    reach = (pose.project(np.linspace(limit - 8, limit + 8, 33), 0.0) - side) @ outward
    assert reach.argmax() == 16
    assert reach.max() == pytest.approx(0, abs=1e-9)


def test_far_camera__is_a_parallel_projection() -> None:
    pose = RingPose((100, 100), 50, 90, 0, 0.5, 0.0, (0, 0))
    assert pose.phi_limit_deg == pytest.approx(90)
    assert pose.project(30.0, 0.0) == pytest.approx((125, 100))  # sin 30 = 1/2
    assert pose.project(0.0, 0.5) == pytest.approx((100, 75))


def test_tilt__a_top_that_leans_toward_us_lets_the_rims_hang() -> None:
    rim = Scene(toward_deg=15).pose.rim(True, 3)
    assert rim[1, 1] > rim[[0, 2], 1].max()


@pytest.mark.parametrize("scene", SCENES)
def test_turned_over__same_places_from_the_other_end(scene: Scene) -> None:
    over = scene.pose.turned_over()
    assert over.project(-40.0, -0.3) == pytest.approx(scene.pose.project(40.0, 0.3))
    assert over.turned_over().axis_deg == pytest.approx(scene.pose.axis_deg)


def test_six_points__are_the_corners_and_middles() -> None:
    six = Scene().pose.six_points()
    assert six[0, 0] < six[1, 0] < six[2, 0]
    assert six[5, 0] < six[4, 0] < six[3, 0]
    assert (six[:3, 1] < six[3:, 1]).all()


def test_scaled__follows_the_picture() -> None:
    pose = Scene(lean_deg=20, toward_deg=10, off_mm=(3, 1)).pose
    small = pose.scaled(0.25)
    back = (small.outline() + 0.5) * 4 - 0.5
    assert np.abs(back - pose.outline()).max() < 1e-9
