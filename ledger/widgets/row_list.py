"""A list of rows that draws only what is in view, so its length costs nothing.

Textual's own table lays out every row it holds; with some thousand birds that
takes longer than a key may take to answer.
"""

from __future__ import annotations

from dataclasses import dataclass
from textwrap import wrap
from typing import TYPE_CHECKING, ClassVar

from rich.segment import Segment
from textual.binding import Binding
from textual.geometry import Region, Size
from textual.message import Message
from textual.reactive import reactive
from textual.scroll_view import ScrollView
from textual.strip import Strip

from ledger.widgets.words import fitted, on_one_line

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rich.style import Style
    from textual import events


@dataclass(frozen=True)
class Column:
    """A column; width 0 shares what the fixed columns leave."""

    title: str
    width: int = 0
    at_least: int = 0
    """Shown only when the list is at least this many cells wide."""
    to_the_right: bool = False
    """Numbers stand at the right."""


@dataclass(frozen=True)
class Row:
    """One line; `key` says what it stands for."""

    key: str
    cells: tuple[str, ...]
    tone: str = ""
    """"" as usual, "muted" for what is past, "alert" for what must be seen."""


class RowList(ScrollView, can_focus=True):
    """Rows to walk through; Enter opens one."""

    BINDINGS = [
        Binding("up", "move(-1)", "Up", show=False),
        Binding("down", "move(1)", "Down", show=False),
        Binding("pageup", "page(-1)", "Page up", show=False),
        Binding("pagedown", "page(1)", "Page down", show=False),
        Binding("home", "move(-1_000_000_000)", "First", show=False),
        Binding("end", "move(1_000_000_000)", "Last", show=False),
        Binding("enter", "open", "Open", show=False),
    ]

    COMPONENT_CLASSES: ClassVar[set[str]] = {
        "row-list--title",
        "row-list--row",
        "row-list--muted",
        "row-list--alert",
        "row-list--cursor",
        "row-list--cursor-blurred",
    }

    DEFAULT_CSS = """
    RowList {
        height: 1fr;
        background: $surface;
        scrollbar-size-vertical: 1;
        overflow-x: hidden;
        .row-list--title { color: $text-muted; text-style: bold; }
        .row-list--row { color: $foreground; }
        .row-list--muted { color: $text-muted; }
        .row-list--alert { color: $text-warning; }
        .row-list--cursor {
            color: $block-cursor-foreground;
            background: $block-cursor-background;
            text-style: bold;
        }
        .row-list--cursor-blurred {
            color: $block-cursor-blurred-foreground;
            background: $block-cursor-blurred-background;
        }
    }
    """

    cursor: reactive[int] = reactive(0)
    """Which row the keeper stands on."""
    spread: reactive[bool] = reactive(False)
    """An empty line below each row, for reading at arm's length."""

    @dataclass
    class Opened(Message):
        """Enter, or a click on the row the keeper stands on."""

        rows: RowList
        row: Row

        @property
        def control(self) -> RowList:
            """The list it comes from, for `@on(..., "#selector")`."""
            return self.rows

    @dataclass
    class Moved(Message):
        """The keeper stands on another row."""

        rows: RowList
        row: Row

        @property
        def control(self) -> RowList:
            """The list it comes from, for `@on(..., "#selector")`."""
            return self.rows

    def __init__(
        self,
        columns: Sequence[Column],
        *,
        empty: str = "",
        id: str | None = None,  # noqa: A002 - Textual's own name for it
        classes: str | None = None,
    ) -> None:
        super().__init__(id=id, classes=classes)
        self._columns = tuple(columns)
        self._rows: tuple[Row, ...] = ()
        self._empty = empty
        self._head = int(any(column.title for column in columns))

    @property
    def rows(self) -> tuple[Row, ...]:
        """All rows, also those out of view."""
        return self._rows

    @property
    def row(self) -> Row | None:
        """The row the keeper stands on."""
        return self._rows[self.cursor] if self._rows else None

    def show(self, rows: Sequence[Row], *, empty: str | None = None) -> None:
        """Show these rows; stay on the same one if it is still there."""
        here = self.row
        self._rows = tuple(rows)
        if empty is not None:
            self._empty = empty
        place = 0
        if here is not None:
            keys = (i for i, row in enumerate(self._rows) if row.key == here.key)
            place = next(keys, 0)
        self.set_reactive(RowList.cursor, place)
        self._resize()
        self._keep_in_view()
        self.refresh()

    def select(self, key: str) -> None:
        """Stand on the row with this key, if there is one."""
        for i, row in enumerate(self._rows):
            if row.key == key:
                self.cursor = i

    def on_resize(self) -> None:
        """Width and height decide which columns and rows there is room for."""
        self._resize()
        self._keep_in_view()

    def _resize(self) -> None:
        lines = self._head + max(len(self._rows), 1) * self._step
        self.virtual_size = Size(self.scrollable_content_region.width, lines)

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """As many lines as rows, for lists with `height: auto`."""
        return self._head + max(len(self._rows), 1) * self._step

    @property
    def _step(self) -> int:
        """Lines that a row takes."""
        return 2 if self.spread else 1

    def watch_spread(self) -> None:
        """Draw anew, the same row in view."""
        self._resize()
        self._keep_in_view()
        self.refresh(layout=True)

    def watch_cursor(self) -> None:
        """Follow the keeper."""
        self._keep_in_view()
        self.refresh()
        if self.row is not None:
            self.post_message(self.Moved(self, self.row))

    def validate_cursor(self, cursor: int) -> int:
        """Never beyond the ends."""
        return max(0, min(cursor, len(self._rows) - 1))

    def _keep_in_view(self) -> None:
        if self._rows:
            self.scroll_to_region(
                Region(0, self.cursor * self._step, 1, 1 + self._head),
                animate=False,
                force=True,
            )

    def render_line(self, y: int) -> Strip:
        """Draw one line of the view; the title stays on top while rows scroll."""
        width = self.scrollable_content_region.width
        if self._head and y == 0:
            titles = tuple(column.title for column in self._columns)
            return self._strip(titles, width, self._style("title"), " ")
        index = self.scroll_offset.y + y - self._head
        if self._rows:
            index, between = divmod(index, self._step)
            if between:
                return Strip.blank(width, self.rich_style)
        if not self._rows:
            lines = wrap(
                on_one_line(self._empty), max(width - 2, 1), break_on_hyphens=False
            )
            text = fitted(f" {lines[index]}" if index < len(lines) else "", width)
            return Strip([Segment(text, self._style("muted"))], width)
        if index >= len(self._rows):
            return Strip.blank(width, self.rich_style)
        row = self._rows[index]
        if index == self.cursor:
            kind = "cursor" if self.has_focus else "cursor-blurred"
            mark = "▸" if self.has_focus else "·"
            return self._strip(row.cells, width, self._style(kind), mark)
        return self._strip(row.cells, width, self._style(row.tone or "row"), " ")

    def _style(self, kind: str) -> Style:
        return self.get_component_rich_style(f"row-list--{kind}")

    def _strip(
        self, cells: tuple[str, ...], width: int, style: Style, mark: str
    ) -> Strip:
        parts = [mark]
        for cell, column, room in zip(
            cells, self._columns, self._widths(width), strict=True
        ):
            if room:
                text = fitted(cell, room)
                if column.to_the_right:
                    text = text.strip().rjust(room)
                parts.append(text)
        return Strip([Segment(fitted(" ".join(parts), width), style)], width)

    def _widths(self, width: int) -> list[int]:
        """The width of each column in cells; 0 for those left out."""
        kept = [column.at_least <= width for column in self._columns]
        fixed = sum(
            column.width
            for column, keep in zip(self._columns, kept, strict=True)
            if keep
        )
        flexible = sum(
            keep and not column.width
            for column, keep in zip(self._columns, kept, strict=True)
        )
        share = max(0, width - 1 - sum(kept) - fixed) // max(flexible, 1)
        return [
            (column.width or share) if keep else 0
            for column, keep in zip(self._columns, kept, strict=True)
        ]

    def action_move(self, by: int) -> None:
        """Walk; up from the first row leaves the list."""
        if by == -1 and self.cursor == 0:
            self.screen.focus_previous()
        else:
            self.cursor += by

    def action_page(self, by: int) -> None:
        """Walk by as many rows as are in view."""
        self.cursor += by * max(1, (self.size.height - self._head) // self._step - 1)

    def action_open(self) -> None:
        """Open the row the keeper stands on."""
        if self.row is not None:
            self.post_message(self.Opened(self, self.row))

    def on_click(self, event: events.Click) -> None:
        """A click goes to a row; one more opens it."""
        index = (self.scroll_offset.y + event.y - self._head) // self._step
        if event.y < self._head or not 0 <= index < len(self._rows):
            return
        if index == self.cursor:
            self.action_open()
        else:
            self.cursor = index

    def on_focus(self) -> None:
        """The cursor looks different in the list one is in."""
        self.refresh()

    def on_blur(self) -> None:
        """The cursor looks different in a list one is not in."""
        self.refresh()
