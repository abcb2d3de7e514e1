"""What was done in the ledger or to one bird, and taking it back."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.binding import Binding
from textual.widgets import Footer

from ledger.errors import LedgerError
from ledger.screens.base import HELP_LETTER, heading, tell, tell_trouble
from ledger.screens.computing import ComputingPage
from ledger.services import history
from ledger.widgets.row_list import Column, Row, RowList
from ledger.widgets.words import Words

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from ledger.screens.desk import Desk
    from ledger.services.history import Act

_AT_MOST = 500
"""The newest; all of them stand in an export as JSON."""
_NAMED = 6
"""Things named one by one."""


class ChangesScreen(ComputingPage):
    """Newest first; what the one you stand on touched is said below."""

    HELP_TEXT: ClassVar[str] = """
# What was done

Every change, the newest first: its number, when, who and what. What it touched is
said below. **U** takes back the one you stand on, as a new change, unless something
done since builds on it; taking that new one back does it again. Nothing is ever
lost from this list.
"""
    BINDINGS = [
        Binding(
            "u", "take_back", "Take back", id="take-back", tooltip="As a new change"
        ),
        HELP_LETTER,
    ]

    def __init__(self, desk: Desk, bird_id: str | None = None) -> None:
        """Show the changes.

        Args:
            desk: What all pages need.
            bird_id: Only what touched this bird and what is its own.
        """
        super().__init__(desk)
        self._bird_id = bird_id
        self._acts: list[Act] = []

    def compose(self) -> ComposeResult:
        """A list and a few words about the one stood on."""
        yield Words(id="heading")
        yield Words(id="computing")
        columns = [
            Column("", 6, to_the_right=True),
            Column("when", 16),
            Column("who", 14, at_least=70),
            Column("what", 0),
        ]
        yield RowList(columns, empty="Nothing was done yet.", id="changes")
        yield Words("", id="about")
        yield Footer()

    def on_mount(self) -> None:
        """Arrows walk at once."""
        self.query_one("#changes").focus()

    def on_screen_resume(self) -> None:
        """Show what was done up to now."""
        ledger, bird_id = self.desk.ledger, self._bird_id
        bird = ledger.flock.birds.get(bird_id or "")
        place = bird.title if bird else ""
        self.query_one("#heading", Words).update(
            heading("What was done", self.desk, place)
        )
        self.compute(
            lambda _step: (
                history.of_bird(ledger, bird.id)[:_AT_MOST]
                if bird
                else history.latest(ledger, _AT_MOST)
            ),
            self._show,
            "Looking through all changes ...",
        )

    def _show(self, acts: list[Act]) -> None:
        self._acts = acts
        gone = {act.undoes for act in acts if act.undoes is not None}
        self.query_one("#changes", RowList).show(
            [
                Row(
                    str(act.number),
                    (
                        str(act.number),
                        f"{act.time.astimezone():%Y-%m-%d %H:%M}",
                        act.author,
                        act.what,
                    ),
                    "muted" if act.number in gone else "",
                )
                for act in acts
            ]
        )
        self._show_about()

    @property
    def _act(self) -> Act | None:
        row = self.query_one("#changes", RowList).row
        acts = (act for act in self._acts if row and str(act.number) == row.key)
        return next(acts, None)

    @on(RowList.Moved)
    def _show_about(self) -> None:
        act = self._act
        said = history.in_words(act, at_most=_NAMED) if act else ""
        self.query_one("#about", Words).say(said)

    def action_take_back(self) -> None:
        """Ask, then take back the change stood on."""
        from ledger.screens.confirm import ConfirmScreen

        act = self._act
        if act is None:
            self.app.bell()
            return
        text = f"{act.what}\n{history.in_words(act, at_most=2 * _NAMED)}"
        title = f"Take back change {act.number}?"
        self.app.push_screen(
            ConfirmScreen(self.desk, title, text, "Take it back"),
            lambda is_sure: self._take_back(act) if is_sure else None,
        )

    def _take_back(self, act: Act) -> None:
        try:
            history.take_back(self.desk.ledger, act.number, self.desk.keeper)
        except LedgerError as error:
            tell_trouble(self.app, "Not taken back", error)
        else:
            tell(self.app, act.what, title="Taken back")
            self.on_screen_resume()
