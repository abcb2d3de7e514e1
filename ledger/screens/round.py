"""What a round found: differences to settle, coverage, and taking it over."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.binding import Binding
from textual.widgets import Footer

from ledger.errors import LedgerError
from ledger.screens.ask import AskScreen
from ledger.screens.base import HELP_LETTER, Page, heading, tell, tell_trouble
from ledger.services import walk, walk_apply, walk_papers
from ledger.services.walk_differences import CHOICES, settle, still_open
from ledger.services.walk_summary import aviaries_left, compared, summary
from ledger.widgets.row_list import Column, Row, RowList
from ledger.widgets.words import Words

if TYPE_CHECKING:
    from pathlib import Path

    from textual.app import ComposeResult

    from ledger.screens.desk import Desk
    from ledger.services.walk_differences import Difference

_OPEN, _YES = "open", "yes"


class RoundScreen(Page):
    """The differences of one round; Enter settles one."""

    HELP_TEXT: ClassVar[str] = """
# What the round found

One row for every bird or ring that is otherwise than the ledger has it. **Enter**
settles it, or keeps it open. Below stands who was read, known by sight and not seen,
how long you walked, and what is otherwise than in the round before.

**E** ends the round. **A** then takes it over: moves, birds that are back or lost,
weights, ring and leg, notes and every sighting, as one act: `flock-ledger undo` takes
all of it back. What is open changes nothing.

**C** writes it as a table (CSV), **P** as a PDF, beside the ledger.
"""

    BINDINGS = [
        Binding("e", "end", "End", id="round.end", tooltip="End this round"),
        Binding("a", "apply", "Take over", id="round.apply", tooltip="Into the ledger"),
        Binding("c", "csv", "CSV", id="round.csv", tooltip="Write it as a table"),
        Binding("p", "pdf", "PDF", id="round.pdf", tooltip="Write it as a PDF"),
        HELP_LETTER,
    ]

    def __init__(self, desk: Desk, walk_id: str) -> None:
        super().__init__(desk)
        self._walk_id = walk_id
        self._differences: dict[str, Difference] = {}

    def compose(self) -> ComposeResult:
        """Differences; what the marked one says; coverage."""
        yield Words(id="heading")
        yield RowList(
            [
                Column("", 1),
                Column("what", 15),
                Column("who", 16),
                Column("where", 0),
                Column("settled", 18),
                Column("proposal", 24, at_least=100),
            ],
            empty="No differences: all is as the ledger has it.",
            id="differences",
        )
        yield Words("", id="said")
        yield Words("", id="coverage")
        yield Footer()

    def on_mount(self) -> None:
        """The list takes the keys."""
        self.query_one(RowList).focus()

    def on_screen_resume(self) -> None:
        """Show the round as it is now."""
        flock = self.desk.ledger.flock
        found = summary(flock, self._walk_id)
        round_ = found.walk
        state = (
            "taken over"
            if round_.applied
            else "ended: A takes it over"
            if round_.ended
            else "goes on: E ends it"
        )
        self.query_one("#heading", Words).update(
            heading(f"Round {round_.id} of {round_.on}", self.desk, state)
        )
        self._differences = {each.key: each for each in found.differences}
        self.query_one(RowList).show(
            [
                Row(
                    each.key,
                    (
                        "✓" if each.settled else "?",
                        each.kind.value,
                        each.name,
                        each.aviary,
                        each.settled or "open",
                        each.proposal,
                    ),
                    "" if each.settled else "alert",
                )
                for each in found.differences
            ]
        )
        self._explain()
        lines = [f"{found.coverage}; {found.minutes:.0f} minutes."]
        left = aviaries_left(round_)
        if left and not round_.ended:
            lines.append(f"{len(left)} aviaries are not closed yet.")
        lines += [f"! {sentence} {walk.CALL_A_VET}" for sentence in found.urgent]
        lines += compared(flock, round_)
        self.query_one("#coverage", Words).say("\n".join(lines))

    @on(RowList.Moved)
    def _explain(self) -> None:
        row = self.query_one(RowList).row
        marked = self._differences.get(row.key) if row else None
        said = marked.said if marked else ""
        if marked and marked.proposal:
            said += f" Proposed: {marked.proposal}."
        self.query_one("#said", Words).say(said)

    @on(RowList.Opened)
    def _ask(self, event: RowList.Opened) -> None:
        each = self._differences[event.row.key]
        self.app.push_screen(
            AskScreen(
                self.desk,
                f"{each.name}: {each.kind.value}",
                each.said,
                [
                    *((str(settled), words) for settled, words in CHOICES[each.kind]),
                    (_OPEN, "keep open"),
                ],
            ),
            partial(self._settle, each),
        )

    def _settle(self, each: Difference, answer: str | None) -> None:
        if answer is None:
            return
        settled = "" if answer == _OPEN else answer
        ledger, keeper = self.desk.ledger, self.desk.keeper
        try:
            settle(ledger, self._walk_id, each, settled, keeper)
        except LedgerError as error:
            tell_trouble(self.app, "Not settled", error)
        self.on_screen_resume()

    def action_end(self) -> None:
        """End the round; aviaries that are not closed are named first."""
        left = aviaries_left(self.desk.ledger.flock.walks[self._walk_id])
        if not left:
            self._end(_YES)
            return
        self.app.push_screen(
            AskScreen(
                self.desk,
                f"{len(left)} aviaries are not closed",
                f"{', '.join(left[:6])}{' ...' if len(left) > 6 else ''}. "
                "Birds not seen there count as not seen.",
                [(_YES, "end the round all the same"), (_OPEN, "walk on")],
            ),
            self._end,
        )

    def _end(self, answer: str | None) -> None:
        if answer != _YES:
            return
        try:
            walk.end(self.desk.ledger, self._walk_id, self.desk.now(), self.desk.keeper)
        except LedgerError as error:
            tell_trouble(self.app, "Not ended", error)
        self.on_screen_resume()

    def action_apply(self) -> None:
        """Take the round over, once the keeper has said yes."""
        unsettled = len(still_open(list(self._differences.values())))
        more = f" {unsettled} are open and change nothing." if unsettled else ""
        self.app.push_screen(
            AskScreen(
                self.desk,
                "Take this round into the ledger?",
                "What is settled is done, as one act that undo takes back." + more,
                [(_YES, "take it over"), (_OPEN, "not yet")],
            ),
            self._apply,
        )

    def _apply(self, answer: str | None) -> None:
        if answer != _YES:
            return
        try:
            applied = walk_apply.apply(
                self.desk.ledger, self._walk_id, self.desk.now(), self.desk.keeper
            )
        except LedgerError as error:
            tell_trouble(self.app, "Not taken over", error)
            return
        tell(self.app, f"{applied.said}.", title="Taken over")
        self.on_screen_resume()

    def action_csv(self) -> None:
        """Write it as a table beside the ledger."""
        path = self._path("csv")
        try:
            walk_papers.write_csv(self.desk.ledger.flock, self._walk_id, path)
        except LedgerError as error:
            tell_trouble(self.app, "Not written", error)
            return
        tell(self.app, str(path), title="Table written")

    def action_pdf(self) -> None:
        """Write it as a PDF beside the ledger."""
        path = self._path("pdf")
        try:
            paper = walk_papers.result(self.desk.ledger.flock, self._walk_id)
            walk_papers.write_paper(path, paper)
        except LedgerError as error:
            tell_trouble(self.app, "Not written", error)
            return
        tell(self.app, str(path), title="PDF written")

    def _path(self, suffix: str) -> Path:
        return self.desk.ledger.folder / f"round-{self._walk_id}.{suffix}"
