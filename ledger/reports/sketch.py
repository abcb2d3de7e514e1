"""Small drawings of a ring, a leg and a camera, by lines alone."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from ledger.reports.lettering import FAMILY

if TYPE_CHECKING:
    from fpdf import FPDF

_DARK, _GREY, _LIGHT = 40, 130, 225


@dataclass(frozen=True)
class Sketch:
    """A field of a page; places in it are parts of 100, from its upper left corner."""

    page: FPDF
    x: float
    y: float
    """Upper left corner, in mm."""
    width: float
    height: float
    """In mm."""

    def at(self, x: float, y: float) -> tuple[float, float]:
        """A place in mm of the page."""
        return self.x + x * self.width / 100, self.y + y * self.height / 100

    def line(self, *places: tuple[float, float], grey: bool = False) -> None:
        """A line through places."""
        self.page.set_draw_color(_GREY if grey else _DARK)
        self.page.set_line_width(0.35)
        drawn = [self.at(*place) for place in places]
        for (x1, y1), (x2, y2) in pairwise(drawn):
            self.page.line(x1, y1, x2, y2)

    def dashed(self, start: tuple[float, float], end: tuple[float, float]) -> None:
        """A line of sight."""
        self.page.set_draw_color(_GREY)
        self.page.set_dash_pattern(dash=1.2, gap=1.0)
        self.page.line(*self.at(*start), *self.at(*end))
        self.page.set_dash_pattern()

    def circle(
        self, x: float, y: float, radius_mm: float, *, filled: bool = False
    ) -> None:
        """A circle round a place."""
        middle_x, middle_y = self.at(x, y)
        self.page.set_draw_color(_DARK)
        self.page.set_fill_color(_LIGHT)
        self.page.ellipse(
            middle_x - radius_mm,
            middle_y - radius_mm,
            2 * radius_mm,
            2 * radius_mm,
            style="FD" if filled else "D",
        )

    def box(
        self, x: float, y: float, width: float, height: float, *, filled: bool = False
    ) -> None:
        """A box; width and height in parts of 100 as well."""
        left, top = self.at(x, y)
        self.page.set_draw_color(_DARK)
        self.page.set_fill_color(_LIGHT)
        self.page.rect(
            left,
            top,
            width * self.width / 100,
            height * self.height / 100,
            style="FD" if filled else "D",
        )

    def words(self, x: float, y: float, text: str, size: float = 7.5) -> None:
        """A word or two, from this place."""
        self.page.set_font(FAMILY, "", size)
        self.page.set_text_color(_DARK)
        self.page.text(*self.at(x, y), text)

    def cross(self, x: float, y: float, size: float = 7) -> None:
        """Not so."""
        self.page.set_line_width(0.6)
        for rise in (-size, size):
            self.page.set_draw_color(_DARK)
            self.page.line(
                *self.at(x - size, y - 1.6 * rise), *self.at(x + size, y + 1.6 * rise)
            )

    def ring_on_leg(self, x: float = 70, *, seam: bool = False) -> None:
        """A leg from above to below with a ring round it, and the toes."""
        self.line((x - 3, 4), (x - 3, 82), (x - 14, 94))
        self.line((x + 3, 4), (x + 3, 82), (x + 14, 94))
        self.line((x, 84), (x, 97))
        self.box(x - 6, 40, 12, 26, filled=True)
        if seam:
            self.line((x + 1, 40), (x + 1, 66))
        else:
            self.words(x - 5, 51, "ABC")
            self.words(x - 5, 62, "1234")

    def camera(self, x: float, y: float, turned_deg: float = 0.0) -> None:
        """A camera round a place; at 0 degrees it looks to the right."""
        middle_x, middle_y = self.at(x, y)
        turn = math.radians(turned_deg)

        def place(along: float, across: float) -> tuple[float, float]:
            return (
                middle_x + along * math.cos(turn) - across * math.sin(turn),
                middle_y + along * math.sin(turn) + across * math.cos(turn),
            )

        body = [place(-2.4, -3.8), place(1.2, -3.8), place(1.2, 3.8), place(-2.4, 3.8)]
        lens = [place(1.2, -1.4), place(3.0, -1.4), place(3.0, 1.4), place(1.2, 1.4)]
        self.page.set_draw_color(_DARK)
        self.page.set_fill_color(_LIGHT)
        self.page.set_line_width(0.35)
        self.page.polygon(body, style="FD")
        self.page.polygon(lens, style="FD")

    def sun(self, x: float, y: float) -> None:
        """Daylight."""
        self.circle(x, y, 3.0)
        middle_x, middle_y = self.at(x, y)
        for step in range(8):
            turn = math.pi * step / 4
            self.page.line(
                middle_x + 4 * math.cos(turn),
                middle_y + 4 * math.sin(turn),
                middle_x + 6 * math.cos(turn),
                middle_y + 6 * math.sin(turn),
            )

    def flash(self, x: float, y: float) -> None:
        """A flash of lightning."""
        self.line((x, y), (x - 4, y + 12), (x + 1, y + 12), (x - 3, y + 24))
