"""Every ring of the flock and what became of it; the list narrows while one types."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.binding import Binding
from textual.widgets import Footer, Input

from ledger.errors import LedgerError, RuleError
from ledger.screens.base import Page, heading, tell_trouble
from ledger.screens.ring_stock_forms import (
    ComeDialog,
    KeepDialog,
    OutDialog,
    SeriesDialog,
)
from ledger.services import stock_list
from ledger.widgets.row_list import Column, Row, RowList
from ledger.widgets.words import Words

if TYPE_CHECKING:
    from textual import events
    from textual.app import ComposeResult
    from textual.screen import Screen

    from ledger.domain.flock import Flock
    from ledger.screens.desk import Desk
    from ledger.services.stock_list import StockLine

AT_MOST = 1000
"""Rings shown; one more letter finds the others sooner."""
NO_RINGS = "No rings are entered yet. F6 works out what to order, F7 enters a series."
_ON_THE_WAY = "on the way"


class RingStockScreen(Page):
    """Type to narrow; keys for what happens to a ring before it is on a bird."""

    HELP_TEXT: ClassVar[str] = """
# The ring stock

Every ring of your own and what became of it: **in stock**, **on the way**, **on
bird**, **removed and kept**, **removed**, **spoiled**, **lost**. Type any parts of
inscription, size, colour, year, state, bird or note: `7.5 stock 2027`.

**Down** goes into the list. **Enter** opens the bird that wears or wore the ring; on
a ring in stock it asks what became of it, as **F2** does. **F4** says where a ring
that came off is kept. **F5** takes a series that was ordered into stock. **F6** works
out the year's order, **F7** enters a series by hand, **F8** shows which size holds
for which species. No number is ever used twice.
"""

    BINDINGS = [
        Binding("f2", "out", "Out", id="ring-out", tooltip="Spoiled, lost or found"),
        Binding("f4", "keep", "Kept", id="ring-kept", tooltip="Where it is kept"),
        Binding("f5", "come", "Come", id="series-come", tooltip="A series has come"),
        Binding("f6", "order", "Order", id="ring-order", tooltip="The year's order"),
        Binding("f7", "series", "Series", id="series-new", tooltip="Enter a series"),
        Binding(
            "f8",
            "sizes",
            "Sizes",
            id="ring-sizes",
            show=False,  # no room at 80 columns; the order shows it
            tooltip="Which size for which species",
        ),
    ]

    def __init__(self, desk: Desk, words: str = "") -> None:
        super().__init__(desk)
        self._words = words
        self._flock: Flock | None = None
        self._lines: tuple[StockLine, ...] = ()

    def compose(self) -> ComposeResult:
        """The words, the sums, the rings."""
        yield Words(heading("Ring stock", self.desk), id="heading")
        yield Input(self._words, placeholder="any words about the ring", id="words")
        yield Words("", id="count")
        yield RowList(
            [
                Column("ring", 0),
                Column("mm", 6, to_the_right=True),
                Column("year", 4),
                Column("colour", 8),
                Column("kind", 10, at_least=100),
                Column("account", 16),
                Column("bird, place", 11),
                Column("id", 7, at_least=100),
            ],
            empty=NO_RINGS,
            id="rings",
        )
        yield Footer()

    def on_screen_resume(self) -> None:
        """Show the stock as it is now."""
        if self._flock is not self.desk.ledger.flock:
            self._flock = self.desk.ledger.flock
            self._lines = stock_list.stock_lines(self._flock)
        self._narrow()

    @on(Input.Changed, "#words")
    def _narrow(self) -> None:
        words = self.query_one("#words", Input).value
        found = stock_list.matching(self._lines, words)
        self.query_one("#count", Words).update(stock_list.sums_in_words(found))
        self.query_one("#rings", RowList).show(
            [_row(line) for line in found[:AT_MOST]],
            empty=f"No ring has “{words}”." if self._lines else NO_RINGS,
        )

    @on(Input.Submitted, "#words")
    def _open_first(self) -> None:
        self.query_one("#rings", RowList).action_open()

    def on_key(self, event: events.Key) -> None:
        """Down leaves the words for the list."""
        if event.key == "down" and self.query_one("#words").has_focus:
            event.stop()
            self.query_one("#rings").focus()

    @on(RowList.Opened, "#rings")
    def _open(self) -> None:
        from ledger.screens.bird import BirdScreen

        line = self._line()
        if line is None:
            return
        flock = self.desk.ledger.flock
        ring = flock.rings.get(line.key)
        bird = flock.birds.get(ring.bird or "") if ring is not None else None
        if line.account == _ON_THE_WAY:
            self.action_come()
        elif bird is not None:
            self.app.push_screen(BirdScreen(self.desk, bird.id))
        else:
            self.action_out()

    def _line(self) -> StockLine | None:
        row = self.query_one("#rings", RowList).row
        return next((it for it in self._lines if row and it.key == row.key), None)

    def _ask(self, dialog: type[OutDialog | KeepDialog], title: str) -> None:
        """Ask about the ring one stands on, where there is something to ask."""
        line = self._line()
        if line is None:
            return
        try:
            self.app.push_screen(dialog(self.desk, line.key))
        except LedgerError as error:
            tell_trouble(self.app, title, error)

    def action_out(self) -> None:
        """It was spoiled, lost, or found again."""
        self._ask(OutDialog, "Not changed")

    def action_keep(self) -> None:
        """It came off, and lies somewhere."""
        self._ask(KeepDialog, "Not kept")

    def action_come(self) -> None:
        """A series that was ordered has come."""
        line = self._line()
        if line is None or line.account != _ON_THE_WAY:
            error = RuleError(
                "That is no series on its way.",
                "Type “way”, go down to the series that came, and press F5.",
            )
            tell_trouble(self.app, "Nothing came", error)
            return
        self.app.push_screen(ComeDialog(self.desk, line.key))

    def action_order(self) -> None:
        """The year's order."""
        from ledger.screens.ring_order import RingOrderScreen

        self._go(RingOrderScreen(self.desk))

    def action_series(self) -> None:
        """A series, entered by hand."""
        self._go(SeriesDialog(self.desk))

    def action_sizes(self) -> None:
        """Which size for which species."""
        from ledger.screens.own_sizes import OwnSizesScreen

        self._go(OwnSizesScreen(self.desk))

    def _go(self, screen: Screen[None] | Screen[bool]) -> None:
        self.app.push_screen(screen)


def _row(line: StockLine) -> Row:
    tone = "" if line.account in ("in stock", _ON_THE_WAY) else "muted"
    return Row(
        line.key,
        (
            line.inscription,
            line.size,
            line.year,
            line.colour,
            line.kind,
            line.account,
            line.where,
            line.key,
        ),
        tone,
    )
