"""The rings to order for a year: sizes above, the reasons of one below."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.binding import Binding
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import Footer

from ledger.errors import LedgerError
from ledger.screens.base import HELP_LETTER, Page, heading, tell, tell_trouble
from ledger.screens.form_dialog import FormDialog
from ledger.services import ring_order, ring_order_form
from ledger.widgets.form import FormLine
from ledger.widgets.row_list import Column, Row, RowList
from ledger.widgets.words import Words, shown

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from ledger.care.ring_order import OrderLine
    from ledger.screens.desk import Desk
    from ledger.services.ring_order import YearOrder

_MOST_CLUTCHES = 4
_NO_PAIRS = "No pair is together, so no chick is expected."


class RingOrderScreen(Page):
    """Walk the sizes; each says why so many."""

    HELP_TEXT: ClassVar[str] = """
# The year's ring order

For each size: rings for the **chicks** that the pairs together now may raise, rings
to put on **trial** beside their neighbour size on small chicks, and what to **spare**
for those spoiled and lost; less what you **have** of that year. Below stand the
reasons of the size you are on (**Tab** goes there): pairs, clutches, eggs and how
many hatch, each with whose figure it is.

**Left** and **Right** change the year, **C** the clutches reckoned with for a pair.
**S** opens the sizes: one of your own counts before a published one. **P** writes the
order to a PDF beside the ledger, **W** to a table (CSV). **E** enters it as ordered:
its series then wait in the ring stock until they come.
"""

    BINDINGS = [
        Binding("left", "year(-1)", "Year before", id="year-before", show=False),
        Binding("right", "year(1)", "Next year", id="year-after", show=False),
        Binding(
            "c", "clutches", "Clutches", id="clutches", tooltip="To reckon with, a pair"
        ),
        Binding("s", "sizes", "Sizes", id="sizes", tooltip="Which size for whom"),
        Binding("p", "print", "PDF", id="print-order", tooltip="To print or to send"),
        Binding("w", "table", "CSV", id="order-table", tooltip="A table for the maker"),
        Binding("e", "enter", "Enter", id="enter-order", tooltip="It is ordered"),
        HELP_LETTER,
    ]

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self._year = ring_order.next_year(desk.today)
        self._clutches = 0
        self._order: YearOrder | None = None

    def compose(self) -> ComposeResult:
        """Sizes and reasons."""
        yield Words(id="heading")
        numbers = ("order", "chicks", "trial", "spare", "have")
        yield RowList(
            [
                Column("mm", 6, to_the_right=True),
                *(Column(number, 6, to_the_right=True) for number in numbers),
                Column("for", 0),
            ],
            empty=_NO_PAIRS,
            id="lines",
        )
        with VerticalScroll(id="about-side"):
            yield Words(id="about")
        yield Footer()

    def on_mount(self) -> None:
        """Walk at once."""
        self.query_one("#lines").focus()

    def on_screen_resume(self) -> None:
        """Work it out for the flock as it is now."""
        self._work_out()

    def _work_out(self) -> None:
        order = ring_order.order_for(
            self.desk.ledger.flock, self._year, clutches_a_pair=self._clutches
        )
        self._order = order
        clutches = str(self._clutches) if self._clutches else "as your best year had"
        place = f"{order.plan.to_order} rings to order; clutches of a pair: {clutches}"
        self.query_one("#heading", Words).update(
            heading(f"Rings for {self._year}", self.desk, place)
        )
        lines = self.query_one("#lines", RowList)
        lines.show([*map(_row, order.plan.lines), *_rows_without_size(order)])
        self._tell_about(lines.row.key if lines.row else "")

    @on(RowList.Moved, "#lines")
    def _moved(self, event: RowList.Moved) -> None:
        self._tell_about(event.row.key)

    def _tell_about(self, key: str) -> None:
        order = self._order
        if order is None:
            return
        said: list[Content] = []
        for line in order.plan.lines:
            if f"{line.size_mm:g}" == key:
                series = order.series_of(line)
                head = f"{key} mm: {ring_order_form.total_of(line)}"
                said.append(Content.styled(shown(head), "bold"))
                if series is not None:
                    said.append(Content(shown(ring_order_form.serials_of(series))))
                said += [Content(shown(f"- {why}")) for why in line.why]
        for need in order.plan.without_size:
            if need.species == key:
                head = f"No size for {key}: S sets one. {need.enough} rings are wanted."
                said.append(Content.styled(shown(head), "$text-warning bold"))
                said += [Content(shown(f"- {why}")) for why in need.why]
        said += [Content.styled(shown(note), "dim") for note in order.notes]
        self.query_one("#about", Words).say(Content("\n").join(said))

    def action_year(self, by: int) -> None:
        """The year before, or the next one."""
        self._year += by
        self._work_out()

    def action_clutches(self) -> None:
        """Reckon with one clutch more of each pair; after four as experience has it."""
        self._clutches = (self._clutches + 1) % (_MOST_CLUTCHES + 1)
        self._work_out()

    def action_sizes(self) -> None:
        """Which size for whom."""
        from ledger.screens.own_sizes import OwnSizesScreen

        self.app.push_screen(OwnSizesScreen(self.desk))

    def action_print(self) -> None:
        """Write the order beside the ledger, as pages to print."""
        self._write("pdf")

    def action_table(self) -> None:
        """Write the order beside the ledger, as a table."""
        self._write("csv")

    def _write(self, ending: str) -> None:
        if self._order is None:
            return
        path = self.desk.ledger.folder / f"ring-order-{self._year}.{ending}"
        try:
            ring_order_form.write_order(self.desk.ledger.flock, self._order, path)
        except LedgerError as error:
            tell_trouble(self.app, "Not written", error)
            return
        tell(self.app, f"Written to {path}.", title="Ring order")

    def action_enter(self) -> None:
        """Enter its series as ordered, after a question."""
        if self._order is not None and self._order.series:
            self.app.push_screen(EnterOrder(self.desk, self._order))
        else:
            nothing = f"Nothing is to be ordered for {self._year}."
            tell(self.app, nothing, title="Ring order")


class EnterOrder(FormDialog):
    """Are these the rings that were ordered?"""

    def __init__(self, desk: Desk, order: YearOrder) -> None:
        super().__init__(desk)
        self._order = order

    def title_words(self) -> str:
        """How many."""
        plan = self._order.plan
        return f"{plan.to_order} rings for {plan.year} are ordered"

    def about_words(self) -> str:
        """The series that will be entered, and what a colour tells."""
        series = [
            f"{it.size_mm:g} mm: {ring_order_form.serials_of(it)}"
            for it in self._order.series
        ]
        shown_ = [*series[:6], *([f"and {len(series) - 6} more"] if series[6:] else [])]
        colours = ring_order.colour_notes(self._order.plan.year)
        return "\n".join([*shown_, *colours])

    def lines(self) -> tuple[FormLine, ...]:
        """Only the colour is open."""
        return (FormLine("colour", "Colour of the rings", example="none"),)

    def store(self, words: dict[str, str]) -> None:
        """Enter all series at once.

        Raises:
            LedgerError: a number is there already.
        """
        desk, plan = self.desk, self._order.plan
        self.at = "colour"
        ring_order.enter_order(
            desk.ledger,
            ring_order.coloured(self._order, words["colour"].strip()),
            desk.keeper,
            desk.today,
        )
        warning = ring_order.colour_warning(plan.year, words["colour"])
        if warning:
            tell(self.app, warning, title="Colour")

    def stored_words(self) -> str:
        """Where they are now."""
        return "The series are on their way: F5 in the ring stock when they come."


def _row(line: OrderLine) -> Row:
    numbers = (line.to_order, line.chicks, line.trial, line.spare, line.have)
    return Row(
        f"{line.size_mm:g}",
        (
            f"{line.size_mm:g}",
            *(str(number) if number else "" for number in numbers),
            ", ".join(line.species),
        ),
        "" if line.to_order else "muted",
    )


def _rows_without_size(order: YearOrder) -> list[Row]:
    return [
        Row(
            need.species,
            ("?", "", str(need.enough), "", "", "", f"{need.species}: no size"),
            "alert",
        )
        for need in order.plan.without_size
    ]
