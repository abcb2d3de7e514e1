"""Text of the keeper on the screen: never markup, never a terminal command."""

from __future__ import annotations

from rich.cells import cell_len, set_cell_size
from textual.content import Content
from textual.widgets import Static


def shown(text: str) -> str:
    """The text without signs that command a terminal; line breaks stay."""
    if text.isprintable():
        return text
    return "".join(
        sign if sign.isprintable() or sign == "\n" else " " if sign == "\t" else "�"
        for sign in text
    )


def on_one_line(text: str) -> str:
    """The text as `shown`, its line breaks as spaces."""
    return shown(" ".join(text.splitlines()) if "\n" in text else text)


def fitted(text: str, width: int) -> str:
    """One line of exactly `width` cells; what is cut off leaves an ellipsis."""
    text = on_one_line(text)
    if cell_len(text) <= width:
        return set_cell_size(text, width)
    return set_cell_size(text, max(0, width - 1)) + "…"[:width]


class Words(Static):
    """Plain text, taken literally."""

    def __init__(
        self,
        text: str | Content = "",
        *,
        id: str | None = None,  # noqa: A002 - Textual's own name for it
        classes: str | None = None,
    ) -> None:
        super().__init__(self._literal(text), id=id, classes=classes, markup=False)

    def say(self, text: str | Content) -> None:
        """Show this text from now on; take no room when it is empty."""
        content = self._literal(text)
        self.display = bool(content)
        self.update(content)

    @property
    def text(self) -> str:
        """What is shown, without colours."""
        return str(self.content)

    @staticmethod
    def _literal(text: str | Content) -> Content:
        return text if isinstance(text, Content) else Content(shown(text))
