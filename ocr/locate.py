"""Find the ring: from the map of its face to its pose in the picture."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING, Protocol

import cv2
import numpy as np

from ocr.cylinder import Floats, RingPose
from ocr.pose_fit import (
    TYPICAL_TAPER,
    Samples,
    fit_to_map,
    fit_to_points,
    outline_samples,
)
from ocr.pose_guess import guess_poses, reshaped

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from ocr.steps import StepWriter

__all__ = ["FaceMap", "RingPose", "find_ring", "fit_pose", "pose_from_points"]

LEAST_PRESENCE = 0.5
"""Below this chance that a ring is in the picture, none is looked for."""
LEAST_SCORE = 0.55
"""Below this, what the map shows has not the shape of a ring."""
LEAST_IF_READ = 0.3
"""The same where a ring is there for certain, and characters are to bear it out:
feathers that hang over a rim spoil its shape."""
_THERE_FOR_CERTAIN = 0.95
_LEAST_AREA = 0.002
_SURE = 0.6
_LIKE_SIZE = 0.25
"""Another part of the map this large beside the ring found is taken for a ring."""
_MOST_BLOBS = 3


class FaceMap(Protocol):
    """Where a network sees a ring's face; see `ocr.nets.face_map`."""

    @property
    def face(self) -> NDArray[np.float32]:
        """(h, w) chance that the pixel lies in the ring's visible outer face."""

    @property
    def axis(self) -> NDArray[np.float32]:
        """(h, w, 2) cosine and sine of twice the axis angle, counter-clockwise."""

    @property
    def scale(self) -> float:
        """Picture pixels per map pixel."""

    @property
    def presence(self) -> float:
        """Chance that a ring is in the picture at all."""


def find_ring(
    bgr: NDArray[np.uint8],
    steps: StepWriter | None = None,
    *,
    aspect: float | None = None,
) -> RingPose | None:
    """The pose of the ring in a picture.

    Args:
        bgr: (H, W, 3) uint8.
        steps: Writes the network's map of the ring's face.
        aspect: The ring's height over its diameter, where other photos tell it.

    Returns:
        The pose in pixels of `bgr`; None when nothing in it is like a ring. One with
        a low score is a ring only if characters are read on it (`ocr.shape`).

    Raises:
        ModelMissingError: the network's file is not where it belongs.
    """
    from ocr.nets import face_map

    seen = face_map(bgr)
    if steps is not None:
        steps.write("face map", seen.face)
    certain = seen.presence >= _THERE_FOR_CERTAIN
    return fit_pose(
        seen, aspect=aspect, least=LEAST_IF_READ if certain else LEAST_SCORE
    )


def fit_pose(
    face_map: FaceMap, *, aspect: float | None = None, least: float = LEAST_SCORE
) -> RingPose | None:
    """The pose that a face map bears out best.

    Args:
        face_map: What the network saw.
        aspect: The ring's height over its diameter, where it is known.
        least: Score of a pose that is worth reading.

    Returns:
        The pose in pixels of the full picture, its top the upper end in the
        picture; None when nothing in the map has the shape of a ring.
    """
    if face_map.presence < LEAST_PRESENCE:
        return None
    face = without_holes(np.ascontiguousarray(face_map.face, dtype=np.float32))
    first = guesses(face, face_map.axis)
    if aspect is not None:
        first = [pose for guess in first for pose in reshaped(guess, aspect)]
    poses = [fitted(face, face_map.axis, guess, aspect) for guess in first]
    best = max(poses, key=lambda pose: _claim(face, pose), default=None)
    if best is None or best.score < least:
        return None
    return replace(best, others=_others(face, best)).scaled(face_map.scale)


def _others(face: NDArray[np.float32], pose: RingPose) -> int:
    """Parts of the map, apart from the ring that was found, that may be rings too."""
    around = _within(replace(pose, radius_px=pose.radius_px * 1.15), face.shape)
    rest = ((face > _SURE) & ~around).astype(np.uint8)
    count, _, stats, _ = cv2.connectedComponentsWithStats(rest, connectivity=4)
    least = _LIKE_SIZE * float(_within(pose, face.shape).sum())
    return int((stats[1:count, cv2.CC_STAT_AREA] > least).sum())


def _claim(face: NDArray[np.float32], pose: RingPose) -> float:
    """The score, less for a pose that leaves much of the map unexplained."""
    within = _within(pose, face.shape)
    sure = face > 0.5
    return pose.score * math.sqrt((within & sure).sum() / max(1, int(sure.sum())))


def without_holes(face: NDArray[np.float32]) -> NDArray[np.float32]:
    """The map with the doubts inside its parts removed; a ring's face has no holes."""
    outlines, _ = cv2.findContours(
        (face > 0.5).astype(np.uint8), cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE
    )
    whole = np.zeros(face.shape, np.uint8)
    cv2.drawContours(whole, outlines, -1, 1, cv2.FILLED)
    # The border itself keeps its soft slope.
    core = cv2.erode(whole, np.ones((5, 5), np.uint8), borderValue=1)
    return np.where(core > 0, np.float32(1.0), face)


def guesses(face: NDArray[np.float32], axis: NDArray[np.float32]) -> list[RingPose]:
    """Poses to start from, in map pixels, for each blob of the map."""
    found = []
    for blob in _blobs(face):
        weight = np.where(blob, face, 0.0)
        mean = (axis * weight[..., None]).sum(axis=(0, 1)) / weight.sum()
        angle = math.degrees(math.atan2(mean[1], mean[0])) / 2 % 180
        found += guess_poses(blob, angle)
        if math.hypot(*mean) < 0.5:
            # The field does not know: the ring may also lie across it.
            found += guess_poses(blob, (angle + 90) % 180)
    return found


def _blobs(face: NDArray[np.float32]) -> list[NDArray[np.bool_]]:
    """The largest connected parts of the map, and the two largest as one."""
    level = max(0.3, 0.5 * float(face.max()))
    count, labels, stats, _ = cv2.connectedComponentsWithStats(
        (face > level).astype(np.uint8), connectivity=4
    )
    areas = stats[1:count, cv2.CC_STAT_AREA]
    order = [
        int(i) + 1
        for i in np.argsort(-areas)[:_MOST_BLOBS]
        if areas[i] >= max(30, _LEAST_AREA * face.size, 0.1 * areas.max())
    ]
    blobs: list[NDArray[np.bool_]] = [labels == i for i in order]
    if len(blobs) > 1:
        # A finger across the ring cuts its face in two.
        blobs.append(np.isin(labels, order[:2]))
    return blobs


def fitted(
    face: NDArray[np.float32],
    axis: NDArray[np.float32],
    guess: RingPose,
    aspect: float | None = None,
) -> RingPose:
    """The guess fitted to the map, top up, scored by how well the map bears it out."""
    pose, offsets = fit_to_map(face, guess, aspect=aspect)
    if math.sin(math.radians(pose.axis_deg)) < -1e-9:
        pose = pose.turned_over()
    return replace(pose, score=_score(face, axis, pose, offsets))


def _score(
    face: NDArray[np.float32],
    axis: NDArray[np.float32],
    pose: RingPose,
    offsets: Floats,
) -> float:
    """0..1: overlap near the ring, times how much of its border is borne out."""
    within = _within(pose, face.shape)
    area = int(within.sum())
    if area < max(30, _LEAST_AREA * face.size):
        return 0.0
    # Other blobs of the map do not speak against this one.
    near = _within(replace(pose, radius_px=pose.radius_px * 1.3), face.shape)
    overlap = float(face[within].sum()) / (area + float(face[near & ~within].sum()))
    part = outline_samples().part
    seen = np.isfinite(offsets)
    if sum(int(seen[part == i].sum()) >= 4 for i in range(4)) < 3:
        return 0.0
    borne_out = [_borne_out(offsets[part == i]) for i in range(4)]
    weight = face * within
    mean = (axis * weight[..., None]).sum(axis=(0, 1)) / max(float(weight.sum()), 1e-6)
    twice = math.radians(2 * pose.axis_deg)
    agrees = float(mean @ np.array([math.cos(twice), math.sin(twice)]))
    # Nobody photographs a ring to read it from this far above or below.
    steep = max(0.0, abs(pose.tilt_deg) - 30.0) / 30.0
    # Both sides and both rims: the worst counts as much as all others together.
    shape = 0.5 * min(borne_out) + 0.5 * sum(borne_out) / 4
    return max(
        0.0, overlap * (0.6 + 0.4 * shape) * (0.85 + 0.15 * agrees) * (1 - 0.5 * steep)
    )


def _within(pose: RingPose, shape: tuple[int, ...]) -> NDArray[np.bool_]:
    """The pixels of a map that lie in a pose's outline."""
    mask = np.zeros(shape, np.uint8)
    corners = np.clip(np.round(pose.outline(25) * 16), -1e6, 1e6).astype(np.int32)
    cv2.fillPoly(mask, [corners], 1, cv2.LINE_8, 4)
    return mask > 0


def _borne_out(offsets: Floats) -> float:
    """The share of a side or rim where the map's border lies on the outline."""
    seen = offsets[np.isfinite(offsets)]
    if len(seen) < 4:
        return 0.4
    return float(np.mean(np.abs(seen) < 1.2))


def pose_from_points(
    points_xy: Sequence[tuple[float, float]] | Floats, size: tuple[int, int]
) -> RingPose:
    """The pose marked by hand.

    Args:
        points_xy: Six points on the rims, with the ring upright: top left, top
            middle, top right, bottom right, bottom middle, bottom left.
        size: Width and height of the picture, pixels.

    Raises:
        ValueError: not six points, or they enclose no ring.
    """
    points = np.asarray(points_xy, dtype=np.float64)
    if points.shape != (6, 2):
        raise ValueError("A ring is marked by six points.")
    top, bottom = points[[0, 2]].mean(axis=0), points[[5, 3]].mean(axis=0)
    radius = float(np.linalg.norm(points[[2, 3]].mean(0) - points[[0, 5]].mean(0))) / 2
    up = top - bottom
    tall = float(np.linalg.norm(up))
    if min(radius, tall) < 2:
        raise ValueError("The six points enclose no ring.")
    hang = (points[[1, 4]].mean(axis=0) - (top + bottom) / 2) @ -(up / tall)
    tilt = math.asin(min(max(float(hang) / radius, -0.8), 0.8))
    start = RingPose(
        centre=(float(points[:, 0].mean()), float((top[1] + bottom[1]) / 2)),
        radius_px=radius,
        axis_deg=math.degrees(math.atan2(-up[1], up[0])) % 360,
        tilt_deg=math.degrees(tilt),
        aspect=tall / (2 * radius * math.cos(tilt)),
        taper=TYPICAL_TAPER,
        eye=(size[0] / 2 - 0.5, size[1] / 2 - 0.5),
    )
    marks = Samples(
        share=np.array([-1.0, 0.0, 1.0, 1.0, 0.0, -1.0]),
        level=np.array([1.0, 1.0, 1.0, -1.0, -1.0, -1.0]),
        part=np.array([2, 2, 2, 3, 3, 3]),
    )
    return fit_to_points(start, marks, points)
