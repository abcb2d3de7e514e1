"""What needs a look in the ledger, and what to do about each."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from textual import on, work
from textual.binding import Binding
from textual.message import Message
from textual.widgets import Footer
from textual.worker import Worker, WorkerState

from ledger.screens.base import HELP_LETTER, Page, heading, tell
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
the one you stand on is said below. **M** lists the ways to put it right; you go one of
them, or let a warning stand so that it is not told again. **Enter** opens the page of
the bird it is about. **H** shows what was done in the ledger and takes it back, **B**
its backups.
"""
    BINDINGS = [
        Binding("m", "mend", "Mend", id="mend", tooltip="Ways to put it right"),
        Binding("h", "history", "Changes", id="history", tooltip="And taking it back"),
        Binding(
            "b", "backups", "Backups", id="backups", tooltip="Make one, go back to one"
        ),
        HELP_LETTER,
    ]

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

    def on_screen_resume(self) -> None:
        """Look again: something may have been put right."""
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
        bird_id = checking.bird_behind(self.desk.ledger, finding) if finding else None
        if bird_id is not None:
            self.app.push_screen(BirdScreen(self.desk, bird_id))
        else:
            self.action_mend()

    def action_mend(self) -> None:
        """Ways to put the finding right that the keeper stands on."""
        from ledger.screens.mend import MendScreen

        finding = self._finding
        if finding is None:
            self.app.bell()
            return
        self.app.push_screen(MendScreen(self.desk, finding), self._tell)

    def _tell(self, done: str | None) -> None:
        if done is not None:
            tell(self.app, done, title="Mended")

    def action_history(self) -> None:
        """What was done in the ledger."""
        from ledger.screens.changes import ChangesScreen

        self.app.push_screen(ChangesScreen(self.desk))

    def action_backups(self) -> None:
        """Which backups there are."""
        from ledger.screens.backups import BackupsScreen

        self.app.push_screen(BackupsScreen(self.desk))
