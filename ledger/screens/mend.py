"""Ways to put one finding right; the keeper goes one of them, or leaves it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual import on
from textual.containers import Vertical
from textual.widgets import Footer, Input

from ledger.errors import LedgerError
from ledger.screens.base import Dialog
from ledger.services import mending
from ledger.widgets.row_list import Column, Row, RowList
from ledger.widgets.words import Words

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from ledger.screens.desk import Desk
    from ledger.services.checking import Finding
    from ledger.services.mending import Way

_ROWS = 8


class MendScreen(Dialog[str]):
    """Answers with what was done. Enter twice on a way goes it; some ask a word."""

    def __init__(self, desk: Desk, finding: Finding) -> None:
        super().__init__(desk)
        self._finding = finding
        self._ways = mending.ways(desk.ledger, finding)
        self._chosen: int | None = None
        """The way that waits for a word, or for one more Enter."""

    def compose(self) -> ComposeResult:
        """What is wrong, the ways, and a line for those that ask."""
        with Vertical(classes="dialog"):
            yield Words("Ways to put it right", classes="title")
            yield Words(self._finding.message)
            yield RowList([Column("", 0)], id="ways")
            yield Words("", id="about-way")
            yield Input(id="said")
            yield Words("", id="trouble", classes="trouble")
            yield Words("Enter chooses a way. Escape changes nothing.", id="how")
        yield Footer()

    def on_mount(self) -> None:
        """The likeliest way is under the cursor."""
        rows = self.query_one("#ways", RowList)
        rows.styles.height = min(max(len(self._ways), 1), _ROWS)
        rows.show(
            [Row(str(at), (way.does,)) for at, way in enumerate(self._ways)],
            empty="It stands no more.",
        )
        self.query_one("#said", Input).display = False
        rows.focus()

    def _way(self) -> Way | None:
        row = self.query_one("#ways", RowList).row
        return self._ways[int(row.key)] if row else None

    @on(RowList.Moved)
    def _moved(self) -> None:
        self._chosen = None
        way = self._way()
        self.query_one("#said", Input).display = False
        self.query_one("#trouble", Words).say("")
        self.query_one("#about-way", Words).say(way.does if way else "")
        self.query_one("#how", Words).say(
            "Enter chooses a way. Escape changes nothing."
        )

    @on(RowList.Opened)
    def _opened(self, event: RowList.Opened) -> None:
        way, at = self._ways[int(event.row.key)], int(event.row.key)
        said = self.query_one("#said", Input)
        if way.needs_words:
            said.display = True
            said.placeholder = way.prompt or "what it shall be"
            said.value = ""
            said.focus()
            how = "Enter stores what you wrote; it can be taken back."
        elif self._chosen == at:
            self._go(way)
            return
        else:
            how = "Enter once more does it; it can be taken back."
        self._chosen = at
        self.query_one("#about-way", Words).say(way.does)
        self.query_one("#how", Words).say(how)

    @on(Input.Submitted)
    def _said(self, event: Input.Submitted) -> None:
        way = self._way()
        if way is not None:
            self._go(way, event.value)

    def _go(self, way: Way, said: str = "") -> None:
        try:
            done = mending.mend(
                self.desk.ledger, self._finding, way, self.desk.keeper, said
            )
        except LedgerError as error:
            self.query_one("#trouble", Words).say(f"✗ {error} {error.hint}".strip())
            return
        self.answer(done)
