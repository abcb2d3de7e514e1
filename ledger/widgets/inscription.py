"""The characters of a ring, each with its certainty, corrected in place."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from rich.segment import Segment
from textual.binding import Binding
from textual.geometry import Region, Size
from textual.message import Message
from textual.reactive import reactive
from textual.scroll_view import ScrollView
from textual.strip import Strip

from ledger.services.draft import SIGNS, Certainty, Draft, Sign

if TYPE_CHECKING:
    from textual import events

MARKS = {
    Certainty.SURE: "━",
    Certainty.LIKELY: "─",
    Certainty.DOUBTFUL: "┄",
    Certainty.UNREAD: " ",
    Certainty.OUT_OF_VIEW: " ",
    Certainty.BY_KEEPER: "═",
}
"""Under each character: the heavier the line, the surer it is."""

LEGEND = "━ sure  ─ likely  ┄ doubtful  ═ typed by you   ? one not read  * out of view"

_CELL = 3


@dataclass(frozen=True)
class _Stretch:
    """As much of a line as fits in the width: one pair of rows on the screen."""

    line: int
    start: int
    signs: tuple[Sign, ...]
    is_last: bool

    @property
    def places(self) -> int:
        """Its signs, and the place behind a line's end."""
        return len(self.signs) + self.is_last


class Inscription(ScrollView, can_focus=True):
    """Arrows move, typing replaces, Delete removes, Insert makes room.

    `/` begins a new line, Space opens or closes a word gap, Backspace removes
    before the cursor. Enter posts `Accepted`.
    """

    BINDINGS = [
        Binding("left", "move(-1)", "Left", show=False),
        Binding("right", "move(1)", "Right", show=False),
        Binding("up", "move_line(-1)", "Up", show=False),
        Binding("down", "move_line(1)", "Down", show=False),
        Binding("home", "to_edge(0)", "Start of line", show=False),
        Binding("end", "to_edge(1)", "End of line", show=False),
        Binding("delete", "remove", "Remove", show=False),
        Binding("backspace", "remove_before", "Remove before", show=False),
        Binding("insert", "insert", "Make room", show=False),
        Binding("enter", "accept", "Accept", show=False),
    ]

    COMPONENT_CLASSES: ClassVar[set[str]] = {
        f"inscription--{certainty.name.lower().replace('_', '-')}"
        for certainty in Certainty
    } | {"inscription--cursor", "inscription--cursor-blurred"}

    DEFAULT_CSS = """
    Inscription {
        height: auto;
        max-height: 6;
        background: $surface;
        scrollbar-size-vertical: 1;
        .inscription--sure { color: $foreground; text-style: bold; }
        .inscription--likely { color: $text-secondary; text-style: bold; }
        .inscription--doubtful { color: $text-warning; text-style: bold; }
        .inscription--unread { color: $text-error; text-style: bold; }
        .inscription--out-of-view { color: $text-muted; }
        .inscription--by-keeper { color: $text-success; text-style: bold; }
        .inscription--cursor {
            color: $block-cursor-foreground;
            background: $block-cursor-background;
            text-style: bold;
        }
        .inscription--cursor-blurred {
            color: $block-cursor-blurred-foreground;
            background: $block-cursor-blurred-background;
        }
    }
    """

    draft: reactive[Draft] = reactive(Draft(), layout=True)
    at: reactive[tuple[int, int]] = reactive((0, 0))
    """Line and place of the cursor; a line's length is the place behind its end."""

    @dataclass
    class Changed(Message):
        """The keeper corrected something."""

        draft: Draft

    @dataclass
    class Moved(Message):
        """The cursor stands in another place."""

        place: int
        sign: Sign | None

    @dataclass
    class Accepted(Message):
        """Enter: the keeper is done with the characters."""

    @property
    def sign(self) -> Sign | None:
        """The sign under the cursor; None behind a line's end."""
        line, place = self.at
        signs = self.draft.lines[line].signs
        return signs[place] if place < len(signs) else None

    def show(self, draft: Draft, at: tuple[int, int] = (0, 0)) -> None:
        """Show another draft; nothing is posted, it is no correction."""
        self.draft = draft
        self.at = at

    def validate_at(self, at: tuple[int, int]) -> tuple[int, int]:
        """Inside the draft."""
        lines = self.draft.lines
        line = max(0, min(at[0], len(lines) - 1))
        return line, max(0, min(at[1], len(lines[line].signs)))

    def watch_at(self) -> None:
        """Tell who explains the character, and keep it in view."""
        row = next(
            (i for i, part in enumerate(self._stretches()) if self._holds(part)), 0
        )
        self.scroll_to_region(Region(0, 2 * row, 1, 2), animate=False, force=True)
        self.refresh()
        self.post_message(self.Moved(self.at[1], self.sign))

    def watch_draft(self) -> None:
        """The number of rows may differ."""
        self._resize()
        self.refresh()

    def on_resize(self) -> None:
        """The width decides where lines wrap."""
        self._resize()

    def _resize(self) -> None:
        width = self.scrollable_content_region.width
        self.virtual_size = Size(width, 2 * len(self._stretches()))

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """Two rows a line: the characters and their marks."""
        return 2 * len(self._stretches(width))

    def _stretches(self, width: int | None = None) -> list[_Stretch]:
        width = width or self.scrollable_content_region.width or 78
        room = max(1, (width - 1) // _CELL - 1)
        parts = []
        for number, line in enumerate(self.draft.lines):
            starts = range(0, max(len(line.signs), 1), room)
            parts += [
                _Stretch(
                    number, start, line.signs[start : start + room], start == starts[-1]
                )
                for start in starts
            ]
        return parts

    def _holds(self, part: _Stretch) -> bool:
        line, place = self.at
        return line == part.line and part.start <= place < part.start + part.places

    def render_line(self, y: int) -> Strip:
        """Draw the characters of a line, or the marks under them."""
        width = self.scrollable_content_region.width
        row, is_mark = divmod(self.scroll_offset.y + y, 2)
        parts = self._stretches()
        if row >= len(parts):
            return Strip.blank(width, self.rich_style)
        part = parts[row]
        segments = [Segment(" ", self.rich_style)]
        for i in range(part.places):
            sign = part.signs[i] if i < len(part.signs) else None
            here = self._holds(part) and self.at[1] == part.start + i
            segments.append(self._cell(sign, here, bool(is_mark)))
        return Strip(segments).adjust_cell_length(width, self.rich_style)

    def _cell(self, sign: Sign | None, here: bool, is_mark: bool) -> Segment:
        style = self.rich_style
        if sign is not None:
            kind = sign.certainty.name.lower().replace("_", "-")
            style = self.get_component_rich_style(f"inscription--{kind}")
        if is_mark:
            mark = MARKS[sign.certainty] if sign else " "
            return Segment(mark.center(_CELL), style)
        text = sign.text if sign else " "
        gap = "·" if sign and sign.gap_before else " "
        if here:
            cursor = "cursor" if self.has_focus else "cursor-blurred"
            style = self.get_component_rich_style(f"inscription--{cursor}")
        return Segment(f"{gap}{text} ", style)

    def action_move(self, by: int) -> None:
        """One place on; past an end, to the next line."""
        line, place = self.at
        place += by
        if place < 0 and line > 0:
            self.at = (line - 1, len(self.draft.lines[line - 1].signs))
        elif place > len(self.draft.lines[line].signs):
            self.at = (line + 1, 0) if line + 1 < len(self.draft.lines) else self.at
        else:
            self.at = (line, place)

    def action_move_line(self, by: int) -> None:
        """One line up or down; beyond the last, out of the characters."""
        line, place = self.at
        if 0 <= line + by < len(self.draft.lines):
            self.at = (line + by, place)
        elif by > 0:
            self.screen.focus_next()
        else:
            self.screen.focus_previous()

    def action_to_edge(self, end: int) -> None:
        """To the line's start or end."""
        line, _ = self.at
        self.at = (line, len(self.draft.lines[line].signs) if end else 0)

    def action_remove(self) -> None:
        """Take out the sign under the cursor."""
        if self.sign is not None:
            self._correct(self.draft.without(*self.at), self.at)

    def action_remove_before(self) -> None:
        """Take out the sign before the cursor; at a line's start, join the lines."""
        line, place = self.at
        if place:
            self._correct(self.draft.without(line, place - 1), (line, place - 1))
        elif line:
            end = len(self.draft.lines[line - 1].signs)
            self._correct(self.draft.joined(line), (line - 1, end))

    def action_insert(self) -> None:
        """Make room for a character that was not read."""
        self._correct(self.draft.inserted(*self.at), self.at)

    def action_accept(self) -> None:
        """Done."""
        self.post_message(self.Accepted())

    def on_key(self, event: events.Key) -> None:
        """A character replaces the one under the cursor."""
        sign = (event.character or "").upper()
        line, place = self.at
        if sign == "/":
            self._correct(self.draft.broken(line, place), (line + 1, 0))
        elif sign == " ":
            self._correct(self.draft.gap_turned(line, place), self.at)
        elif sign in SIGNS:
            self._correct(self.draft.typed(line, place, sign), (line, place + 1))
        else:
            return
        event.stop()
        event.prevent_default()

    def on_click(self, event: events.Click) -> None:
        """A click puts the cursor on a character."""
        row = (self.scroll_offset.y + event.y) // 2
        parts = self._stretches()
        if row < len(parts):
            place = parts[row].start + max(0, event.x - 1) // _CELL
            self.at = (parts[row].line, place)

    def _correct(self, draft: Draft, at: tuple[int, int]) -> None:
        if draft != self.draft:
            self.draft = draft
            self.at = at
            self.post_message(self.Changed(draft))

    def on_focus(self) -> None:
        """The cursor looks different in here."""
        self.refresh()

    def on_blur(self) -> None:
        """The cursor looks different from outside."""
        self.refresh()
