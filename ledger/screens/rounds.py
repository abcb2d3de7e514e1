"""All rounds that were walked, newest first."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.widgets import Footer

from ledger.screens.base import HELP_LETTER, Page, heading
from ledger.services.walk_summary import summary
from ledger.widgets.row_list import Column, Row, RowList
from ledger.widgets.words import Words

if TYPE_CHECKING:
    from textual.app import ComposeResult


class RoundsScreen(Page):
    """A list; Enter shows what a round found."""

    HELP_TEXT: ClassVar[str] = "# Earlier rounds\n\n**Enter** shows what one found."
    BINDINGS = [HELP_LETTER]

    def compose(self) -> ComposeResult:
        """One row a round."""
        yield Words(id="heading")
        yield RowList(
            [Column("round", 6), Column("on", 11), Column("seen", 0), Column("", 20)],
            empty="No round was walked yet.",
            id="rounds",
        )
        yield Footer()

    def on_mount(self) -> None:
        """The list takes the keys."""
        self.query_one(RowList).focus()

    def on_screen_resume(self) -> None:
        """Show what there is now."""
        flock = self.desk.ledger.flock
        self.query_one("#heading", Words).update(heading("Earlier rounds", self.desk))
        rows = []
        for walk in reversed(list(flock.walks.values())):
            found = summary(flock, walk.id)
            state = (
                "taken over" if walk.applied else "ended" if walk.ended else "goes on"
            )
            cells = (walk.id, str(walk.on or ""), found.coverage, state)
            rows.append(Row(walk.id, cells))
        self.query_one(RowList).show(rows)

    @on(RowList.Opened)
    def _open(self, event: RowList.Opened) -> None:
        from ledger.screens.round import RoundScreen

        self.app.push_screen(RoundScreen(self.desk, event.row.key))
