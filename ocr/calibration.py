"""Measured figures that turn readers' certainties into honest chances.

They lie in `models/calibration.json`, written by `python -m ocr.scorecard DIR
--calibrate`. Without that file every chance stays as it is.
"""

from __future__ import annotations

import functools
import json
from dataclasses import dataclass, fields
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

CALIBRATION_FILE = Path(__file__).parent / "models" / "calibration.json"


_MOST_CERTAIN = 0.999
"""Of 2,163 claims of 0.995 and more, in tuning pictures and others, one was wrong."""
_LEAST_BINS, _OF_A_BIN = 12, 50


@dataclass(frozen=True)
class Calibration:
    """How far to trust each voice."""

    temperature: float = 1.0
    """Above 1 the network's chances are flattened."""
    tesseract_right: tuple[float, float, float] = (0.35, 0.7, 0.95)
    """How often Tesseract is right where up to a third, up to two thirds, and
    more of its renderings say the same."""
    tesseract_weight: float = 0.7
    """Less than 1: both readers see the same picture, their errors are kin."""
    curve: tuple[tuple[float, float], ...] = ()
    """(chance claimed, chance measured), ascending; empty: as claimed."""

    def sharpened(self, probabilities: NDArray[np.float32]) -> NDArray[np.float64]:
        """The network's (n,) chances at its temperature; their sum is kept."""
        total = float(probabilities.sum())
        powered = np.maximum(probabilities, 1e-6).astype(np.float64)
        powered **= 1.0 / self.temperature
        return np.asarray(powered * (total / powered.sum()), np.float64)

    def trust(self, share: float) -> float:
        """Chance that Tesseract is right where `share` of its pages agree."""
        return self.tesseract_right[min(int(share * 2.9999), 2)]

    def measured(self, chance: float) -> float:
        """What a claimed chance was worth when measured."""
        if not self.curve:
            return chance
        # Below what was measured the curve runs straight to nothing.
        claimed, found = zip((0.0, 0.0), *self.curve, strict=True)
        return float(np.interp(chance, claimed, found))


def calibrated(
    chances: NDArray[np.float64], calibration: Calibration
) -> NDArray[np.float64]:
    """(n,) chances of one character with the likeliest at its measured worth.

    The others share what it loses or gains, in proportion.
    """
    best = int(np.argmax(chances))
    top, rest = float(chances[best]), float(chances.sum() - chances[best])
    worth = calibration.measured(top)
    result = chances.copy()
    if rest > 0:
        result *= min(1.0, (1.0 - worth) / rest) if worth > top else 1.0
        result *= (1.0 - worth) / (1.0 - top) if worth < top < 1.0 else 1.0
    result[best] = worth
    return result


def curve_of(
    claims: Sequence[tuple[float, bool]], bins: int = 0
) -> tuple[tuple[float, float], ...]:
    """The reliability curve of many claims, made to rise by pooling neighbours.

    Args:
        claims: Chance claimed, and whether the character was right.
        bins: Equal shares of the claims that are measured together; 0: as many as
            hold fifty each, and twelve at least.

    Source:
        Pool adjacent violators: R. E. Barlow et al., "Statistical Inference
        under Order Restrictions", Wiley 1972.
    """
    ordered = sorted(claims)
    bins = bins or max(_LEAST_BINS, len(ordered) // _OF_A_BIN)
    parts = [p for p in np.array_split(np.arange(len(ordered)), bins) if len(p)]
    pools: list[tuple[float, float, int]] = []
    for part in parts:
        claimed = float(np.mean([ordered[i][0] for i in part]))
        # Few claims say little: two more that turn out as claimed are counted in.
        right = (sum(ordered[i][1] for i in part) + 2 * claimed) / (len(part) + 2.0)
        right = min(right, _MOST_CERTAIN)
        pools.append((claimed, right, len(part)))
        while len(pools) > 1 and pools[-2][1] > pools[-1][1]:
            b, a = pools.pop(), pools.pop()
            n = a[2] + b[2]
            pools.append(
                ((a[0] * a[2] + b[0] * b[2]) / n, (a[1] * a[2] + b[1] * b[2]) / n, n)
            )
    return tuple((round(c, 4), round(r, 4)) for c, r, _ in pools)


def keep_curve(
    claims: Sequence[tuple[float, bool]], path: Path = CALIBRATION_FILE
) -> None:
    """Write the reliability curve of measured claims; other figures stay."""
    kept = json.loads(path.read_text(encoding="utf-8")) if path.is_file() else {}
    kept["curve"] = curve_of(claims)
    path.write_text(json.dumps(kept, indent=1) + "\n", encoding="utf-8")
    load.cache_clear()


@functools.cache
def load(path: Path = CALIBRATION_FILE) -> Calibration:
    """The measured figures, or the plain ones where none were kept."""
    if not path.is_file():
        return Calibration()
    kept: dict[str, Any] = json.loads(path.read_text(encoding="utf-8"))
    known = {f.name for f in fields(Calibration)}
    values = {k: v for k, v in kept.items() if k in known}
    if "curve" in values:
        values["curve"] = tuple((float(a), float(b)) for a, b in values["curve"])
    if "tesseract_right" in values:
        low, middle, high = values["tesseract_right"]
        values["tesseract_right"] = (float(low), float(middle), float(high))
    return Calibration(**values)
