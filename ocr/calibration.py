"""Measured figures that turn readers' certainties into honest chances.

Whether a character stands somewhere and what it is are doubted for other reasons, so
each has a curve of its own: a half-hidden 7 may be hard to see and be nothing else.
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

    Curve = tuple[tuple[float, float], ...]
    Claims = Sequence[tuple[float, bool]]

CALIBRATION_FILE = Path(__file__).parent / "models" / "calibration.json"


_MOST_CERTAIN = 0.9993
"""In the tuning pictures and three sets of another make 1 of 2,440 characters was made
up whose presence was surest, and 1 of 2,891 misnamed whose name was."""
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
    presence: tuple[tuple[float, float], ...] = ()
    """That a character stands here at all: (chance claimed, chance measured),
    ascending; empty: as claimed."""
    naming: tuple[tuple[float, float], ...] = ()
    """The same of its name, where one stands here."""

    def sharpened(self, probabilities: NDArray[np.float32]) -> NDArray[np.float64]:
        """The network's (n,) chances at its temperature; their sum is kept."""
        total = float(probabilities.sum())
        powered = np.maximum(probabilities, 1e-6).astype(np.float64)
        powered **= 1.0 / self.temperature
        return np.asarray(powered * (total / powered.sum()), np.float64)

    def trust(self, share: float) -> float:
        """Chance that Tesseract is right where `share` of its pages agree."""
        return self.tesseract_right[min(int(share * 2.9999), 2)]


def measured(curve: Curve, chance: float) -> float:
    """What a claimed chance was worth when measured."""
    if not curve:
        return chance
    # Below what was measured the curve runs straight to nothing.
    claimed, found = zip((0.0, 0.0), *curve, strict=True)
    return float(np.interp(chance, claimed, found))


def calibrated(chances: NDArray[np.float64], curve: Curve) -> NDArray[np.float64]:
    """(n,) chances of one character with the likeliest at its measured worth.

    The others share what it loses or gains, in proportion.
    """
    best = int(np.argmax(chances))
    top, rest = float(chances[best]), float(chances.sum() - chances[best])
    worth = measured(curve, top)
    result = chances.copy()
    if rest > 0:
        result *= min(1.0, (1.0 - worth) / rest) if worth > top else 1.0
        result *= (1.0 - worth) / (1.0 - top) if worth < top < 1.0 else 1.0
    result[best] = worth
    return result


def curve_of(claims: Claims, bins: int = 0) -> Curve:
    """The reliability curve of many claims, made to rise by pooling neighbours.

    Args:
        claims: Chance claimed, and whether the character was right.
        bins: Equal shares of the claims that are measured together; 0: as many as
            hold fifty each, and twelve at least.

    Source:
        Pool adjacent violators: R. E. Barlow et al., "Statistical Inference
        under Order Restrictions", Wiley 1972.
    """
    if not claims:
        return ()
    ordered = sorted((round(claim, 4), right) for claim, right in claims)
    chances = np.array([claim for claim, _ in ordered])
    bins = bins or max(_LEAST_BINS, len(ordered) // _OF_A_BIN)
    # Equal claims are measured together.
    firsts = [p[0] for p in np.array_split(np.arange(len(ordered)), bins) if len(p)]
    starts = np.unique(np.searchsorted(chances, chances[firsts]))
    parts = np.split(np.arange(len(ordered)), starts[1:])
    pools: list[tuple[float, int, int]] = []
    """Claims summed, how many were right, how many there are."""
    for part in parts:
        claimed = float(sum(ordered[i][0] for i in part))
        pools.append((claimed, sum(ordered[i][1] for i in part), len(part)))
        while len(pools) > 1 and pools[-2][1] * pools[-1][2] >= (
            pools[-1][1] * pools[-2][2]
        ):
            b, a = pools.pop(), pools.pop()
            pools.append((a[0] + b[0], a[1] + b[1], a[2] + b[2]))
    # Few claims say little: two more that turn out as claimed are counted in.
    found = [(right + 2 * claimed / n) / (n + 2) for claimed, right, n in pools]
    worth = np.minimum.accumulate(np.minimum(found, _MOST_CERTAIN)[::-1])[::-1]
    return tuple(
        (round(claimed / n, 4), round(float(w), 4))
        for (claimed, _, n), w in zip(pools, worth, strict=True)
    )


def keep_curves(
    presence: Claims, naming: Claims, path: Path = CALIBRATION_FILE
) -> None:
    """Write the reliability curves of measured claims; other figures stay."""
    kept = json.loads(path.read_text(encoding="utf-8")) if path.is_file() else {}
    kept["presence"], kept["naming"] = curve_of(presence), curve_of(naming)
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
    for curve in {"presence", "naming"} & set(values):
        values[curve] = tuple((float(a), float(b)) for a, b in values[curve])
    if "tesseract_right" in values:
        low, middle, high = values["tesseract_right"]
        values["tesseract_right"] = (float(low), float(middle), float(high))
    return Calibration(**values)
