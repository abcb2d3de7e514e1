"""An act in steps: each a short form, a summary at the end, and one storing.

Nothing is stored before the last Enter. Escape goes one step back and keeps what was
typed; from the first step it leaves, and asks first where something was typed.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from textual import on, work
from textual.binding import Binding
from textual.containers import VerticalScroll
from textual.widgets import Footer, Input

from ledger.errors import LedgerError
from ledger.screens.base import Page, heading, tell_trouble
from ledger.screens.confirm import ConfirmScreen
from ledger.screens.pick import PickScreen
from ledger.widgets.form import Form, FormLine
from ledger.widgets.words import Words

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from textual.app import ComposeResult

    from ledger.screens.desk import Desk

Said = dict[str, str]
"""All that was entered so far, by the name of its line."""


_NOT_HERE = (
    "",
    "The ledger is open for reading only: nothing could be stored in the end. Close "
    "the window that holds it, then open it again.",
)


def _nothing(_said: Said) -> str:
    return ""


def _no_trouble(_said: Said) -> tuple[str, str] | None:
    return None


def _always(_said: Said) -> bool:
    return True


@dataclass(frozen=True)
class Step:
    """One page of it."""

    title: str
    lines: Callable[[Said], Sequence[FormLine]]
    about: Callable[[Said], str] = _nothing
    """What must be known first, above the form."""
    told: Callable[[Said], str] = _nothing
    """What the program says to what is typed, as it is typed."""
    trouble: Callable[[Said], tuple[str, str] | None] = _no_trouble
    """The line and the sentence of what keeps one from going on; None: nothing."""
    applies: Callable[[Said], bool] = _always
    """Whether the step is to be taken, by what was said before."""


class GuidedScreen(Page):
    """Steps forward with Enter, back with Escape."""

    HELP_TEXT: ClassVar[str] = """
# Step by step

**Enter** goes on; what is missing is said, and the cursor stands where it belongs.
**Up** and **Down** walk the lines, **Left** and **Right** choose between arrows, **F2**
lists what is known already: people, aviaries, places.

**Escape** goes one step back and keeps what you typed. From the first step it leaves;
where you typed something it asks before. Nothing is stored before the last Enter on the
summary: stop anywhere before, and the ledger is as it was.
"""
    BINDINGS = [
        Binding("f2", "pick", "Choose", id="guided.pick", tooltip="What is known"),
        Binding("enter", "next", "Next", show=False, id="guided.next"),
    ]

    def __init__(self, desk: Desk, bird_id: str) -> None:
        super().__init__(desk)
        self._bird_id = bird_id
        self._said: Said = {}
        self._at = 0
        self._steps = tuple(self.steps())
        self._touched = False
        self._stored = False

    def steps(self) -> Sequence[Step]:
        """What is asked, in order; the summary comes after them."""
        raise NotImplementedError

    def title_words(self) -> str:
        """What it is about."""
        raise NotImplementedError

    def summary(self, said: Said) -> str:
        """What will be stored and what must be known, in lines."""
        raise NotImplementedError

    def finish(self, said: Said) -> None:
        """Store it, all of it or nothing, and go on to whatever follows.

        Raises:
            LedgerError: it cannot be stored; the page stays.
        """
        raise NotImplementedError

    def compose(self) -> ComposeResult:
        """The step, what is known of it, and what is wrong with it."""
        yield Words(id="heading")
        yield Words("", id="step", classes="title")
        with VerticalScroll(id="guided", can_focus=False):
            yield Words("", id="about")
            yield VerticalScroll(id="form-side", can_focus=False)
            yield Words("", id="told")
        yield Words("", id="trouble", classes="trouble")
        yield Words("", id="keys")
        yield Footer()

    async def on_mount(self) -> None:
        """The first step."""
        bird = self.desk.ledger.flock.birds[self._bird_id]
        place = ", ".join(filter(None, [bird.title, bird.species, bird.id]))
        title = heading(self.title_words(), self.desk, place)
        self.query_one("#heading", Words).update(title)
        await self._show()

    @property
    def _taken(self) -> list[Step]:
        """The steps that are to be taken, as things stand."""
        return [step for step in self._steps if step.applies(self._said)]

    @property
    def _step(self) -> Step | None:
        """The one in front; None on the summary."""
        taken = self._taken
        return taken[self._at] if self._at < len(taken) else None

    async def _show(self) -> None:
        step, side = self._step, self.query_one("#form-side")
        self.query_one("#trouble", Words).say("")
        about = step.about(self._said) if step else ""
        self.query_one("#about", Words).say(about)
        await side.remove_children()
        if step is not None:
            form = Form([self._kept(line) for line in step.lines(self._said)])
            await side.mount(form)
            self._said |= form.entered()
            self._tell()
        else:
            shown = VerticalScroll(Words(self.summary(self._said)), id="summary")
            await side.mount(shown)
            self.query_one("#told", Words).say("")
            shown.focus()
        last = len(self._taken) + 1
        name = step.title if step else "All of it"
        self.query_one("#step", Words).update(f"{self._at + 1} of {last}: {name}")
        back = "Escape leaves" if self._at == 0 else "Escape goes one step back"
        on_enter = "Enter goes on." if step else "Enter stores it."
        self.query_one("#keys", Words).update(f"{on_enter} {back}.")

    def _kept(self, line: FormLine) -> FormLine:
        """The line with what was entered in it before."""
        from dataclasses import replace

        values = [value for value, _ in line.choices]
        kept = self._said.get(line.name, line.value)
        if line.choices and kept not in values:
            kept = line.value
        return replace(line, value=kept)

    def _keep(self) -> None:
        """Remember what stands in the form."""
        for form in self.query(Form):
            self._touched = self._touched or form.is_touched
            self._said |= form.entered()

    @on(Form.Changed)
    def _tell(self) -> None:
        step = self._step
        if step is not None and self.query(Form):
            said = self._said | self.query_one(Form).entered()
            self.query_one("#told", Words).say(step.told(said))

    @on(Form.Submitted)
    async def _submitted(self) -> None:
        await self.action_next()

    async def action_next(self) -> None:
        """Go on, or store it where all is said."""
        self._keep()
        step = self._step
        if step is None:
            self._store()
            return
        trouble = _NOT_HERE if self.desk.ledger.read_only else step.trouble(self._said)
        if trouble is not None:
            name, sentence = trouble
            self.query_one("#trouble", Words).say(f"✗ {sentence}")
            form = self.query_one(Form)
            if name in form.entered():
                form.go_to(name)
            return
        self._at += 1
        await self._show()

    def _store(self) -> None:
        if self._stored:  # a second Enter, before the next page is there
            return
        try:
            self.finish(dict(self._said))
        except LedgerError as error:
            self.query_one("#trouble", Words).say(f"✗ {error} {error.hint}".strip())
            tell_trouble(self.app, "Not stored", error)
        else:
            self._stored = True

    def action_back(self) -> None:
        """One step back; from the first out of it."""
        self._keep()
        if self._at > 0:
            self._at -= 1
            self.call_next(self._show)
        elif self._touched:
            self._ask_before_leaving()
        else:
            self.app.pop_screen()

    @work
    async def _ask_before_leaving(self) -> None:
        question = ConfirmScreen(
            self.desk,
            "Leave this?",
            "What you typed is not stored, and leaving throws it away.",
            "Throw it away",
        )
        if await self.app.push_screen_wait(question):
            self.app.pop_screen()

    def action_pick(self) -> None:
        """List what is known for the line one is on."""
        here = self.focused
        step = self._step
        if step is None or not isinstance(here, Input):
            return
        for line in step.lines(self._said):
            if line.name == here.id and line.known:
                self.app.push_screen(
                    PickScreen(self.desk, line.label, line.known), self._picked
                )

    def _picked(self, value: str | None) -> None:
        if value is not None and isinstance(self.focused, Input):
            self.focused.value = value
            self.focused.cursor_position = len(value)
