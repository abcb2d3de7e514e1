"""A camera that is not there, and one that shakes. Frames are drawn."""

from __future__ import annotations

import datetime as dt

import cv2
import numpy as np
import pytest

from ocr.camera import CameraMissingError, sharpness, take_photo

NOW = dt.datetime(2026, 5, 4, 9, 30, tzinfo=dt.UTC)


class FakeCamera:
    """Gives its frames in turn, then the last one again."""

    def __init__(self, frames, answers=True):
        self.frames, self.answers, self.released = list(frames), answers, False

    def isOpened(self):  # noqa: N802 - OpenCV's name
        return self.answers

    def read(self):
        if not self.frames:
            return False, None
        return True, self.frames.pop(0) if len(self.frames) > 1 else self.frames[0]

    def release(self):
        self.released = True


def scene(blur):
    picture = np.full((120, 160, 3), 90, np.uint8)
    cv2.putText(picture, "K7", (30, 80), cv2.FONT_HERSHEY_SIMPLEX, 2, (240,) * 3, 5)
    return cv2.GaussianBlur(picture, (0, 0), blur) if blur else picture


def test_sharpness__falls_with_blur():
    values = [sharpness(scene(blur)) for blur in (0, 1, 3, 6)]
    assert values == sorted(values, reverse=True)


def test_sharpest_frame__is_kept_as_jpeg(tmp_path):
    frames = [scene(4)] * 7 + [scene(0)] + [scene(4)] * 9
    camera = FakeCamera(frames)
    path = take_photo(tmp_path / "new", now=NOW, opened=lambda _: camera)
    kept = cv2.imread(str(path))
    assert path.name == "camera-20260504-093000-000000.jpg"
    assert kept.shape == (120, 160, 3)
    assert sharpness(kept) > 0.7 * sharpness(scene(0))
    assert camera.released


def test_no_camera__a_sentence_with_a_way_out(tmp_path):
    camera = FakeCamera([], answers=False)
    with pytest.raises(CameraMissingError, match="No camera answers") as raised:
        take_photo(tmp_path, now=NOW, opened=lambda _: camera)
    assert "photo inbox" in raised.value.hint
    assert camera.released
    assert list(tmp_path.iterdir()) == []


def test_camera_without_pictures__is_no_camera(tmp_path):
    with pytest.raises(CameraMissingError):
        take_photo(tmp_path, now=NOW, opened=lambda _: FakeCamera([]))


def test_real_camera_number_that_is_not_there__is_quiet(tmp_path, capfd):
    with pytest.raises(CameraMissingError):
        take_photo(tmp_path, now=NOW, camera=97)
    assert capfd.readouterr().err == ""
