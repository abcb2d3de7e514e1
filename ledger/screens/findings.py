"""What needs a look in the ledger, and what to do about each."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from textual import on, work
from textual.message import Message
from textual.widgets import Footer
from textual.worker import Worker, WorkerState

from ledger.screens.base import HELP_LETTER, Page, heading
from ledger.services import checking
from ledger.widgets.row_list import Column, Row, RowList
from ledger.widgets.words import Words

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from ledger.services.checking import Finding


class FindingsScreen(Page):
    """Errors first; what to do stands below the one you are on."""

    HELP_TEXT: ClassVar[str] = """
# Check

What cannot be so (`✗`) and what is unlikely (`?`) in this ledger. What to do about
the one you stand on is said below. **Enter** opens the bird's page.
"""
    BINDINGS = [HELP_LETTER]

    @dataclass
    class Checked(Message):
        """The whole ledger was looked at."""

        findings: list[Finding]

    def compose(self) -> ComposeResult:
        """The findings and a remedy."""
        yield Words(heading("Check", self.desk), id="heading")
        yield RowList([Column("", 1), Column("", 0)], empty="Checking ...", id="rows")
        yield Words("", id="remedy")
        yield Footer()

    def on_mount(self) -> None:
        """Begin; a large ledger takes a moment."""
        self._findings: list[Finding] = []
        self.query_one("#rows").focus()
        self._check()

    @work(thread=True, exclusive=True, exit_on_error=False)
    def _check(self) -> None:
        self.post_message(self.Checked(checking.check(self.desk.ledger)))

    @on(Worker.StateChanged)
    def _never_hide_a_fault(self, event: Worker.StateChanged) -> None:
        if event.state is WorkerState.ERROR and event.worker.error is not None:
            raise event.worker.error

    @on(Checked)
    def _show(self, event: Checked) -> None:
        self._findings = event.findings
        rows = [
            Row(
                str(at),
                (
                    "✗" if finding.severity is checking.Severity.ERROR else "?",
                    finding.message,
                ),
                "alert" if finding.severity is checking.Severity.ERROR else "",
            )
            for at, finding in enumerate(event.findings)
        ]
        self.query_one("#rows", RowList).show(rows, empty="✓ All is in order.")
        self._show_remedy()

    @on(RowList.Moved)
    def _show_remedy(self) -> None:
        finding = self._finding
        self.query_one("#remedy", Words).say(
            f"{finding.message}\n{finding.remedy}" if finding else ""
        )

    @property
    def _finding(self) -> Finding | None:
        row = self.query_one("#rows", RowList).row
        return self._findings[int(row.key)] if row else None

    @on(RowList.Opened)
    def _open(self) -> None:
        from ledger.screens.bird import BirdScreen

        finding = self._finding
        if finding and finding.subject_id in self.desk.ledger.flock.birds:
            self.app.push_screen(BirdScreen(self.desk, finding.subject_id))
        else:
            self.app.bell()
