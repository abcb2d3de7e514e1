"""One clutch, egg by egg: what came of each, and all that is entered of it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, ClassVar

from textual import on
from textual.binding import Binding
from textual.containers import VerticalScroll
from textual.widgets import Footer

from ledger.screens import nest_forms, young
from ledger.screens.base import HELP_LETTER, Page, heading, tell
from ledger.services import nest_list
from ledger.services.clutches import called_pair
from ledger.services.nest_list import Urgency
from ledger.widgets.row_list import Column, Row, RowList
from ledger.widgets.words import Words

if TYPE_CHECKING:
    from collections.abc import Callable

    from textual.app import ComposeResult
    from textual.screen import Screen

    from ledger.domain.breeding import Clutch
    from ledger.screens.desk import Desk
    from ledger.services.nest_list import EggLine

_KEYS_OF_AN_EGG = "C candled   H hatched   X lost, broken or came to nothing"
_KEYS_OF_A_CHICK = "W weigh   R ring   G curve   F fledged   N weaned   D died"
"""Said below the list too: a narrow window has no room for all in its foot line."""


class ClutchScreen(Page):
    """Eggs above; more about the one you stand on below."""

    HELP_TEXT: ClassVar[str] = """
# A clutch

A line for each egg, and for the chick that hatched from it. **L** an egg was laid;
on an egg **C** candled, **H** hatched, **X** lost, broken or came to nothing; on a
chick **W** its weight, **R** its ring, **G** its curve, **F** left the nest, **N**
weaned, **D** died. **Enter** opens the chick's page.

The days of hatching are counted by what is published for the species, one day less to
three more; where they are from stands below. **R** offers the next ring of the right
size and says where the chick stands in its ringing days: *not yet*, *open until*,
*late*, *missed*. Published days differ; the foot decides. **O** sets days of your own.
"""
    BINDINGS = [
        Binding("l", "lay", "Laid", id="clutch.lay", tooltip="An egg more"),
        Binding(
            "c", "candle", "Candled", id="clutch.candle", tooltip="What light shows"
        ),
        Binding("h", "hatch", "Hatched", id="clutch.hatch", tooltip="A chick"),
        Binding("x", "spent", "Lost", id="clutch.spent", tooltip="Or broken, or clear"),
        Binding("w", "weigh", "Weigh", id="clutch.weigh", tooltip="The chick's weight"),
        Binding("r", "ring", "Ring", id="clutch.ring", tooltip="The chick's ring"),
        Binding("g", "curve", "Curve", id="clutch.curve", tooltip="Weights by day"),
        Binding("f", "fledge", "Fledged", id="clutch.fledge", tooltip="Left the nest"),
        Binding("n", "wean", "Weaned", id="clutch.wean", tooltip="Feeds itself"),
        Binding("d", "died", "Died", id="clutch.died", tooltip="The chick died"),
        Binding(
            "o",
            "days",
            "Own days",
            id="clutch.days",
            show=False,
            tooltip="Set the ringing days of this species",
        ),
        HELP_LETTER,
    ]

    def __init__(self, desk: Desk, clutch_id: str) -> None:
        super().__init__(desk)
        self._clutch_id = clutch_id
        self._lines: tuple[EggLine, ...] = ()

    @property
    def clutch(self) -> Clutch:
        """The clutch as the ledger has it now."""
        return self.desk.ledger.flock.clutches[self._clutch_id]

    def compose(self) -> ComposeResult:
        """Eggs, then more about one."""
        yield Words(id="heading")
        yield RowList(
            [
                Column("", 2),
                Column("egg", 3, to_the_right=True),
                Column("laid", 10),
                Column("state", 14),
                Column("chick", 0),
                Column("age", 8),
                Column("ring", 16, at_least=100),
                Column("weight", 15),
            ],
            empty="No egg is entered. L enters one.",
            id="eggs",
        )
        with VerticalScroll(id="about-side"):
            yield Words(id="about")
        yield Footer()

    def on_mount(self) -> None:
        """Walk at once."""
        self.query_one("#eggs").focus()

    def on_screen_resume(self) -> None:
        """Show the clutch as it is now."""
        flock, clutch = self.desk.ledger.flock, self.clutch
        pair = flock.pairs.get(clutch.pair or "")
        place = f"clutch {clutch.number}, laid from {clutch.laid or 'a day not known'}"
        self.query_one("#heading", Words).update(
            heading(called_pair(flock, pair), self.desk, place)
        )
        self._lines = nest_list.eggs_of(flock, clutch, self.desk.today)
        self.query_one("#eggs", RowList).show(
            [_row(at, line) for at, line in enumerate(self._lines)]
        )
        self._tell()

    @property
    def _line(self) -> EggLine | None:
        row = self.query_one("#eggs", RowList).row
        return self._lines[int(row.key)] if row else None

    @on(RowList.Moved, "#eggs")
    def _tell(self) -> None:
        line = self._line
        if line is None:
            self.query_one("#about", Words).say("")
            return
        said = [f"Egg {line.number}" + (f", {line.chick}" if line.chick else "")]
        if line.ring:
            said.append(f"Ring {line.ring}")
        said += line.about or ("Nothing is due.",)
        if line.chick_id and line.is_live:
            said.append(_KEYS_OF_A_CHICK)
        elif line.is_live:
            said.append(_KEYS_OF_AN_EGG)
        self.query_one("#about", Words).say("\n".join(said))

    @on(RowList.Opened, "#eggs")
    def _open(self) -> None:
        from ledger.screens.bird import BirdScreen

        self._of_chick(lambda bird_id: BirdScreen(self.desk, bird_id))

    def _of_egg(self, form: Callable[[Desk, str, int], Screen[bool]]) -> None:
        """Open a form about the egg one stands on."""
        line = self._line
        if line is None:
            self.app.bell()
        elif line.chick_id:
            tell(self.app, f"Egg {line.number} has hatched.", title="Not this one")
        else:
            self.app.push_screen(form(self.desk, self._clutch_id, line.number))

    def _of_chick(self, make: Callable[[str], Screen[Any]]) -> None:
        """Open a page or form about the chick of the egg one stands on."""
        if (bird_id := self._chick_id) is not None:
            self.app.push_screen(make(bird_id))

    @property
    def _chick_id(self) -> str | None:
        """The chick of the egg one stands on; where there is none, it is said."""
        line = self._line
        if line is None:
            self.app.bell()
        elif line.chick_id:
            return line.chick_id
        else:
            said = f"Egg {line.number} has no chick. H enters that it hatched."
            tell(self.app, said, title="Not this one")
        return None

    def action_lay(self) -> None:
        """An egg more."""
        if self.clutch.pair:
            self.app.push_screen(
                nest_forms.lay(self.desk, self.clutch.pair, self._clutch_id)
            )

    def action_candle(self) -> None:
        """What light showed."""
        self._of_egg(nest_forms.candled)

    def action_hatch(self) -> None:
        """A chick."""
        self._of_egg(nest_forms.hatched)

    def action_spent(self) -> None:
        """The egg came to nothing."""
        self._of_egg(nest_forms.spent)

    def action_weigh(self) -> None:
        """The chick's weight; a loss is told at once."""
        if (bird_id := self._chick_id) is not None:
            young.ask_for_weight(self, self.desk, bird_id)

    def action_ring(self) -> None:
        """The chick's ring."""
        from ledger.screens.ring_chick import RingChickScreen

        self._of_chick(lambda bird_id: RingChickScreen(self.desk, bird_id))

    def action_curve(self) -> None:
        """The chick's weights by day."""
        from ledger.screens.weights import WeightsScreen

        self._of_chick(lambda bird_id: WeightsScreen(self.desk, bird_id))

    def action_fledge(self) -> None:
        """It left the nest."""
        self._of_chick(lambda bird_id: young.fledged(self.desk, bird_id))

    def action_wean(self) -> None:
        """It feeds itself."""
        self._of_chick(lambda bird_id: young.weaned(self.desk, bird_id))

    def action_died(self) -> None:
        """It died."""
        from ledger.screens.happened import died

        self._of_chick(lambda bird_id: died(self.desk, bird_id))

    def action_days(self) -> None:
        """The keeper's own ringing days for this species."""
        from ledger.screens.own_days import OwnDaysScreen

        species = nest_list.species_of(self.desk.ledger.flock, self.clutch)
        if species:
            self.app.push_screen(OwnDaysScreen(self.desk, species))
        else:
            self.app.bell()


def _row(at: int, line: EggLine) -> Row:
    first = line.due[0] if line.due else None
    tone = "" if line.is_live else "muted"
    if first and first.urgency is Urgency.LATE:
        tone = "alert"
    return Row(
        str(at),
        (
            nest_list.MARK_OF[first.urgency] if first else "",
            str(line.number),
            line.laid,
            line.state,
            line.chick,
            line.age,
            line.ring,
            line.weight,
        ),
        tone,
    )
