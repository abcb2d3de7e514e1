"""Today: all that is due, done by key right there."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.binding import Binding
from textual.content import Content
from textual.widgets import Footer, Input

from ledger.care.duty import PRESS_WORDS, Press
from ledger.errors import LedgerError
from ledger.screens.base import heading, tell, tell_trouble
from ledger.screens.computing import ComputingPage
from ledger.screens.due_acts import act_for
from ledger.services.today import DayLists
from ledger.widgets.row_list import Column, Row, RowList
from ledger.widgets.words import Words, shown

if TYPE_CHECKING:
    from textual import events
    from textual.app import ComposeResult

    from ledger.care.duty import Due
    from ledger.domain.flock import Flock
    from ledger.screens.computing import Step
    from ledger.screens.desk import Desk
    from ledger.services.today import DayList

AT_MOST = 1000
"""Rows shown; nobody does more in a day."""
_MARKS = {Press.NOW: "!!", Press.DUE: "!", Press.COMING: "", Press.ROUTINE: ""}


class TodayScreen(ComputingPage):
    """Type to narrow; Enter does it, a key lets it wait."""

    HELP_TEXT: ClassVar[str] = """
# Today

All that is due: what you set down, and what follows from the flock by rule. `!!`
presses now, `!` is due. Type any words to narrow the list.

**Enter** does the thing you stand on: it opens the right question, and what is stored
takes the line away. **F2** lets it wait until a day, with a reason; what is for a vet
today cannot wait. **F3** opens the bird's page. **F4** adds what comes within a week
and what is due by the calendar only. **F5** puts the list in order of aviaries.
**F7** sets down a task, **F8** writes the list to a PDF beside the ledger, a box
before each line.
"""

    BINDINGS = [
        Binding("f2", "wait", "Later", id="wait", tooltip="Let it wait, with a reason"),
        Binding("f3", "bird", "Bird", id="due-bird", tooltip="Opens the bird's page"),
        Binding(
            "f4",
            "everything",
            "More",
            id="everything",
            tooltip="Also what comes and what is routine",
        ),
        Binding(
            "f5", "aviaries", "Aviaries", id="by-aviary", tooltip="Aviary by aviary"
        ),
        Binding(
            "f7",
            "task",
            "Task",
            id="task",
            show=False,
            tooltip="Set down something to do",
        ),
        Binding(
            "f8",
            "print",
            "Print",
            id="print-round",
            show=False,
            tooltip="Write the list to a PDF beside the ledger",
        ),
    ]

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self._lists: DayLists = desk.worked_out.setdefault("today", DayLists())
        self._found: DayList | None = None
        self._flock: Flock | None = None
        self._everything = False
        self._aviaries = False
        self._rows: dict[str, Due] = {}

    def compose(self) -> ComposeResult:
        """The words, how much there is, the list, and why the one one is on."""
        yield Words(id="heading")
        yield Input(
            placeholder="any words: an aviary, a bird, weigh",
            id="words",
            select_on_focus=False,
        )
        yield Words(id="computing")
        yield RowList(
            [
                Column("", 2),
                Column("since", 10, at_least=100),
                Column("what", 17),
                Column("who", 14),
                Column("why", 0),
                Column("where", 17),
            ],
            id="due",
        )
        yield Words("", id="why")
        yield Footer()

    def on_mount(self) -> None:
        """Walk at once."""
        self.query_one("#due").focus()

    def on_screen_resume(self) -> None:
        """Work it out as things are now."""
        flock, today = self.desk.ledger.flock, self.desk.today
        if self._found is not None and self._flock is flock:
            return
        self._flock = flock
        lists = self._lists

        def work_out(step: Step) -> DayList:
            return lists.of(flock, today, step)

        if self._found is None:
            self.query_one("#heading", Words).update(heading("Today", self.desk))
        self.compute(work_out, self._show, "Looking what is due ...")

    def _show(self, found: DayList) -> None:
        self._found = found
        place = f"{found.today}: {found.summary}"
        self.query_one("#heading", Words).update(heading("Today", self.desk, place))
        self._narrow()

    @on(Input.Changed, "#words")
    def _narrow(self) -> None:
        if self._found is None:
            return
        words = self.query_one("#words", Input).value
        chosen = self._chosen(self._found)
        self._rows = {one.key: one for one in chosen[:AT_MOST]}
        rows = self.query_one("#due", RowList)
        self._show_rows(rows, list(self._rows.values()))
        if words.strip() and not chosen:
            rows.show([], empty=f"Nothing due has “{words}”. F4 shows more.")
        self._tell()

    def _show_rows(self, rows: RowList, chosen: list[Due]) -> None:
        """The rows, the cursor kept on the same thing where it is still there."""
        before = rows.row.key if rows.row else ""
        place = rows.cursor
        empty = "✓ Nothing is due. F4 shows what comes."
        rows.show([_row(one) for one in chosen], empty=empty)
        keys = [one.key for one in chosen]
        rows.cursor = keys.index(before) if before in keys else place

    def _chosen(self, found: DayList) -> list[Due]:
        return found.chosen(
            self.query_one("#words", Input).value,
            everything=self._everything,
            aviaries=self._aviaries,
        )

    @on(RowList.Moved, "#due")
    def _tell(self) -> None:
        one = self._due
        if one is None:
            self.query_one("#why", Words).say("")
            return
        where = f" ({one.aviary})" if one.aviary else ""
        title = (
            f"{one.name or 'The flock'}{where}: {one.kind}, {PRESS_WORDS[one.press]}"
        )
        source = f"\n{shown(one.source)}" if one.source else ""
        said = Content.assemble(
            (shown(title), "bold"), f"\n{shown(one.why)}", (source, "$text-muted")
        )
        self.query_one("#why", Words).say(said)

    @property
    def _due(self) -> Due | None:
        row = self.query_one("#due", RowList).row
        return self._rows.get(row.key) if row else None

    def on_key(self, event: events.Key) -> None:
        """Down leaves the words for the list; letters typed there are words."""
        words = self.query_one("#words", Input)
        if event.key == "down" and words.has_focus:
            event.stop()
            self.query_one("#due").focus()
        elif not words.has_focus and event.key == "backspace":
            event.stop()
            words.focus()
            words.action_delete_left()
        elif event.is_printable and event.character and not words.has_focus:
            event.stop()
            words.focus()
            words.insert_text_at_cursor(event.character)

    @on(Input.Submitted, "#words")
    @on(RowList.Opened, "#due")
    def _do(self) -> None:
        one = self._due
        if one is not None:
            self.query_one("#due").focus()
            self.app.push_screen(act_for(self.desk, one))

    def action_wait(self) -> None:
        """Let it wait until a day."""
        from ledger.screens.tasks import PutOffScreen

        if self._due is not None:
            self.app.push_screen(PutOffScreen(self.desk, self._due))

    def action_bird(self) -> None:
        """The page of the bird one stands on."""
        from ledger.screens.bird import BirdScreen

        one = self._due
        if one is not None and one.bird is not None:
            self.app.push_screen(BirdScreen(self.desk, one.bird))
        else:
            self.app.bell()

    def action_everything(self) -> None:
        """What comes and what is routine, too; or only what is due."""
        self._everything = not self._everything
        self._narrow()

    def action_aviaries(self) -> None:
        """Aviary by aviary, or the most pressing first."""
        self._aviaries = not self._aviaries
        self._narrow()

    def action_task(self) -> None:
        """Set down something to do, about the bird one stands on."""
        from ledger.screens.tasks import TaskScreen

        one = self._due
        self.app.push_screen(TaskScreen(self.desk, one.bird if one else None))

    def action_print(self) -> None:
        """Write what is shown to a PDF beside the ledger."""
        from ledger.services.round_print import print_round

        found = self._found
        if found is None:
            return
        path = self.desk.ledger.folder / f"round-{found.today}.pdf"
        try:
            print_round(self.desk.ledger.flock, found, self._chosen(found), path)
        except LedgerError as error:
            tell_trouble(self.app, "Not written", error)
        else:
            tell(self.app, f"The list is written to {path}.", title="Printed")


def _row(one: Due) -> Row:
    return Row(
        one.key,
        (
            _MARKS[one.press],
            str(one.on),
            str(one.kind),
            one.name,
            one.why,
            one.aviary,
        ),
        "alert" if one.press is Press.NOW else "muted" if one.press > Press.DUE else "",
    )
