"""The lettering of one strip, and where each of its characters stands."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import cv2
import numpy as np

from ocr.characters import ALPHABET
from ocr.training.engraved import Tool
from ocr.training.glyph_table import CAP, MIDDLE

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from ocr.training.glyph_table import GlyphTable

HEIGHT = 128
"""Rows of a strip, as the character network sees it."""


@dataclass
class Mark:
    """One character on a strip; pixels of the strip."""

    label: int
    """Its place in the alphabet; -1 when so little of it shows that it is ground."""
    x: float
    y: float
    w: float
    """Extent along the strip, whichever way the character is turned."""
    h: float
    turn: int
    """Degrees counter-clockwise from upright: 0, 90, 180 or 270."""
    seen: bool
    """False where training must neither ask for it nor forbid it."""


def dotted(cell: NDArray[np.uint8], rng: np.random.Generator) -> NDArray[np.uint8]:
    """A character beaten in dots: its strokes sampled on a coarse grid."""
    columns = int(rng.integers(5, 8))
    rows = int(rng.integers(7, 10))
    ys, xs = np.where(cell > 100)
    if len(ys) == 0:
        return cell
    y0, y1, x0, x1 = ys.min(), ys.max() + 1, xs.min(), xs.max() + 1
    small = cv2.resize(
        cell[y0:y1, x0:x1], (columns, rows), interpolation=cv2.INTER_AREA
    )
    out = np.zeros_like(cell)
    level = max(70, np.quantile(small, 0.5))
    radius = int(rng.integers(2, 5))
    for j in range(rows):
        for i in range(columns):
            if small[j, i] >= level:
                cx = x0 + (i + 0.5) * (x1 - x0) / columns
                cy = y0 + (j + 0.5) * (y1 - y0) / rows
                at = (
                    int(cx * 4 + rng.normal(0, 2)),
                    int(cy * 4 + rng.normal(0, 2)),
                )
                cv2.circle(out, at, radius * 4, 255, -1, cv2.LINE_AA, 2)
    return out


class Sheet:
    """The text of one strip as a coverage picture, with every character's box.

    Attributes:
        mask: (HEIGHT, w) float32, 1 inside strokes.
        marks: the characters put so far.
        gap: width of a blank, cap heights.
        tool: the machine that writes; None: letters of a typeface.
        stray: how far characters struck by hand stand off their line, cap heights.
        lean: how far these lean, degrees.
        uneven: how much weaker some are struck, 0 to 1.
    """

    def __init__(self, rng: np.random.Generator, table: GlyphTable, w: int) -> None:
        self.rng, self.table, self.w = rng, table, w
        self.mask = np.zeros((HEIGHT, w), np.float32)
        self.marks: list[Mark] = []
        self.typeface = int(rng.integers(len(table)))
        self.wide = float(np.exp(rng.normal(0, 0.22)))
        self.space = float(rng.choice([0, 0.05, 0.15, 0.3]))
        self.space += float(abs(rng.normal(0, 0.04)))
        self.dots = rng.random() < 0.2
        by_machine = rng.random() < (0.75 if self.dots else 0.25)
        self.tool = Tool.drawn(rng, dots=self.dots) if by_machine else None
        by_hand = rng.random() < 0.15
        self.stray = float(rng.uniform(0.01, 0.05)) if by_hand else 0.0
        self.lean = float(rng.uniform(0, 4)) if by_hand else 0.0
        self.uneven = float(rng.uniform(0, 0.6)) if rng.random() < 0.2 else 0.0
        self.grow = int(rng.choice([-1, 0, 0, 0, 1, 2]))
        self.gap = 0.6

    def put(self, label: int, x: float, y: float, cap: float, turn: int) -> None:
        """Draw one character with the middle of its cell at (x, y), or beside it."""
        x, y = np.array([x, y]) + self.rng.normal(0, 1, 2) * self.stray * cap
        cell = self._cell(label)
        gx0, gy0, wide, high = cv2.boundingRect((cell > 60).astype(np.uint8))
        if not wide:
            return
        s = cap / CAP
        a = math.radians(turn + self.rng.normal(0, 1) * self.lean)
        fx, fy = s * self.wide, s
        m = np.array(
            [
                [math.cos(a) * fx, math.sin(a) * fy],
                [-math.sin(a) * fx, math.cos(a) * fy],
            ]
        )
        t = np.array([x, y]) - m @ np.array(MIDDLE)
        struck = 1 - self.uneven * self.rng.random()
        self._draw(cell, m, t, s, struck)
        c = m @ np.array([gx0 + wide / 2, gy0 + high / 2]) + t
        w, h = wide * fx, max(high * fy, 3)
        if turn in (90, 270):
            w, h = h, w
        if -2 < c[0] < self.w + 2:
            self.marks.append(
                Mark(label, float(c[0]), float(c[1]), float(w), float(h), turn, True)
            )

    def _draw(
        self,
        cell: NDArray[np.uint8],
        m: NDArray[np.float64],
        t: NDArray[np.float64],
        scale: float,
        struck: float,
    ) -> None:
        """Lay a cell on the mask by `m` and `t`, where it reaches and no further."""
        rows, columns = cell.shape
        corners = np.array([[0, 0], [columns, 0], [0, rows], [columns, rows]]) @ m.T + t
        low = np.maximum(np.floor(corners.min(0)).astype(int) - 1, 0)
        high = np.ceil(corners.max(0)).astype(int) + 2
        x1, y1 = int(min(high[0], self.w)), int(min(high[1], HEIGHT))
        x0, y0 = int(low[0]), int(low[1])
        if x0 >= x1 or y0 >= y1:
            return
        small = cv2.GaussianBlur(cell, (0, 0), 0.35 / scale) if scale < 0.5 else cell
        moved = np.hstack([m, (t - (x0, y0))[:, None]]).astype(np.float32)
        drawn = cv2.warpAffine(small, moved, (x1 - x0, y1 - y0), flags=cv2.INTER_LINEAR)
        under = self.mask[y0:y1, x0:x1]
        np.maximum(
            under, drawn.astype(np.float32) * np.float32(struck / 255), out=under
        )

    def _cell(self, label: int) -> NDArray[np.uint8]:
        """The character as this sheet's tool leaves it: dotted, fatter or thinner."""
        if self.tool is not None:
            return self.tool.cell(self.rng, label)
        cell, _ = self.table.glyph(self.typeface, label)
        if self.dots:
            return dotted(cell, self.rng)
        if not self.grow:
            return cell
        round_tip = cv2.getStructuringElement(
            cv2.MORPH_ELLIPSE, (2 * abs(self.grow) + 1,) * 2
        )
        if self.grow > 0:
            return cv2.dilate(cell, round_tip)
        # Hairlines would vanish.
        return cv2.erode(cell, round_tip[:2, :2]) if cell.mean() > 30 else cell

    def advance(self, letter: str, cap: float) -> float:
        """Pixels that a character takes in its line."""
        label = ALPHABET.index(letter)
        if self.tool is not None:
            own = self.tool.advance(label)
        else:
            own = self.table.glyph(self.typeface, label)[1]
        return (own * self.wide + CAP * self.space) * cap / CAP

    def row(self, text: str, y: float, cap: float, turn: int, start: float) -> None:
        """Text round the ring from `start`, to the right (or left, upside down)."""
        way = 1 if turn == 0 else -1
        x = start
        for letter in text:
            if letter == " ":
                x += way * cap * self.gap
                continue
            adv = self.advance(letter, cap)
            if -40 < x + way * adv / 2 < self.w + 40:
                self.put(ALPHABET.index(letter), x + way * adv / 2, y, cap, turn)
            x += way * adv
            if not -60 < x < self.w + 60 and way * (x - self.w / 2) > 0:
                break

    def column(self, text: str, x: float, cap: float, turn: int, middle: float) -> None:
        """Text along the ring's axis, centred at (x, middle)."""
        text = text.replace(" ", "")
        advances = [self.advance(letter, cap) for letter in text]
        total = sum(advances)
        room = HEIGHT * 0.92
        if total > room:
            cap *= room / total
            advances = [a * room / total for a in advances]
            total = room
        way = -1 if turn == 90 else 1
        y = middle - way * total / 2
        for letter, adv in zip(text, advances, strict=True):
            self.put(ALPHABET.index(letter), x, y + way * adv / 2, cap, turn)
            y += way * adv
