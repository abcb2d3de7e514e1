"""Least squares for ring poses: to a soft map of the ring's face, or to points.

Source of the method: K. Levenberg, "A method for the solution of certain
non-linear problems in least squares", Quarterly of Applied Mathematics 2 (1944);
weights after P. J. Huber, "Robust Statistics" (1981), with Cauchy's function.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import cv2
import numpy as np

from ocr.cylinder import MAX_TAPER, Floats, RingPose

if TYPE_CHECKING:
    from numpy.typing import NDArray

TYPICAL_TAPER = 0.04
"""Most photos are taken from some 25 radii away."""
_TAPER_SPREAD = 0.02
_TILT_SPREAD = math.radians(25.0)
_SHAPE_SPREAD = 0.004
"""Firmer than other photos tell the ring's shape: a false rim pulls with all its
samples."""
_STEPS = np.array([1e-2, 1e-2, 1e-4, 1e-4, 1e-4, 1e-4, 1e-4])
_FIRMNESS = 2.0
_PER_SIDE, _PER_RIM = 24, 40


def _numbers(pose: RingPose) -> Floats:
    """The seven degrees of freedom."""
    return np.array(
        [
            *pose.centre,
            math.log(pose.radius_px),
            math.radians(pose.axis_deg),
            math.radians(pose.tilt_deg),
            math.log(pose.aspect),
            pose.taper,
        ]
    )


def _pose(numbers: Floats, eye: tuple[float, float]) -> RingPose:
    x, y, size, axis, tilt, aspect, taper = numbers.tolist()
    steepest = math.radians(60.0)
    return RingPose(
        centre=(x, y),
        radius_px=math.exp(min(max(size, -2.0), 12.0)),
        axis_deg=math.degrees(axis) % 360.0,
        tilt_deg=math.degrees(min(max(tilt, -steepest), steepest)),
        aspect=math.exp(min(max(aspect, -3.0), 2.0)),
        taper=min(max(taper, 0.0), MAX_TAPER),
        eye=eye,
    )


@dataclass(frozen=True)
class Samples:
    """Places on a ring's outline, the same on every ring."""

    share: Floats
    """(n,) phi as a share of the angle where the surface turns away, -1..1."""
    level: Floats
    """(n,) height, -1 at the bottom rim, 1 at the top rim."""
    part: NDArray[np.intp]
    """(n,) 0 left side, 1 right side, 2 top rim, 3 bottom rim."""

    def of(self, pose: RingPose) -> Floats:
        """(n, 2) pixels."""
        return pose.project(self.share * pose.phi_limit_deg, self.level * pose.aspect)

    def normals(self, pose: RingPose) -> Floats:
        """(n, 2) unit vectors out of the face."""
        limit = pose.phi_limit_deg
        shift = 1e-3
        along_rim = self.part >= 2
        ahead = pose.project(
            (self.share + shift * along_rim) * limit,
            (self.level + shift * ~along_rim) * pose.aspect,
        )
        tangent = ahead - self.of(pose)
        normal = np.stack([tangent[:, 1], -tangent[:, 0]], axis=-1)
        middle = pose.project(0.0, 0.0)
        outward = np.sign(np.sum(normal * (self.of(pose) - middle), axis=-1))
        length = np.linalg.norm(normal, axis=-1)
        unit: Floats = normal * (outward / np.maximum(length, 1e-12))[:, None]
        return unit


def outline_samples() -> Samples:
    """Even samples of both sides and both rims, corners left out."""
    side = np.linspace(-0.94, 0.94, _PER_SIDE)
    # Angles whose points lie evenly across the picture.
    rim = np.arcsin(np.linspace(-0.985, 0.985, _PER_RIM)) / (math.pi / 2)
    share = np.concatenate([0 * side - 1, 0 * side + 1, rim, rim])
    level = np.concatenate([side, side, 0 * rim + 1, 0 * rim - 1])
    part = np.repeat([0, 1, 2, 3], [len(side), len(side), len(rim), len(rim)])
    return Samples(share, level, part)


def fit_to_map(
    face: NDArray[np.float32], start: RingPose, *, aspect: float | None = None
) -> tuple[RingPose, Floats]:
    """Move a pose until its outline lies on the border of a soft map.

    The border is found below a pixel: across the outline, the integral of the map
    tells how far the border lies from it. A bite out of the border, or a blob on
    it, is an outlier and loses its weight.

    Args:
        face: (h, w) chance that a pixel lies in the ring's face, 0..1.
        start: A pose roughly right, in map pixels.
        aspect: The ring's height over its diameter, where it is known.

    Returns:
        The pose, and for each of `outline_samples()` how far the map's border lies
        outside it, map pixels; NaN where the outline leaves the picture.
    """
    samples = outline_samples()
    thickness = 2 * start.radius_px * min(1.0, start.aspect)
    reaches = [max(4.0, thickness * share) for share in (0.15, 0.1)]
    known = _USUAL
    if aspect is not None:
        known += (_Known(5, math.log(aspect), _SHAPE_SPREAD),)
    pose = start
    for reach in [*reaches, *[4.0] * 4, *[3.0] * 4]:
        pose = _step(face, pose, samples, reach, known)
    return pose, _offsets(face, pose, samples, 3.0)


def _offsets(
    face: NDArray[np.float32], pose: RingPose, samples: Samples, reach: float
) -> Floats:
    """(n,) how far outside the outline the border lies; NaN out of the picture."""
    places, normals = samples.of(pose), samples.normals(pose)
    count = max(9, 2 * math.ceil(reach) + 1)
    across = (np.arange(count) + 0.5) / count * 2 * reach - reach
    spots = places[:, None, :] + across[None, :, None] * normals[:, None, :]
    profile = cv2.remap(
        face,
        spots[..., 0].astype(np.float32),
        spots[..., 1].astype(np.float32),
        cv2.INTER_LINEAR,
        borderMode=cv2.BORDER_REPLICATE,
    )
    # A network is rarely quite sure: what it half believes in is taken for the ring.
    profile = np.clip((profile - 0.5) * _FIRMNESS + 0.5, 0.0, 1.0)
    offsets: Floats = profile.mean(axis=1).astype(np.float64) * 2 * reach - reach
    height, width = face.shape
    seen = (
        np.abs(places + 0.5 - (width / 2, height / 2)) < (width / 2, height / 2)
    ).all(axis=1)
    return np.where(seen, offsets, np.nan)


@dataclass(frozen=True)
class _Known:
    """What is known beforehand of one degree of freedom."""

    index: int
    usual: float
    spread: float


_USUAL: tuple[_Known, ...] = (
    _Known(6, TYPICAL_TAPER, _TAPER_SPREAD),
    _Known(4, 0.0, _TILT_SPREAD),
)


def _step(
    face: NDArray[np.float32],
    pose: RingPose,
    samples: Samples,
    reach: float,
    before: tuple[_Known, ...],
) -> RingPose:
    """One damped Gauss-Newton step."""
    offsets = _offsets(face, pose, samples, reach)
    normals = samples.normals(pose)
    numbers = _numbers(pose)
    base = samples.of(pose)
    columns = []
    for i, size in enumerate(_STEPS):
        moved = numbers.copy()
        moved[i] += size
        columns.append(
            np.sum((samples.of(_pose(moved, pose.eye)) - base) * normals, -1)
        )
    slopes = np.stack(columns, axis=1) / _STEPS
    known = np.isfinite(offsets)
    spread = max(0.5, reach / 6)
    weights = 1 / (1 + (offsets[known] / spread) ** 2)
    # Where the border is nowhere within reach, its distance means little.
    weights *= np.where(
        np.abs(offsets[known]) > 0.9 * reach, 0.3 if reach > 4 else 0.05, 1
    )
    step = _solve(slopes[known], offsets[known], weights, numbers, before)
    return _pose(numbers + step, pose.eye)


def _solve(
    slopes: Floats,
    offsets: Floats,
    weights: Floats,
    numbers: Floats,
    before: tuple[_Known, ...] = _USUAL,
) -> Floats:
    """The weighted step, with what is known beforehand."""
    normal = slopes.T @ (slopes * weights[:, None])
    target = slopes.T @ (offsets * weights)
    for known in before:
        i = known.index
        normal[i, i] += 1 / known.spread**2
        target[i] += (known.usual - numbers[i]) / known.spread**2
    normal += np.diag(1e-3 * np.diag(normal) + 1e-9)
    return np.asarray(np.linalg.solve(normal, target), np.float64)


def fit_to_points(start: RingPose, samples: Samples, points: Floats) -> RingPose:
    """The pose whose outline passes nearest to marked points.

    Args:
        start: A pose roughly right.
        samples: Which place on the ring each point marks.
        points: (n, 2) pixels.
    """
    pose = start
    # Hand marks are good to about a hundredth of the ring's size.
    trust = np.full(points.size, (100.0 / start.radius_px) ** 2)
    for _ in range(25):
        numbers, base = _numbers(pose), samples.of(pose)
        columns = []
        for i, size in enumerate(_STEPS):
            moved = numbers.copy()
            moved[i] += size
            columns.append((samples.of(_pose(moved, pose.eye)) - base).ravel() / size)
        slopes = np.stack(columns, axis=1)
        step = _solve(slopes, (points - base).ravel(), trust, numbers)
        pose = _pose(numbers + step, pose.eye)
    return pose
