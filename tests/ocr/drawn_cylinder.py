"""Rings before a camera, drawn through OpenCV's own projection.

Nothing here uses the project's geometry: points on a cylinder go through
`cv2.projectPoints`, the pinhole camera of OpenCV's calibration module.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

import cv2
import numpy as np

from ocr.cylinder import RingPose


@dataclass(frozen=True)
class Scene:
    """A ring of 10 mm outer diameter before a camera."""

    lean_deg: float = 0.0
    """In the picture, counter-clockwise."""
    toward_deg: float = 0.0
    turn_deg: float = 0.0
    """Round its own axis: which part faces the camera."""
    height_mm: float = 7.0
    distance_mm: float = 140.0
    off_mm: tuple[float, float] = (0.0, 0.0)
    focal_px: float = 5600.0
    size: tuple[int, int] = (1280, 960)

    radius_mm = 5.0

    @property
    def matrix(self) -> np.ndarray:
        x, y = self.size[0] / 2 - 0.5, self.size[1] / 2 - 0.5
        return np.array([[self.focal_px, 0, x], [0, self.focal_px, y], [0, 0, 1.0]])

    @property
    def rotation(self) -> np.ndarray:
        """Ring frame (Z its axis, -Y its front) to OpenCV's camera (Y down, Z away)."""

        def turn(axis, degrees):
            return cv2.Rodrigues(np.array(axis, float) * math.radians(degrees))[0]

        upright = np.array([[1.0, 0, 0], [0, 0, -1], [0, 1, 0]])
        lean, toward = turn([0, 0, -1], self.lean_deg), turn([1, 0, 0], self.toward_deg)
        return lean @ toward @ upright @ turn([0, 0, 1], self.turn_deg)

    @property
    def shift(self) -> np.ndarray:
        return np.array([*self.off_mm, self.distance_mm], float)

    @property
    def facing_deg(self) -> float:
        """The angle, counted on the ring, that faces the camera."""
        camera = -self.rotation.T @ self.shift
        return math.degrees(math.atan2(camera[0], -camera[1]))

    def pixels(self, phi_deg, z_mm) -> np.ndarray:
        """Surface points in the picture; `phi_deg` 0 is what faces the camera."""
        phi, z = np.broadcast_arrays(
            np.radians(phi_deg) + math.radians(self.facing_deg), z_mm
        )
        points = self.radius_mm * np.stack(
            [np.sin(phi), -np.cos(phi), 0 * phi], axis=-1
        )
        points[..., 2] = z
        flat, _ = cv2.projectPoints(
            points.reshape(-1, 3),
            cv2.Rodrigues(self.rotation)[0],
            self.shift,
            self.matrix,
            None,
        )
        return flat.reshape(*phi.shape, 2)

    @property
    def pose(self) -> RingPose:
        """What the project calls this scene."""
        top = self.rotation[:, 2]
        return RingPose(
            centre=tuple(
                cv2.projectPoints(
                    np.zeros((1, 3)),
                    cv2.Rodrigues(self.rotation)[0],
                    self.shift,
                    self.matrix,
                    None,
                )[0].ravel()
            ),
            radius_px=self.focal_px * self.radius_mm / self.distance_mm,
            axis_deg=math.degrees(math.atan2(-top[1], top[0])) % 360,
            tilt_deg=math.degrees(math.asin(-top[2])),
            aspect=self.height_mm / (2 * self.radius_mm),
            taper=self.radius_mm / self.distance_mm,
            eye=(self.size[0] / 2 - 0.5, self.size[1] / 2 - 0.5),
        )

    def face(self) -> np.ndarray:
        """(H, W) uint8, 255 on the visible face: small patches that face the camera."""
        mask = np.zeros(self.size[::-1], np.uint8)
        edges = np.linspace(-92, 92, 185)
        half = self.height_mm / 2
        corners = np.stack(
            [self.pixels(edges, half), self.pixels(edges, -half)], axis=1
        )
        for a, b in itertools.pairwise(corners):
            patch = np.array([a[0], b[0], b[1], a[1]])
            side, across = patch[1] - patch[0], patch[3] - patch[0]
            if side[0] * across[1] - side[1] * across[0] > 0:
                cv2.fillConvexPoly(
                    mask, np.round(patch * 256).astype(np.int32), 255, 8, 8
                )
        return mask


@dataclass(frozen=True)
class DrawnMap:
    """A face map as a network would give it."""

    face: np.ndarray
    axis: np.ndarray
    scale: float = 4.0
    presence: float = 1.0


def drawn_map(mask: np.ndarray, axis_deg: float, *, noise: float = 0.02) -> DrawnMap:
    """Reduced to a quarter, softened, and noisy."""
    chance = np.random.default_rng(3)
    height, width = mask.shape
    small = cv2.resize(mask, (width // 4, height // 4), interpolation=cv2.INTER_AREA)
    face = cv2.GaussianBlur(small.astype(np.float32) / 255, (0, 0), 1.0)
    face = np.clip(face + chance.normal(0, noise, face.shape), 0, 1).astype(np.float32)
    twice = math.radians(2 * axis_deg)
    axis = chance.normal((math.cos(twice), math.sin(twice)), 0.2, (*face.shape, 2))
    return DrawnMap(face, axis.astype(np.float32))


def overlap(one: np.ndarray, other: np.ndarray) -> float:
    """Intersection over union of two masks."""
    return float(((one > 0) & (other > 0)).sum() / ((one > 0) | (other > 0)).sum())


def filled(outline: np.ndarray, size: tuple[int, int]) -> np.ndarray:
    """(H, W) uint8: a polygon filled by OpenCV."""
    mask = np.zeros(size[::-1], np.uint8)
    cv2.fillPoly(mask, [np.round(outline * 256).astype(np.int32)], 255, cv2.LINE_8, 8)
    return mask
