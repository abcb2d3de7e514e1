"""A few words in block letters, to be read at arm's length: a terminal cannot zoom."""

from __future__ import annotations

from functools import lru_cache

from rich.segment import Segment
from textual.reactive import reactive
from textual.strip import Strip
from textual.widget import Widget

from ledger.widgets.words import on_one_line

_BLOCKS = " ▀▄█"
"""By upper and lower pixel."""
ROWS = 6


class BigWords(Widget):
    """One line of text, six cells high; what there is no room for is left out."""

    DEFAULT_CSS = """
    BigWords { height: 6; width: 1fr; color: $text-primary; padding: 0 1; }
    """

    words: reactive[str] = reactive("")
    """What is shown."""

    def render_line(self, y: int) -> Strip:
        """One row of cells."""
        rows = block_letters(on_one_line(self.words))
        row = rows[y] if y < len(rows) else ""
        width = self.size.width
        return Strip([Segment(row[:width].ljust(width), self.rich_style)], width)


@lru_cache(maxsize=64)
def block_letters(text: str) -> tuple[str, ...]:
    """A text as rows of half blocks; letters the font lacks are shown as `?`.

    Example:
        >>> len(block_letters("74")), len(block_letters("74")[0])
        (6, 12)
    """
    from PIL import ImageFont  # only where somebody wants it large

    plain = text.encode("latin-1", errors="replace").decode("latin-1")
    if not plain.strip():
        return ("",) * ROWS
    mask = ImageFont.load_default_imagefont().getmask(plain)
    width, height = mask.size

    def lit(x: int, y: int) -> int:
        return int(y < height and mask.getpixel((x, y)) > 0)

    return tuple(
        "".join(
            _BLOCKS[lit(x, 2 * row) + 2 * lit(x, 2 * row + 1)] for x in range(width)
        )
        for row in range(ROWS)
    )
