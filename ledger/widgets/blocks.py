"""A picture in coloured blocks: two pixels in one character, any terminal can."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.color import Color
from rich.segment import Segment
from rich.style import Style
from textual.strip import Strip
from textual.widget import Widget

if TYPE_CHECKING:
    from PIL.Image import Image
    from textual.geometry import Size

_UPPER_HALF = "▀"


class Blocks(Widget):
    """As high as it is told, as wide as that makes it; a pixel is half a cell."""

    DEFAULT_CSS = "Blocks { width: auto; height: 1fr; }"

    def __init__(self, image: Image) -> None:
        super().__init__()
        self._image = image
        self._drawn: tuple[tuple[int, int], list[Strip]] = ((0, 0), [])

    def get_content_width(self, container: Size, viewport: Size) -> int:
        """Cells are taken as twice as high as wide."""
        return max(1, self._width_at(container.height))

    def _width_at(self, rows: int) -> int:
        return round(self._image.width * 2 * rows / self._image.height)

    def render_line(self, y: int) -> Strip:
        """One row of cells."""
        size = (self.size.width, self.size.height)
        if self._drawn[0] != size:
            self._drawn = (size, self._draw(*size))
        strips = self._drawn[1]
        return strips[y] if y < len(strips) else Strip.blank(size[0], self.rich_style)

    def _draw(self, width: int, rows: int) -> list[Strip]:
        if not width or not rows:
            return []
        small = self._image.convert("RGB").resize((width, 2 * rows))
        pixels = small.tobytes()
        strips = []
        for row in range(rows):
            cells = []
            for column in range(width):
                upper = 3 * (2 * row * width + column)
                lower = upper + 3 * width
                style = Style(
                    color=Color.from_rgb(*pixels[upper : upper + 3]),
                    bgcolor=Color.from_rgb(*pixels[lower : lower + 3]),
                )
                cells.append(Segment(_UPPER_HALF, style))
            strips.append(Strip(cells, width))
        return strips
