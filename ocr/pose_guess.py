"""First poses from a blob's edges, by votes: bites out of the edge are outvoted.

Source of the method: P. V. C. Hough, "Method and means for recognizing complex
patterns", US patent 3069654 (1962): every piece of edge votes for the curves that
could run through it.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING

import cv2
import numpy as np

from ocr.cylinder import Floats, RingPose
from ocr.pose_fit import TYPICAL_TAPER

if TYPE_CHECKING:
    from numpy.typing import NDArray

_TURNS_DEG = (-6.0, 0.0, 6.0)
_TILTS_DEG = np.arange(-42.0, 42.1, 3.0)
_KEPT = 2
_WITHIN_PX = 1.5
_SIDE_SHARE, _RIM_SHARE = 0.4, 0.5


def guess_poses(blob: NDArray[np.bool_], axis_deg: float) -> list[RingPose]:
    """The likeliest poses of a ring that shows as this blob.

    Args:
        blob: (h, w) the pixels that may be its face.
        axis_deg: About where its axis points.

    Returns:
        A few poses in the blob's pixels, likeliest first; none when the blob is
        too thin to tell.
    """
    ranked = []
    for turn in _TURNS_DEG:
        upright, back = _upright(blob, axis_deg + turn)
        for votes, place in _votes(upright):
            # The network's axis is worth a little.
            ranked.append((votes - 0.03 * abs(turn) / 6, axis_deg + turn, back, place))
    ranked.sort(key=lambda entry: -entry[0])
    height, width = blob.shape
    eye = (width / 2 - 0.5, height / 2 - 0.5)
    return [_pose(place, axis, back, eye) for _, axis, back, place in ranked[:_KEPT]]


def reshaped(guess: RingPose, aspect: float) -> list[RingPose]:
    """The guess with the ring's true shape: one of its edges is where it was not.

    Either rim may be false, or both, or a side, or both: the others stay.

    Args:
        guess: A pose of any shape.
        aspect: Height over diameter.
    """
    top = guess.frame[1][:2]
    right = guess.frame[0][:2]
    lower = (guess.aspect - aspect) * guess.radius_px
    radius = guess.radius_px * guess.aspect / aspect
    moved = [(lower * keep * top, guess.radius_px) for keep in (0, 1, -1)]
    moved += [
        ((radius - guess.radius_px) * keep * right, radius) for keep in (0, 1, -1)
    ]
    return [
        replace(
            guess,
            centre=(guess.centre[0] + float(by[0]), guess.centre[1] + float(by[1])),
            radius_px=size,
            aspect=aspect,
        )
        for by, size in moved
    ]


def _upright(
    blob: NDArray[np.bool_], axis_deg: float
) -> tuple[NDArray[np.uint8], Floats]:
    """The blob turned so that its axis is upright, and the (2, 3) way back."""
    rows, columns = np.nonzero(blob)
    middle = (float(columns.mean()), float(rows.mean()))
    side = (
        2 * math.ceil(float(np.hypot(rows - middle[1], columns - middle[0]).max())) + 5
    )
    turn = np.asarray(cv2.getRotationMatrix2D(middle, 90 - axis_deg, 1), np.float64)
    turn[:, 2] += side / 2 - np.asarray(middle)
    upright = cv2.warpAffine(blob.astype(np.uint8) * 255, turn, (side, side))
    back = np.asarray(cv2.invertAffineTransform(turn), np.float64)
    return np.asarray(upright > 127, dtype=np.uint8), back


def _ends(mask: NDArray[np.uint8]) -> tuple[Floats, Floats, NDArray[np.bool_]]:
    """First and last set pixel of each column, as edges between pixels, and if any."""
    some = np.asarray(mask.any(axis=0), np.bool_)
    first = mask.argmax(axis=0) - 0.5
    last = len(mask) - mask[::-1].argmax(axis=0) - 0.5
    return first.astype(np.float64), last.astype(np.float64), some


def _votes(
    upright: NDArray[np.uint8],
) -> list[tuple[float, tuple[float, float, float, float, float]]]:
    """Votes, 0..1, for each (left, right, top, bottom, tilt in degrees)."""
    left_ends, right_ends, some = _ends(upright.T)
    if not some.any():
        return []
    left = _outermost(left_ends[some], _SIDE_SHARE)[0]
    right = -_outermost(-right_ends[some], _SIDE_SHARE)[0]
    if right - left < 4:
        return []
    radius = (right - left) / 2
    top_ends, bottom_ends, some = _ends(upright)
    across = (np.arange(len(some)) - (left + right) / 2) / radius
    core = some & (np.abs(across) < 0.97)
    front = np.sqrt(1 - across[core] ** 2)
    tall = float(np.median((bottom_ends - top_ends)[core]))
    # A rim above the camera's height is seen from below, one beneath from above.
    lean = math.degrees(TYPICAL_TAPER) * tall / (2 * radius)
    found = []
    for tilt in _TILTS_DEG.tolist():
        hang = radius * math.sin(math.radians(tilt - lean)) * front
        top, top_votes = _outermost(top_ends[core] - hang, _RIM_SHARE)
        hang = radius * math.sin(math.radians(tilt + lean)) * front
        low, bottom_votes = _outermost(hang - bottom_ends[core], _RIM_SHARE)
        bottom = -low
        if bottom - top > 2:
            share = (top_votes + bottom_votes) / (2 * radius * 2)
            found.append((share, (left, right, top, bottom, tilt)))
    return found


def _outermost(places: Floats, share: float) -> tuple[float, int]:
    """The smallest place that many agree on, and how many do.

    Bites only ever push an edge inward, so the outermost agreement is the edge.

    Args:
        places: (n,) where each row or column puts the edge, outward negative.
        share: How many must agree, as a share of the largest agreement.
    """
    ordered = np.sort(places)
    together = np.searchsorted(ordered, ordered + 2 * _WITHIN_PX, "right") - np.arange(
        len(ordered)
    )
    start = int(np.argmax(together >= share * together.max()))
    # The last place of the group that this one begins.
    near = start + int(together[start : start + int(together[start])].argmax())
    group = ordered[near : near + int(together[near])]
    return float(group.mean()), len(group)


def _pose(
    place: tuple[float, float, float, float, float],
    axis_deg: float,
    back: Floats,
    eye: tuple[float, float],
) -> RingPose:
    """The pose of a place in the upright frame."""
    left, right, top, bottom, tilt = place
    radius = (right - left) / 2
    x, y = back @ np.array([(left + right) / 2, (top + bottom) / 2, 1.0])
    return RingPose(
        centre=(float(x), float(y)),
        radius_px=radius,
        axis_deg=axis_deg % 360,
        tilt_deg=tilt,
        aspect=max(0.08, (bottom - top) / (2 * radius * math.cos(math.radians(tilt)))),
        taper=TYPICAL_TAPER,
        eye=eye,
    )
