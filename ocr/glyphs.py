"""What a character's shape says: twins under a turn, marks, likely mistakes."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from ocr.characters import ALPHABET

if TYPE_CHECKING:
    from numpy.typing import NDArray

_HALF_TURN = {"6": "9", "9": "6", "M": "W", "W": "M"}
_SAME_AFTER_HALF_TURN = "0OIHNXZS8.-1"
_QUARTER_TURN = {"N": "Z", "Z": "N", "H": "I", "I": "H"}
_SAME_AFTER_QUARTER_TURN = "0OX8."
_NO_TELLING = 0.45
"""Where a reader hardly knows how a character stands, its twins are not told apart."""
_KEPT_OTHERWISE = 0.5
"""What is left of a chance when a character is read at a turn it was not seen at."""


def index(character: str) -> int:
    """Place of a character in `ALPHABET`."""
    return ALPHABET.index(character)


def _mask(characters: str) -> NDArray[np.float32]:
    return np.array([c in characters for c in ALPHABET], np.float32)


_SYMMETRIC = _mask("0OIHNXZ8.-1")
_BLIND = _mask("0OIHNXZS8.-")
_TWINS = _mask("69MW")
_MARKS = _mask(".-")


def symmetric(probabilities: NDArray[np.float32]) -> float:
    """Chance of a shape that looks like a character at any quarter turn."""
    return float(probabilities @ _SYMMETRIC)


def informative(probabilities: NDArray[np.float32]) -> float:
    """How much a character tells about which way up it stands, 0..1."""
    total = float(probabilities.sum()) or 1.0
    blind = float(probabilities @ _BLIND) + 0.6 * float(probabilities @ _TWINS)
    return max(0.05, 1.0 - blind / total)


def telling(probabilities: NDArray[np.float32]) -> float:
    """Chance of a character that no turn makes another, or the same."""
    return max(0.0, 1.0 - float(probabilities @ _BLIND + probabilities @ _TWINS))


def punctuation(probabilities: NDArray[np.float32]) -> bool:
    """It is a full stop or a dash more likely than not."""
    return float(probabilities @ _MARKS) > 0.5


def stop(probabilities: NDArray[np.float32]) -> float:
    """Chance that it is a full stop."""
    return float(probabilities[index(".")])


def untwinned(
    probabilities: NDArray[np.float32], half_turn: float
) -> NDArray[np.float32]:
    """Chances of a character once its line tells which way up it stands.

    A 6 is a 9 that stands on its head. A reader that doubts how it stands names both,
    one for each way: with the doubt gone, so is what it gave the other.

    Args:
        probabilities: (len(ALPHABET),), the doubt in them.
        half_turn: What the reader gave the other way up, 0..1.
    """
    result = probabilities.copy()
    for a, b in ("69", "MW"):
        i, j = index(a), index(b)
        both = float(probabilities[i] + probabilities[j])
        if both < 1e-6 or half_turn >= _NO_TELLING:
            continue
        seen = (float(probabilities[i]) / both - half_turn) / (1 - 2 * half_turn)
        result[i] = both * min(max(seen, 0.0), 1.0)
        result[j] = both - result[i]
    return result


def reread(
    probabilities: NDArray[np.float32], seen_turn: int, true_turn: int
) -> NDArray[np.float32]:
    """Chances when a character seen at one turn stands at another.

    Args:
        probabilities: (len(ALPHABET),) at `seen_turn`.
        seen_turn: Degrees counter-clockwise.
        true_turn: Degrees counter-clockwise.

    Returns:
        (len(ALPHABET),); sums to less than before where shapes do not carry over.
    """
    by = (seen_turn - true_turn) % 360
    if by == 0:
        return probabilities
    twins = _HALF_TURN if by == 180 else _QUARTER_TURN
    same = _SAME_AFTER_HALF_TURN if by == 180 else _SAME_AFTER_QUARTER_TURN
    result = np.zeros_like(probabilities)
    for i, character in enumerate(ALPHABET):
        kept = 1.0 if character in same or character in twins else _KEPT_OTHERWISE
        result[index(twins.get(character, character))] += kept * probabilities[i]
    return result
