"""The nests: every pair that is together, its eggs, and what is due, by aviary."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.binding import Binding
from textual.containers import VerticalScroll
from textual.widgets import Footer

from ledger.screens.base import HELP_LETTER, Page, heading
from ledger.services import nest_list
from ledger.services.nest_list import Urgency
from ledger.widgets.row_list import Column, Row, RowList
from ledger.widgets.words import Words

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from ledger.screens.desk import Desk
    from ledger.services.nest_list import NestLine

_EMPTY = (
    "No pair is together now. Enter one: a bird's page, M for mates, Enter on a mate; "
    "or the season's pairs from the flock, F7."
)


class NestScreen(Page):
    """Pairs above; what is due in the nest of the one you stand on below."""

    HELP_TEXT: ClassVar[str] = """
# Nests

Every pair that is together, aviary by aviary, with a sign for each egg of a clutch
that is in the nest: `o` laid, `●` fertile, `^` hatched, `-` clear, `x` lost, broken or
dead in the shell. **!!** is late, **!** is due now, **·** comes in the next days.

**Enter** opens the clutch: there eggs are candled and hatch, and chicks are weighed
and ringed. **L** enters an egg; where the pair has no clutch it begins one. **P** parts
a pair. What is due is worked out anew each time; nothing of it is kept.
"""
    BINDINGS = [
        Binding("l", "lay", "Egg laid", id="nest.lay", tooltip="Enter an egg"),
        Binding(
            "n",
            "clutch",
            "New clutch",
            id="nest.clutch",
            tooltip="The first egg of another clutch",
        ),
        Binding("p", "part", "Part", id="nest.part", tooltip="A pair no longer"),
        HELP_LETTER,
    ]

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self._lines: dict[str, NestLine] = {}

    def compose(self) -> ComposeResult:
        """Pairs, then what is due."""
        yield Words(id="heading")
        yield RowList(
            [
                Column("", 2),
                Column("where", 15),
                Column("pair", 0),
                Column("species", 22, at_least=100),
                Column("eggs", 8),
                Column("what is due", 22),
            ],
            empty=_EMPTY,
            id="nests",
        )
        with VerticalScroll(id="due-side"):
            yield Words(id="due")
        yield Footer()

    def on_mount(self) -> None:
        """Walk at once."""
        self.query_one("#nests").focus()

    def on_screen_resume(self) -> None:
        """Show the nests as they are now."""
        today = self.desk.today
        lines = nest_list.nests(self.desk.ledger.flock, today)
        self._lines = {line.key: line for line in lines}
        due = sum(len(line.due) for line in lines)
        late = sum(d.urgency is Urgency.LATE for line in lines for d in line.due)
        place = f"{today}: {due} due" + (f", {late} late" if late else "")
        self.query_one("#heading", Words).update(heading("Nests", self.desk, place))
        self.query_one("#nests", RowList).show([_row(line) for line in lines])
        self._tell()

    @property
    def _line(self) -> NestLine | None:
        row = self.query_one("#nests", RowList).row
        return self._lines.get(row.key) if row else None

    @on(RowList.Moved, "#nests")
    def _tell(self) -> None:
        line = self._line
        if line is None:
            self.query_one("#due", Words).say("")
            return
        said = [f"{line.pair}, {line.species or 'species not entered'}, {line.place}"]
        said += [
            f"{nest_list.MARK_OF[duty.urgency]} {duty.said} "
            f"{nest_list.source_of(duty)}".strip()
            for duty in line.due
        ]
        if not line.due:
            said.append(
                "Nothing is due." if line.clutch_id else "No egg. L enters the first."
            )
        self.query_one("#due", Words).say("\n".join(said))

    @on(RowList.Opened, "#nests")
    def _open(self, event: RowList.Opened) -> None:
        line = self._lines[event.row.key]
        if line.clutch_id:
            from ledger.screens.clutch import ClutchScreen

            self.app.push_screen(ClutchScreen(self.desk, line.clutch_id))
        else:
            self.action_lay()

    def action_lay(self) -> None:
        """Enter an egg of the pair one stands on."""
        from ledger.screens.nest_forms import lay

        if (line := self._line) is not None:
            self.app.push_screen(lay(self.desk, line.pair_id, line.clutch_id))

    def action_clutch(self) -> None:
        """Enter the first egg of another clutch."""
        from ledger.screens.nest_forms import lay

        if (line := self._line) is not None:
            self.app.push_screen(lay(self.desk, line.pair_id))

    def action_part(self) -> None:
        """Enter that the pair one stands on is no pair any more."""
        from ledger.screens.nest_forms import parted

        if (line := self._line) is not None:
            self.app.push_screen(parted(self.desk, line.pair_id))


def _row(line: NestLine) -> Row:
    first = line.due[0] if line.due else None
    more = f" +{len(line.due) - 1}" if len(line.due) > 1 else ""
    return Row(
        line.key,
        (
            nest_list.MARK_OF[first.urgency] if first else "",
            line.place,
            line.pair,
            line.species,
            line.eggs,
            f"{first.work}{more}" if first else "",
        ),
        "alert" if first and first.urgency is Urgency.LATE else "",
    )
