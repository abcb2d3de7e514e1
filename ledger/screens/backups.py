"""Backups: which there are, what going back to one would change, and doing it."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.binding import Binding
from textual.widgets import Footer

from ledger.errors import LedgerError
from ledger.screens.base import HELP_LETTER, heading, tell, tell_trouble
from ledger.screens.computing import ComputingPage
from ledger.services import backups
from ledger.widgets.row_list import Column, Row, RowList
from ledger.widgets.words import Words

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from ledger.screens.desk import Desk
    from ledger.services.backups import Backup

_REASONS = {
    "daily": "before the first change of the day",
    "by-hand": "made by you",
    "before-import": "before an import",
    "before-restore": "before going back to another",
    "before-migration": "before an older ledger was brought up",
}


class BackupsScreen(ComputingPage):
    """Newest first; Enter says what going back to one would change."""

    HELP_TEXT: ClassVar[str] = """
# Backups

Every backup of this ledger, the newest first. **Enter** looks into the one you stand
on and says what going back to it would change; only when you then say so is it done.
What was here before is kept as one more backup, and going back is a change that can
be taken back like any other. **N** makes a backup now.

The photos are not in a backup. And a backup lies on this machine: copy the whole
folder of the ledger to a stick or another machine now and then.
"""
    BINDINGS = [
        Binding("n", "make", "New backup", id="backup", tooltip="Of all as it is now"),
        HELP_LETTER,
    ]

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self._known: dict[str, Backup] = {}

    def compose(self) -> ComposeResult:
        """The list."""
        yield Words(heading("Backups", self.desk), id="heading")
        yield Words(id="computing")
        columns = [
            Column("day", 10),
            Column("why", 0),
            Column("kB", 9, to_the_right=True),
        ]
        yield RowList(columns, empty="None yet. N makes one.", id="backups")
        yield Words("", id="about")
        yield Footer()

    def on_mount(self) -> None:
        """Arrows walk at once."""
        self.query_one("#backups").focus()

    def on_screen_resume(self) -> None:
        """Show those there are now."""
        self._known = {b.name: b for b in backups.all_of(self.desk.ledger.folder)}
        self.query_one("#backups", RowList).show(
            [
                Row(
                    name,
                    (
                        each.day.isoformat(),
                        _REASONS.get(each.reason, each.reason)
                        + (f", number {each.number}" if each.number > 1 else ""),
                        f"{each.size / 1000:,.0f}",
                    ),
                )
                for name, each in self._known.items()
            ]
        )
        folder = self.desk.ledger.folder
        self.query_one("#about", Words).say(f"They lie in {folder / 'backups'}.")

    def action_make(self) -> None:
        """Keep all as it is now."""
        try:
            path = backups.backup(self.desk.ledger)
        except LedgerError as error:
            tell_trouble(self.app, "No backup made", error)
            return
        tell(self.app, path.name, title="Backup made")
        self.on_screen_resume()
        self.query_one("#backups", RowList).select(path.stem)

    @on(RowList.Opened)
    def _look_into(self, event: RowList.Opened) -> None:
        chosen, ledger = self._known[event.row.key], self.desk.ledger
        self.compute(
            lambda _step: backups.what_would_change(ledger, chosen),
            lambda lines: self._ask(chosen, lines),
            f"Looking into {chosen.name} ...",
        )

    def _ask(self, chosen: Backup, lines: list[str]) -> None:
        from ledger.screens.confirm import ConfirmScreen

        if not lines:
            same = "The ledger is what it was in that backup."
            tell(self.app, same, title="Nothing to do")
            return
        self.app.push_screen(
            ConfirmScreen(
                self.desk,
                f"Go back to {chosen.name}?",
                "\n".join(lines),
                "Go back; keep what is here as a backup of its own",
            ),
            lambda is_sure: self._restore(chosen) if is_sure else None,
        )

    def _restore(self, chosen: Backup) -> None:
        try:
            backups.restore(self.desk.ledger, chosen, self.desk.keeper)
        except LedgerError as error:
            tell_trouble(self.app, "Not gone back", error)
        else:
            tell(self.app, chosen.name, title="The ledger is what it was in")
            self.on_screen_resume()
