"""What stands on rings, and what one character is taken for.

Every character has a code. A belief about a character is a row of chances over
all codes. Behind the codes of characters lie codes of classes ("any digit",
"first digit of a year"), from which inscriptions never seen are made up.
"""

from __future__ import annotations

import unicodedata
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Mapping

    from numpy.typing import NDArray

LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
DIGITS = "0123456789"
MARKS = ".-"
SYMBOLS = LETTERS + DIGITS + MARKS
CODE = {sign: code for code, sign in enumerate(SYMBOLS)}
OTHER = len(SYMBOLS)
"""Code of a character that we have no class for."""
N_SIGNS = OTHER + 1

# Groups that people give for printed codes; proposed by users, not measured:
# thetopsites.net/article/58098360 and the same thread on english.stackexchange.
_GROUPS = (
    "B8", "CG", "DOQ0", "EF", "IJLT17", "KX", "KH", "S5", "UVY", "Z2", "6G", "9P",
)  # fmt: skip
# From memory: pairs that worn or stamped faces add.
_GROUPS_WORN = ("38", "68", "08", "56", "MN", "WV", "MW", "HN", "PR", "4A")
_TWINS = ("O0", "I1")
"""Many faces draw them alike."""
TWIN = {sign: pair.replace(sign, "") for pair in _TWINS for sign in pair}

_TRUST = {True: 0.992, False: 0.9998}
"""Of a character that is given as wholly certain: by a keeper, who gives no chance
with it (not measured), and by a reader whose chances are measured and never reach 1
(`ocr.calibration`): to doubt them here once more would count the same doubt twice."""
_TO_KIN = 0.6
"""Share of the rest that goes to characters of its groups."""
_TO_TWIN = 0.3

# Turned by half a circle: common practice, no source.
_TURNED = {
    "0": "0O", "O": "O0", "1": "1I", "I": "I1", "6": "9", "9": "6", "8": "8B",
    "B": "8", "H": "H", "N": "N", "Z": "Z2", "S": "S5", "X": "X", "M": "W",
    "W": "M", "5": "5S", "2": "2Z", "L": "7", "7": "L", "E": "3", "3": "E",
    "A": "V", "V": "A", "P": "D", "D": "D", "U": "U", ".": ".", "-": "-",
}  # fmt: skip
_TURNED_WELL = frozenset("0O1I698HNZSXMW-")


def _kin() -> dict[str, set[str]]:
    kin: dict[str, set[str]] = {sign: set() for sign in SYMBOLS}
    for group in (*_GROUPS, *_GROUPS_WORN):
        for sign in group:
            kin[sign] |= set(group) - {sign}
    return kin


def _confusion(typed: bool) -> NDArray[np.float64]:
    kin, n, trust = _kin(), len(SYMBOLS), _TRUST[typed]
    rows = np.zeros((n, n))
    for sign, code in CODE.items():
        rows[code] += (1 - trust) * (1 - _TO_KIN) / n
        near = sorted(kin[sign]) or list(SYMBOLS)
        for other in near:
            rows[code, CODE[other]] += (1 - trust) * _TO_KIN / len(near)
        twin = TWIN.get(sign, "")
        rows[code, code] += trust * (1 - _TO_TWIN) if twin else trust
        if twin:
            rows[code, CODE[twin]] += trust * _TO_TWIN
    return rows


def _turned() -> NDArray[np.float64]:
    rows = np.zeros((len(SYMBOLS), len(SYMBOLS)))
    for sign, others in _TURNED.items():
        share = 1.0 if sign in _TURNED_WELL else 0.3
        for other in others:
            rows[CODE[sign], CODE[other]] = share / len(others)
    return rows


CONFUSION = {typed: _confusion(typed) for typed in (True, False)}
"""[read, true]: chance that a character given as certain is another one."""
TURNED = _turned()
"""[read, true if the ring is upside down]; rows sum to at most 1."""


def plain(text: str) -> str:
    """Capitals, digits, points and dashes; accents dropped, the rest kept."""
    parts = unicodedata.normalize("NFKD", text.replace("ß", "SS"))
    kept = "".join(sign for sign in parts if not unicodedata.combining(sign))
    return kept.upper().replace(",", ".").replace("–", "-").replace("—", "-")


def is_sign(sign: str) -> bool:
    """Whether it stands for itself on a ring; spaces and the like do not."""
    return sign in CODE or sign.isalnum()


def chances_of(
    choices: Mapping[str, float], *, typed: bool, nothing: float = 0.0
) -> NDArray[np.float64]:
    """A reader's belief about one character as chances of what truly stands there.

    Args:
        choices: Chance by character, summing to at most 1; what is missing is
            "something else" and is shared out evenly.
        typed: A keeper gave it.
        nothing: Share of what is missing that is no character at all.

    Returns:
        (N_SIGNS,) chances over the codes.
    """
    read = np.zeros(len(SYMBOLS))
    for sign, chance in choices.items():
        code = CODE.get(sign)
        if code is not None:
            read[code] += max(chance, 0.0)
    total = read.sum()
    if total > 1.0:
        read /= total
    missing = max(1.0 - float(read.sum()), 0.0)
    return _with_rest(read @ CONFUSION[typed], nothing * missing)


def turned_chances(chances: NDArray[np.float64]) -> NDArray[np.float64]:
    """The same belief if the ring was read upside down."""
    return _with_rest(chances[:OTHER] @ TURNED * 0.97)


def _with_rest(known: NDArray[np.float64], nothing: float = 0.0) -> NDArray[np.float64]:
    rest = max(1.0 - known.sum() - nothing, 0.0)
    spread = known + rest / N_SIGNS
    return np.append(spread, rest / N_SIGNS)


class Classes:
    """Codes for "any letter", "first digit of a year" and the like."""

    def __init__(self) -> None:
        self._rows: list[NDArray[np.float64]] = list(np.eye(N_SIGNS))
        self._codes: dict[tuple[float, ...], int] = {}

    def code(self, shares: Mapping[str, float]) -> int:
        """The code of a class in which characters have these shares (any sum)."""
        row = np.zeros(N_SIGNS)
        for sign, share in shares.items():
            row[CODE[sign]] += share
        row = 0.99 * row / row.sum() + 0.01 / N_SIGNS
        key = tuple(row)
        if key not in self._codes:
            self._codes[key] = len(self._rows)
            self._rows.append(row)
        return self._codes[key]

    @property
    def rows(self) -> NDArray[np.float64]:
        """(codes, N_SIGNS): the shares of each class; a character is its own."""
        return np.asarray(self._rows)
