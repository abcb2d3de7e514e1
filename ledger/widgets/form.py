"""Lines to fill in: a label and what is entered, one line each, walked by arrows."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.binding import Binding
from textual.containers import Horizontal, VerticalGroup
from textual.content import Content
from textual.message import Message
from textual.reactive import reactive
from textual.suggester import SuggestFromList
from textual.widget import Widget
from textual.widgets import Input

from ledger.widgets.words import Words, shown

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual import events
    from textual.app import ComposeResult


@dataclass(frozen=True)
class FormLine:
    """One line of a form."""

    name: str
    """By which its value is asked for; also the id of its widget."""
    label: str
    value: str = ""
    hint: str = ""
    """Shown below the form while one is on this line."""
    example: str = ""
    """Shown in the line while it is empty."""
    choices: tuple[tuple[str, str], ...] = ()
    """Value and words of each, where one chooses instead of typing."""
    known: tuple[str, ...] = ()
    """Texts that are offered while one types; Right takes the one offered."""


class ChoiceLine(Widget, can_focus=True):
    """One of a few; Left, Right or Space goes to the next."""

    BINDINGS = [
        Binding("right,space", "turn(1)", "Next", show=False),
        Binding("left", "turn(-1)", "Before", show=False),
        Binding("enter", "submit", "Done", show=False),
    ]
    DEFAULT_CSS = """
    ChoiceLine { height: 1; width: 1fr; padding: 0 1; background: $surface; }
    ChoiceLine:focus {
        background: $block-cursor-background;
        color: $block-cursor-foreground;
        text-style: bold;
    }
    """

    chosen: reactive[int] = reactive(0)

    class Changed(Message):
        """Another one was chosen."""

    class Submitted(Message):
        """Enter."""

    def __init__(self, line: FormLine) -> None:
        super().__init__(id=line.name)
        self._choices = line.choices
        values = [value for value, _ in line.choices]
        if line.value in values:
            self.set_reactive(ChoiceLine.chosen, values.index(line.value))

    @property
    def value(self) -> str:
        """What is chosen."""
        return self._choices[self.chosen][0]

    @value.setter
    def value(self, wanted: str) -> None:
        self.chosen = [value for value, _ in self._choices].index(wanted)

    def render(self) -> Content:
        """The words of what is chosen, between arrows."""
        return Content(shown(f"‹ {self._choices[self.chosen][1]} ›"))

    def watch_chosen(self) -> None:
        """Tell the form."""
        self.post_message(self.Changed())

    def action_turn(self, by: int) -> None:
        """The next or the one before."""
        self.chosen = (self.chosen + by) % len(self._choices)

    def action_submit(self) -> None:
        """Done with the form."""
        self.post_message(self.Submitted())


def _first_value(line: FormLine) -> str:
    """What stands in a line before anything is entered."""
    values = [value for value, _ in line.choices]
    return line.value if not values or line.value in values else values[0]


class Form(VerticalGroup):
    """Lines one walks with Up and Down; Enter on any of them is `Submitted`."""

    DEFAULT_CSS = """
    Form {
        .form-line { height: 1; }
        .form-label { width: 24; padding: 0 1; color: $text-secondary; }
        Input { width: 1fr; }
        #form-hint { height: auto; min-height: 1; padding: 0 1; color: $text-muted; }
    }
    """

    BINDINGS = [
        # Before the line sees the key: what a quick hand types next is for the line
        # walked to.
        Binding("up", "walk(-1)", "Up", show=False, priority=True),
        Binding("down", "walk(1)", "Down", show=False, priority=True),
    ]

    class Submitted(Message):
        """Enter was pressed on a line."""

    class Changed(Message):
        """Something was entered."""

    _INSIDE: ClassVar = (Input, ChoiceLine)

    def __init__(
        self,
        lines: Sequence[FormLine],
        *,
        id: str | None = None,  # noqa: A002 - Textual's own name for it
    ) -> None:
        super().__init__(id=id)
        self._lines = tuple(lines)

    def compose(self) -> ComposeResult:
        """A label and a line each, then the hint."""
        for line in self._lines:
            with Horizontal(classes="form-line"):
                yield Words(line.label, classes="form-label")
                if line.choices:
                    yield ChoiceLine(line)
                else:
                    yield Input(
                        line.value,
                        placeholder=line.example,
                        id=line.name,
                        compact=True,
                        select_on_focus=False,
                        suggester=SuggestFromList(line.known, case_sensitive=False)
                        if line.known
                        else None,
                    )
        yield Words("", id="form-hint")

    def on_mount(self) -> None:
        """The first line is under the hand."""
        self.go_to(self._lines[0].name)

    def entered(self) -> dict[str, str]:
        """What stands in each line now."""
        return {line.name: self._widget(line.name).value for line in self._lines}

    @property
    def is_touched(self) -> bool:
        """Something else stands there than at the beginning."""
        return any(
            value != _first_value(line)
            for line, value in zip(self._lines, self.entered().values(), strict=True)
        )

    def put(self, name: str, value: str) -> None:
        """Enter a value for the keeper."""
        self._widget(name).value = value

    def go_to(self, name: str) -> None:
        """Stand on this line, at once: the next key is already for it."""
        self.screen.set_focus(self._widget(name))

    def _widget(self, name: str) -> Input | ChoiceLine:
        found = self.query_one(f"#{name}")
        if not isinstance(found, Input | ChoiceLine):
            raise TypeError(f"{name} is no line of the form")
        return found

    def on_descendant_focus(self, event: events.DescendantFocus) -> None:
        """Say what belongs in the line."""
        for line in self._lines:
            if line.name == event.widget.id:
                self.query_one("#form-hint", Words).update(shown(line.hint))

    def action_walk(self, by: int) -> None:
        """The line below or above; the ends are ends."""
        names = [line.name for line in self._lines]
        here = self.screen.focused
        if here is not None and here.id in names:
            place = names.index(here.id) + by
            if 0 <= place < len(names):
                self.go_to(names[place])

    @on(Input.Submitted)
    @on(ChoiceLine.Submitted)
    def _done(self, event: Message) -> None:
        event.stop()
        self.post_message(self.Submitted())

    @on(Input.Changed)
    @on(ChoiceLine.Changed)
    def _tell(self, event: Message) -> None:
        event.stop()
        self.post_message(self.Changed())
