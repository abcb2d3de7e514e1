"""All birds; the list narrows while one types."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.binding import Binding
from textual.widgets import Footer, Input

from ledger.screens.base import Page, heading
from ledger.services import flock_list
from ledger.widgets.row_list import Column, Row, RowList
from ledger.widgets.words import Words

if TYPE_CHECKING:
    from textual import events
    from textual.app import ComposeResult

    from ledger.domain.flock import Flock
    from ledger.screens.desk import Desk
    from ledger.services.flock_list import FlockLine

AT_MOST = 1000
"""Rows shown; nobody scrolls further, one more letter finds it sooner."""

NO_BIRDS = (
    "No birds yet. Write them in a table and bring them in from a shell: "
    "flock-ledger import birds.csv"
)


class FlockScreen(Page):
    """Type to narrow, Enter to open."""

    HELP_TEXT: ClassVar[str] = """
# The flock

Every bird, those that live here first. Type any parts of its name, ring, chip,
species, aviary, sex or year: only birds with all of them stay in the list.
`grey hen 2019` is one way to ask.

**Down** goes into the list, **Enter** opens the bird's page, **F2** its emergency
card. **F6** shows what is left of the founders, **F7** plans the season's pairs.
**F8**, or **A** in the list, asks what you want to enter about the bird you stand on.
**Ctrl+R** opens the ring stock.
Escape goes back.
"""

    BINDINGS = [
        Binding("f2", "card", "Card", id="card", tooltip="The bird's emergency card"),
        Binding(
            "f6",
            "variety",
            "Variety",
            id="variety",
            tooltip="What is left of the founders, by species and year",
        ),
        Binding(
            "f8,a", "acts", "Enter", id="acts", tooltip="All one can enter about it"
        ),
        Binding(
            "f7", "season", "Season", id="season", tooltip="Whom to pair this season"
        ),
        Binding(
            "ctrl+r",
            "rings",
            "Rings",
            id="rings",
            show=False,
            tooltip="The ring stock: order, sizes, what became of each ring",
        ),
    ]

    def __init__(self, desk: Desk, words: str = "") -> None:
        super().__init__(desk)
        self._words = words
        self._flock: Flock | None = None
        self._lines: tuple[FlockLine, ...] = ()

    def compose(self) -> ComposeResult:
        """The words, how many birds have them, and the birds."""
        yield Words(heading("The flock", self.desk), id="heading")
        yield Input(self._words, placeholder="any words about the bird", id="words")
        yield Words("", id="count")
        yield RowList(
            [
                Column("bird", 14),
                Column("ring", 17),
                Column("species", 0),
                Column("sex", 4),
                Column("hatched", 11, at_least=100),
                Column("where", 17),
                Column("id", 7, at_least=100),
            ],
            empty=NO_BIRDS,
            id="birds",
        )
        yield Footer()

    def on_screen_resume(self) -> None:
        """Show the flock as it is now."""
        if self._flock is not self.desk.ledger.flock:
            self._flock = self.desk.ledger.flock
            self._lines = flock_list.lines(self._flock)
        self._narrow()

    @on(Input.Changed, "#words")
    def _narrow(self) -> None:
        words = self.query_one("#words", Input).value
        found = flock_list.matching(self._lines, words)
        more = len(found) - AT_MOST
        count = f"{len(found):,} of {len(self._lines):,} birds"
        if more > 0:
            count += f"; {more:,} more not shown, type on to narrow"
        self.query_one("#count", Words).update(count)
        self.query_one("#birds", RowList).show(
            [_row(line) for line in found[:AT_MOST]],
            empty=f"No bird has “{words}”." if self._lines else NO_BIRDS,
        )

    @on(Input.Submitted, "#words")
    def _open_first(self) -> None:
        self.query_one("#birds", RowList).action_open()

    def on_key(self, event: events.Key) -> None:
        """Down leaves the words for the list."""
        if event.key == "down" and self.query_one("#words").has_focus:
            event.stop()
            self.query_one("#birds").focus()

    @on(RowList.Opened, "#birds")
    def _open(self, event: RowList.Opened) -> None:
        from ledger.screens.bird import BirdScreen

        self.app.push_screen(BirdScreen(self.desk, event.row.key))

    def action_acts(self) -> None:
        """All one can enter about the bird one stands on."""
        from ledger.screens.acts import open_acts

        row = self.query_one("#birds", RowList).row
        if row is not None:
            open_acts(self, self.desk, row.key)

    def action_rings(self) -> None:
        """The ring stock."""
        from ledger.screens.ring_stock import RingStockScreen

        self.app.push_screen(RingStockScreen(self.desk))

    def action_variety(self) -> None:
        """What is left of the founders."""
        from ledger.screens.variety import VarietyScreen

        self.app.push_screen(VarietyScreen(self.desk))

    def action_season(self) -> None:
        """The pairs that keep most variety."""
        from ledger.screens.season import SeasonScreen

        self.app.push_screen(SeasonScreen(self.desk))

    def action_card(self) -> None:
        """The emergency card of the bird one stands on."""
        from ledger.screens.card import CardScreen

        row = self.query_one("#birds", RowList).row
        if row is not None:
            self.app.push_screen(CardScreen(self.desk, row.key))


def _row(line: FlockLine) -> Row:
    where = line.where if line.lives_here else f"({line.where})"
    return Row(
        line.bird_id,
        (
            line.name,
            line.ring,
            line.species,
            line.sex,
            line.hatched,
            where,
            line.bird_id,
        ),
        "" if line.lives_here else "muted",
    )
