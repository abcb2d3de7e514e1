"""A ring before a pinhole camera: pure geometry, no pictures.

Frames
    Picture: x right, y down, pixels; a pixel's centre has whole coordinates.
    Camera: X right, Y down, Z away from the viewer; lengths in ring radii,
        origin in the ring's middle.
    Ring: angle `phi` round the axis, 0 where the surface faces the camera and
        growing to the right with the ring's top up; height `z` along the axis
        in radii, 0 in the middle.

A point P of the camera frame falls on the pixel
`eye + (centre - eye + radius_px * P_xy) / (1 + taper * P_z)`,
which is the pinhole camera with focal length `radius_px / taper` pixels, written
so that the far-away camera, `taper` 0, needs no case of its own.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

MAX_TAPER = 0.2
"""A camera nearer than five radii is not a photo of a ring but of its middle."""


@dataclass(frozen=True)
class RingPose:
    """How a ring lies in a picture: all that is needed to unroll it."""

    centre: tuple[float, float]
    """The ring's middle, (x, y) pixels."""
    radius_px: float
    """Outer radius at the distance of the ring's middle, pixels."""
    axis_deg: float
    """Direction of the ring's top in the picture: from the x axis, counter-clockwise
    as seen; 90 is up."""
    tilt_deg: float
    """How far the ring's top leans toward the camera, -90..90."""
    aspect: float
    """Ring height over outer diameter, which is also half the height in radii."""
    taper: float
    """Perspective: one over the camera's distance in radii; 0 for far away."""
    eye: tuple[float, float]
    """Where the camera's line of sight meets the picture: its middle if uncropped."""
    score: float = 1.0
    """How well the picture bears the pose out, 0..1."""
    others: int = 0
    """Other rings that seem to be in the same picture."""

    @cached_property
    def frame(self) -> Floats:
        """(3, 3): rows right, top and front of the ring in the camera frame."""
        axis, tilt = math.radians(self.axis_deg), math.radians(self.tilt_deg)
        top = np.array(
            [
                math.cos(tilt) * math.cos(axis),
                -math.cos(tilt) * math.sin(axis),
                -math.sin(tilt),
            ]
        )
        sight = self._sight
        front = -(sight - (sight @ top) * top)
        front /= np.linalg.norm(front)
        # The cross product written out; numpy's is slow for one vector.
        right = np.array(
            [
                top[1] * front[2] - top[2] * front[1],
                top[2] * front[0] - top[0] * front[2],
                top[0] * front[1] - top[1] * front[0],
            ]
        )
        return np.stack([right, top, front])

    @property
    def _sight(self) -> Floats:
        """(3,): from the camera to the ring's middle, 1 long in Z."""
        offset = np.subtract(self.centre, self.eye) * (self.taper / self.radius_px)
        return np.append(offset, 1.0)

    @cached_property
    def phi_limit_deg(self) -> float:
        """The angle at which the surface turns away from the camera."""
        sight, top = self._sight, self.frame[1]
        across = float(np.linalg.norm(sight - (sight @ top) * top))
        return math.degrees(math.acos(min(1.0, self.taper / across)))

    def project(self, phi_deg: Floats | float, z: Floats | float) -> Floats:
        """Surface points in the picture.

        Args:
            phi_deg: Angles, any shape that broadcasts with `z`.
            z: Heights in radii; the rims lie at -aspect and +aspect.

        Returns:
            (..., 2) pixels, whether or not the point faces the camera.
        """
        phi = np.radians(np.asarray(phi_deg, dtype=np.float64))[..., None]
        height = np.asarray(z, dtype=np.float64)[..., None]
        right, top, front = self.frame
        # Round and up are kept apart until the last, which is cheaper on a grid.
        around = np.sin(phi) * right + np.cos(phi) * front
        up = height * top
        depth = (1.0 + self.taper * around[..., 2:]) + self.taper * up[..., 2:]
        eye = np.asarray(self.eye)
        flat: Floats = (
            (np.asarray(self.centre) - eye + self.radius_px * around[..., :2])
            + self.radius_px * up[..., :2]
        ) / depth
        flat += eye
        return flat

    def surface(self, points_xy: Floats) -> Floats:
        """Where the lines of sight through pixels first meet the endless cylinder.

        Args:
            points_xy: (..., 2) pixels.

        Returns:
            (..., 2): phi in degrees and z in radii; NaN where the sight misses.
        """
        points = np.asarray(points_xy, dtype=np.float64)
        zeros = np.zeros((*points.shape[:-1], 1))
        # On the line of sight P = start + P_z * step, linear even for taper 0.
        start = np.concatenate(
            [(points - self.centre) / self.radius_px, zeros], axis=-1
        )
        step = np.concatenate(
            [(points - self.eye) * (self.taper / self.radius_px), zeros + 1.0], axis=-1
        )
        right, top, front = self.frame
        flat = np.stack([right, front], axis=-1)
        start_flat, step_flat = start @ flat, step @ flat
        a = np.sum(step_flat**2, axis=-1)
        b = np.sum(start_flat * step_flat, axis=-1)
        c = np.sum(start_flat**2, axis=-1) - 1.0
        root = b * b - a * c
        depth = (-b - np.sqrt(np.where(root >= 0, root, np.nan))) / a
        hit = start + depth[..., None] * step
        phi = np.degrees(np.arctan2(hit @ right, hit @ front))
        return np.stack([phi, hit @ top], axis=-1)

    def rim(self, top: bool, n: int = 33, limit_deg: float | None = None) -> Floats:
        """(n, 2): the visible arc of one rim, left to right with the ring upright."""
        limit = self.phi_limit_deg if limit_deg is None else limit_deg
        return self.project(
            np.linspace(-limit, limit, n), self.aspect if top else -self.aspect
        )

    def outline(self, n: int = 33) -> Floats:
        """The visible outer face as a polygon.

        Args:
            n: Points on each rim.

        Returns:
            (2n, 2) pixels: the top rim left to right, the bottom rim back; the
            polygon's two closing edges are the sides, which are straight.
        """
        return np.concatenate([self.rim(True, n), self.rim(False, n)[::-1]])

    def six_points(self) -> Floats:
        """(6, 2): top left, middle, right, then bottom right, middle, left."""
        return np.concatenate([self.rim(True, 3), self.rim(False, 3)[::-1]])

    def scaled(self, factor: float) -> RingPose:
        """The same pose in the picture enlarged by `factor`."""

        def grown(point: tuple[float, float]) -> tuple[float, float]:
            # Whole coordinates are pixel centres, so the corner lies at -0.5.
            return (
                (point[0] + 0.5) * factor - 0.5,
                (point[1] + 0.5) * factor - 0.5,
            )

        return replace(
            self,
            centre=grown(self.centre),
            eye=grown(self.eye),
            radius_px=self.radius_px * factor,
        )

    def turned_over(self) -> RingPose:
        """The same ring with its other end called the top."""
        return replace(
            self, axis_deg=(self.axis_deg + 180.0) % 360.0, tilt_deg=-self.tilt_deg
        )
