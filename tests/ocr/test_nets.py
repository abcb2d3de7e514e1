"""The networks' files, and the map of a ring's face, on pictures drawn by OpenCV."""

from __future__ import annotations

import math
import threading
from concurrent.futures import ThreadPoolExecutor

import cv2
import numpy as np
import pytest
from drawn_cylinder import Scene, overlap
from drawn_strip import lettered, ringed_leg

from ocr import nets
from ocr.errors import ModelMissingError
from ocr.nets import face_map, run

SCENES = [
    Scene(),
    Scene(lean_deg=20, toward_deg=10),
    Scene(lean_deg=-12, toward_deg=-12, off_mm=(2, -2)),
    # Across the picture.
    Scene(lean_deg=-80, toward_deg=5),
    # Small: looked at twice.
    Scene(lean_deg=10, toward_deg=5, focal_px=2200, off_mm=(8, 5)),
]


def photo_of(scene: Scene) -> np.ndarray:
    return ringed_leg(scene, lettered("IE23 TWK 0142", cap=30, width=420)[0])


def spread(seen, size) -> np.ndarray:
    """The map as a mask of the picture's size."""
    height, width = seen.face.shape
    large = cv2.resize(
        (seen.face > 0.5).astype(np.uint8),
        (round(width * seen.scale), round(height * seen.scale)),
        interpolation=cv2.INTER_NEAREST,
    )
    mask = np.zeros(size[::-1], np.uint8)
    part = large[: size[1], : size[0]]
    mask[: part.shape[0], : part.shape[1]] = part
    return mask


@pytest.mark.parametrize("scene", SCENES)
def test_face_map__covers_the_drawn_ring(scene: Scene) -> None:
    seen = face_map(photo_of(scene))
    assert seen.presence > 0.9
    assert overlap(spread(seen, scene.size), scene.face()) > 0.8


@pytest.mark.parametrize("scene", SCENES)
def test_face_map__knows_the_rings_axis(scene: Scene) -> None:
    seen = face_map(photo_of(scene))
    cos, sin = (seen.axis[..., k][seen.face > 0.5].mean() for k in (0, 1))
    angle = math.degrees(math.atan2(sin, cos)) / 2
    assert abs((angle - scene.pose.axis_deg + 90) % 180 - 90) < 10


def test_face_map__a_small_ring_is_seen_finer() -> None:
    large, small = face_map(photo_of(SCENES[0])), face_map(photo_of(SCENES[-1]))
    assert small.scale < large.scale


def test_face_map__a_strip_of_a_picture_keeps_its_shape() -> None:
    tall = photo_of(SCENES[0])[:, 500:780]
    seen = face_map(tall)
    height, width = seen.face.shape
    assert height * seen.scale == pytest.approx(tall.shape[0], rel=0.05)
    assert width * seen.scale == pytest.approx(tall.shape[1], rel=0.05)


@pytest.mark.parametrize("grain", [1, 4, 40])
def test_face_map__finds_nothing_in_noise(grain: int) -> None:
    chance = np.random.default_rng(grain)
    small = chance.integers(0, 256, (480 // grain, 640 // grain, 3)).astype(np.uint8)
    seen = face_map(cv2.resize(small, (640, 480), interpolation=cv2.INTER_CUBIC))
    assert seen.presence < 0.3
    assert (seen.face > 0.5).mean() < 0.002


def test_two_threads__answer_as_one_does() -> None:
    pictures = [photo_of(scene) for scene in SCENES[:2]] * 2
    alone = [face_map(picture) for picture in pictures]
    with ThreadPoolExecutor(2) as pool:
        together = list(pool.map(face_map, pictures))
    for one, other in zip(alone, together, strict=True):
        assert np.allclose(one.face, other.face, atol=1e-5)
        assert np.allclose(one.axis, other.axis, atol=1e-4)


def test_file__is_loaded_once_for_a_thread(monkeypatch) -> None:
    loads = []
    load = nets._load

    def counted(path):
        loads.append(path.name)
        return load(path)

    monkeypatch.setattr(nets, "_load", counted)
    monkeypatch.setattr(nets, "_loaded", threading.local())
    black = np.zeros((1, 64, 64, 3), np.uint8)
    for name in ("face", "characters", "face", "characters"):
        run(name, black)
    assert loads == ["face.onnx", "characters.onnx"]


@pytest.mark.parametrize("name", ["face", "characters"])
def test_file__missing_is_said(name: str, monkeypatch, tmp_path) -> None:
    monkeypatch.setattr(nets, "_MODELS", tmp_path)
    monkeypatch.setattr(nets, "_loaded", threading.local())
    with pytest.raises(ModelMissingError, match=rf"{name}\.onnx is missing"):
        run(name, np.zeros((1, 64, 64, 3), np.uint8))


@pytest.mark.parametrize("size", [0, 1000, 200_000])
def test_file__half_copied_is_said(size: int, monkeypatch, tmp_path) -> None:
    whole = (nets._MODELS / "face.onnx").read_bytes()
    (tmp_path / "face.onnx").write_bytes(whole[:size])
    monkeypatch.setattr(nets, "_MODELS", tmp_path)
    monkeypatch.setattr(nets, "_loaded", threading.local())
    with pytest.raises(ModelMissingError, match="damaged"):
        run("face", np.zeros((1, 64, 64, 3), np.uint8))
