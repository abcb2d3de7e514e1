"""Characters that a machine engraves or beats in dots along one thin line.

Typefaces are drawn to be printed; a ring's tool follows a line, or beats dots on a
grid of five by seven. Both are drawn here, in many manners, without any font file.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import cv2
import numpy as np

from ocr.characters import ALPHABET
from ocr.training.glyph_table import BASELINE, CAP, CELL, MIDDLE

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Path = list[tuple[float, float, bool]]

# Columns 0 to 4, rows 0 (top) to 6; a corner marked ~ may be round or cut. Several
# lines of a character are set apart by ";", several manners of it by "|".
_LINES = {
    "0": "0,0~ 4,0~ 4,6~ 0,6~ z|0,0~ 4,0~ 4,6~ 0,6~ z;0.8,5 3.2,1"
    "|0,0~ 4,0~ 4,6~ 0,6~ z;2,2.8 2,3.2",
    "1": "0.8,1.2 2,0 2,6|2,0 2,6|0.8,1.2 2,0 2,6;0.6,6 3.4,6|1,0 2,0 2,6;0.6,6 3.4,6",
    "2": "0,1 0,0~ 4,0~ 4,3~ 0,3~ 0,6 4,6|0,1.4 0,0~ 4,0~ 4,2.2~ 0,6 4,6",
    "3": "0,0.8 0,0~ 4,0~ 4,6~ 0,6~ 0,5.2;1,2.8 4,2.8|0,0 4,0 1.6,2.5 4,2.5~ 4,6~ 0,6~"
    " 0,5|0,0.8 0,0~ 4,0~ 4,2.9~ 1.4,2.9;1.4,2.9 4,2.9~ 4,6~ 0,6~ 0,5.2",
    "4": "3,6 3,0 0,4.2 4,4.2|0,0 0,3.6 4,3.6;3,1.6 3,6|0,0 0,3 4,3;4,0 4,6",
    "5": "4,0 0,0 0,2.6 4,2.6~ 4,6~ 0,6~ 0,5.2|3.8,0 0.5,0 0.2,2.7 4,2.4~ 4,6~ 0,6~"
    " 0,5",
    "6": "4,1 4,0~ 0,0~ 0,6~ 4,6~ 4,2.7~ 0,2.7|3,0 0,3.4 0,6~ 4,6~ 4,2.9~ 0.4,2.9"
    "|0,0 0,6~ 4,6~ 4,3~ 0,3|2.6,0 0,0~ 0,6~ 4,6~ 4,2.7~ 0,2.7",
    "7": "0,0 4,0 1.4,6|0,0 4,0 4,1.4 2,3.4 2,6|0,0 4,0 1.4,6;1.2,3 3.6,3|0,0 4,0 4,6",
    "8": "0.2,0~ 3.8,0~ 3.8,2.8~ 0.2,2.8~ z;0,2.8~ 4,2.8~ 4,6~ 0,6~ z",
    "9": "0,5 0,6~ 4,6~ 4,0~ 0,0~ 0,3.3~ 4,3.3|1,6 4,2.6 4,0~ 0,0~ 0,3.1~ 3.6,3.1"
    "|4,6 4,0~ 0,0~ 0,3~ 4,3",
    "A": "0,6 2,0 4,6;0.7,4 3.3,4|0,6 0,0~ 4,0~ 4,6;0,3.4 4,3.4|0,6 0,2 2,0 4,2 4,6;"
    "0,3.6 4,3.6",
    "B": "0,0 3.7,0~ 3.7,2.8~ 0,2.8;0,2.8 4,2.8~ 4,6~ 0,6;0,0 0,6",
    "C": "4,1.2 4,0~ 0,0~ 0,6~ 4,6~ 4,4.8",
    "D": "0,0 3,0 4,1 4,5 3,6 0,6 z|0,0 2.4,0 4,1.6 4,4.4 2.4,6 0,6 z",
    "E": "4,0 0,0 0,6 4,6;0,2.9 3.2,2.9",
    "F": "4,0 0,0 0,6;0,2.9 3.2,2.9",
    "G": "4,1.2 4,0~ 0,0~ 0,6~ 4,6~ 4,3.2 2.2,3.2"
    "|4,1.2 4,0~ 0,0~ 0,6~ 4,6 4,3.4 2.6,3.4",
    "H": "0,0 0,6;4,0 4,6;0,2.9 4,2.9",
    "I": "2,0 2,6|0.8,0 3.2,0;2,0 2,6;0.8,6 3.2,6",
    "J": "4,0 4,6~ 0,6~ 0,4.6|2,0 4,0 4,6~ 0.4,6~ 0.4,4.6",
    "K": "0,0 0,6;4,0 0,3.4;1.3,2.4 4,6|0,0 0,6;3.8,0 0.8,2.9 4,6;0,2.9 0.8,2.9",
    "L": "0,0 0,6 4,6",
    "M": "0,6 0,0 2,3 4,0 4,6|0,6 0.4,0 2,5 3.6,0 4,6|0,6 0,0~ 4,0~ 4,6;2,0 2,3.4",
    "N": "0,6 0,0 4,6 4,0|0,6 0,0~ 4,0~ 4,6",
    "O": "0,0~ 4,0~ 4,6~ 0,6~ z|2,0 4,2 4,4 2,6 0,4 0,2 z",
    "P": "0,6 0,0 4,0~ 4,3.2~ 0,3.2",
    "Q": "0,0~ 4,0~ 4,6~ 0,6~ z;2.4,4.2 4.4,6.4",
    "R": "0,6 0,0 4,0~ 4,3.1~ 0,3.1;1.8,3.1 4,6",
    "S": "4,1 4,0~ 0,0~ 0,2.9~ 4,2.9~ 4,6~ 0,6~ 0,5",
    "T": "0,0 4,0;2,0 2,6",
    "U": "0,0 0,6~ 4,6~ 4,0",
    "V": "0,0 2,6 4,0|0,0 0,3.6 2,6 4,3.6 4,0",
    "W": "0,0 1,6 2,1.5 3,6 4,0|0,0 0,6~ 4,6~ 4,0;2,2.6 2,6|0,0 0,6 2,3 4,6 4,0",
    "X": "0,0 4,6;4,0 0,6",
    "Y": "0,0 2,2.8 4,0;2,2.8 2,6|0,0 0,2.8~ 4,2.8~ 4,0;2,2.8 2,6",
    "Z": "0,0 4,0 0,6 4,6",
    ".": "2,5.8 2,6",
    "-": "0.6,3 3.4,3",
}
_DOTS = {
    "0": "3E4141413E|3E5149453E|3E4549513E|3E4149413E",
    "1": "00427F4000|0042417F40|00027F0000",
    "2": "4261514946",
    "3": "2141454B31|2241494936",
    "4": "1814127F10",
    "5": "2745454539",
    "6": "3C4A494930|3E49494932",
    "7": "0171090503|0101790503",
    "8": "3649494936",
    "9": "064949291E|264949493E",
    "A": "7E1111117E|7C1211127C",
    "B": "7F49494936",
    "C": "3E41414122",
    "D": "7F4141221C|7F4141413E",
    "E": "7F49494941",
    "F": "7F09090901",
    "G": "3E4149497A|3E41415132",
    "H": "7F0808087F",
    "I": "00417F4100",
    "J": "2040413F01|204040403F",
    "K": "7F08142241",
    "L": "7F40404040",
    "M": "7F020C027F|7F0204027F",
    "N": "7F0408107F",
    "O": "3E4141413E",
    "P": "7F09090906",
    "Q": "3E4151215E",
    "R": "7F09192946",
    "S": "4649494931|2649494932",
    "T": "01017F0101",
    "U": "3F4040403F",
    "V": "1F2040201F",
    "W": "3F4038403F|7F2018207F",
    "X": "6314081463",
    "Y": "0708700807|0304780403",
    "Z": "6151494543",
    ".": "0000400000|0060600000",
    "-": "0808080808|0008080800",
}
"""Five columns of seven dots, the lowest bit on top; common practice, no source."""


@dataclass(frozen=True)
class Tool:
    """How one machine writes: chosen once for a ring.

    Attributes:
        manner: picks among the manners of each character.
        corner: how far round or cut corners reach, columns of the grid.
        cut: corners are cut straight, not round.
        wide: pixels per column of the grid.
        line: pixels that the tool's line is wide.
        pitch: pixels from dot to dot along the line; 0: no dots.
        grid: dots lie on the grid of five by seven.
        shaken: pixels that dots stray.
    """

    manner: int
    corner: float
    cut: bool
    wide: float
    line: int
    pitch: float
    grid: bool
    shaken: float

    @classmethod
    def drawn(cls, rng: np.random.Generator, *, dots: bool) -> Tool:
        """A machine like many and like none."""
        grid = dots and rng.random() < 0.55
        pitch = rng.uniform(6, 13)
        across = CAP / 7 if grid else pitch
        cut = bool(rng.random() < 0.4)
        dot = across * rng.uniform(0.45, 1.15)
        return cls(
            int(rng.integers(12)),
            # Cut further, a U would be a V.
            float(rng.choice([0, 0.5, 0.8, 1.2] if cut else [0, 0.5, 1, 1.5, 2])),
            cut,
            CAP / 6 * rng.uniform(0.75, 1.15),
            max(2, round(dot if dots else rng.uniform(4, 13))),
            float(pitch) if dots else 0.0,
            bool(grid),
            float(rng.uniform(0, 0.9)),
        )

    def cell(self, rng: np.random.Generator, label: int) -> NDArray[np.uint8]:
        """A character's (80, 112) cell, like those of `GlyphTable`."""
        letter = ALPHABET[label]
        out = np.zeros(CELL, np.uint8)
        if self.grid:
            self._beat(rng, out, self._on_grid(letter))
        else:
            paths = [self._pixels(path) for path in self._paths(letter)]
            if self.pitch:
                self._beat(
                    rng, out, [p for path in paths for p in _along(path, self.pitch)]
                )
            else:
                corners = [np.round(path * 8).astype(np.int32) for path in paths]
                cv2.polylines(out, corners, False, 255, self.line, cv2.LINE_AA, 3)
        return out

    def advance(self, label: int) -> float:
        """Pixels a character takes in its line."""
        own = 1.5 if ALPHABET[label] == "." else 4
        return own * self.wide + self.line + 0.8 * self.wide

    def _chosen(self, manners: str) -> str:
        several = manners.split("|")
        return several[(self.manner + len(manners)) % len(several)]

    def _paths(self, letter: str) -> list[NDArray[np.float64]]:
        reach = self.corner
        found = []
        for text in self._chosen(_LINES[letter]).split(";"):
            words = text.split()
            closed = words[-1] == "z"
            path: Path = []
            for word in words[: -1 if closed else None]:
                x, y = word.rstrip("~").split(",")
                path.append((float(x), float(y), word.endswith("~")))
            found.append(_softened(path, reach, closed=closed, cut=self.cut))
        return found

    def _pixels(self, path: NDArray[np.float64]) -> NDArray[np.float64]:
        """Grid to pixels of the cell."""
        half = self.line / 2
        x = MIDDLE[0] + (path[:, 0] - 2) * self.wide
        y = BASELINE - CAP + half + path[:, 1] * (CAP - self.line) / 6
        return np.stack([x, y], 1)

    def _on_grid(self, letter: str) -> list[NDArray[np.float64]]:
        columns = bytes.fromhex(self._chosen(_DOTS[letter]))
        dots = [
            (i, j)
            for i, column in enumerate(columns)
            for j in range(7)
            if column >> j & 1
        ]
        return list(self._pixels(np.array(dots, np.float64)))

    def _beat(
        self,
        rng: np.random.Generator,
        out: NDArray[np.uint8],
        dots: list[NDArray[np.float64]],
    ) -> None:
        for dot in dots:
            x, y = np.round((dot + rng.normal(0, self.shaken, 2)) * 8).astype(int)
            cv2.circle(out, (int(x), int(y)), self.line * 4, 255, -1, cv2.LINE_AA, 3)


def _softened(
    path: Path, reach: float, *, closed: bool, cut: bool
) -> NDArray[np.float64]:
    """A line with its soft corners rounded or cut: (n, 2) of the grid."""
    points: list[NDArray[np.float64]] = []
    n = len(path)
    for i, (x, y, soft) in enumerate(path):
        here = np.array([x, y])
        ends = not closed and i in (0, n - 1)
        if not soft or ends or not reach:
            points.append(here)
            continue
        before, after = np.array(path[i - 1][:2]), np.array(path[(i + 1) % n][:2])
        near = [_towards(here, other, reach) for other in (before, after)]
        if cut:
            points += near
            continue
        for t in np.linspace(0, 1, 7):
            points.append(
                (1 - t) ** 2 * near[0] + 2 * t * (1 - t) * here + t**2 * near[1]
            )
    if closed:
        points.append(points[0])
    return np.array(points, np.float64)


def _towards(
    here: NDArray[np.float64], other: NDArray[np.float64], reach: float
) -> NDArray[np.float64]:
    """From a corner along one of its arms, at most to the arm's middle."""
    arm = other - here
    length = float(np.hypot(*arm)) or 1.0
    return here + arm * min(reach / length, 0.5)


def _along(path: NDArray[np.float64], pitch: float) -> list[NDArray[np.float64]]:
    """Points along a line, about `pitch` pixels apart, its ends among them."""
    steps = np.hypot(*np.diff(path, axis=0).T)
    way = np.concatenate([[0], np.cumsum(steps)])
    count = max(1, round(way[-1] / pitch)) + 1
    at = np.linspace(0, way[-1], count)
    return list(np.stack([np.interp(at, way, path[:, k]) for k in (0, 1)], 1))
