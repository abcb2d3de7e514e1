"""Lines folded to the window's width, what follows set in under what it follows."""

from __future__ import annotations

import re
import textwrap
from typing import TYPE_CHECKING

from textual.content import Content
from textual.widget import Widget

from ledger.widgets.words import shown

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from textual.geometry import Size

_WIDEST = 96
"""Longer lines are hard to follow."""


class Folded(Widget):
    """Plain text, taken literally; each line has a style of its own."""

    DEFAULT_CSS = "Folded { height: auto; }"

    def __init__(self, *, id: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id)
        self._lines: tuple[tuple[str, str], ...] = ()

    def show(self, lines: Iterable[tuple[str, str]]) -> None:
        """Show these lines from now on.

        Args:
            lines: Text and style of each; "" is no style.
        """
        self._lines = tuple((shown(text), style) for text, style in lines)
        self.refresh(layout=True)

    @property
    def text(self) -> str:
        """What is shown, not folded and without colours."""
        return "\n".join(text for text, _ in self._lines)

    def render(self) -> Content:
        """The lines as they fit."""
        folded = self._folded(self.content_size.width)
        return Content("\n").join(
            Content.styled(text, style) if style else Content(text)
            for text, style in folded
        )

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """One row a folded line."""
        return sum(1 for _ in self._folded(width))

    def _folded(self, width: int) -> Iterator[tuple[str, str]]:
        width = max(min(width, _WIDEST), 10)
        for line, style in self._lines:
            if len(line) <= width:
                yield line, style
                continue
            # Under the second column where there is one: "  77       serial: ...".
            start = re.match(r" *(- )?(\S+ {2,})?", line)
            indent = start.end() if start else 0
            for text in textwrap.wrap(
                line,
                width,
                subsequent_indent=" " * min(indent, width // 2),
                break_on_hyphens=False,
            ):
                yield text, style
