"""The season's pairs: the plan for each species, what others cost, entering them."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.binding import Binding
from textual.containers import VerticalScroll
from textual.widgets import Footer

from ledger.screens.base import HELP_LETTER, heading
from ledger.screens.computing import ComputingPage
from ledger.screens.limits import LimitsDialog, Wishes
from ledger.screens.pair import ask_for_pair
from ledger.screens.season_words import about_pair, about_plan, pair_row, plan_row
from ledger.services.lineage_limits import Limits
from ledger.services.lineage_season import alternatives_to, season_plan
from ledger.widgets.row_list import Column, RowList
from ledger.widgets.words import Words

if TYPE_CHECKING:
    from textual.app import ComposeResult
    from textual.events import DescendantFocus

    from ledger.domain.flock import Flock
    from ledger.screens.computing import Step
    from ledger.screens.desk import Desk
    from ledger.services.lineage_plan import Alternative, PlannedPair, SpeciesSeason

NO_PLANS = "No species has a living, free, grown cock and hen."


class SeasonScreen(ComputingPage):
    """Species above, the pairs of one below, and about what one stands on."""

    HELP_TEXT: ClassVar[str] = """
# The season's pairs

For each species the set of pairs whose young share the fewest genes: **kinship** is
the mean kinship of all their young, each with itself included; low is good. Beside it
what two simpler ways come to: **greedy**, the pair with the least mean kinship first,
and **least F**, which looks at inbreeding only. `least` is proved: no set of as many
pairs within your limits is better; a number is what none can be below.

**Tab** goes to the pairs. Stand on one to see what it costs to give the cock or the
hen another mate. **Enter** enters the pair, after a question; the plan is then made
anew for the birds that are left. **L** changes your limits, how many pairs a species
may have, and how many young a pair is expected to have. **A** plans birds that have a
mate as well. Whether a health flag can be inherited is a question for an avian vet.
"""

    BINDINGS = [
        Binding(
            "a", "all", "Also paired", id="also-paired", tooltip="Or free ones only"
        ),
        Binding(
            "l", "limits", "Limits", id="limits", tooltip="F of the young, age, pairs"
        ),
        Binding("t", "tree", "Tree", id="tree", tooltip="The cock's family tree"),
        Binding("m", "mates", "Mates", id="mates", tooltip="All mates for the cock"),
        HELP_LETTER,
    ]

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self._wishes = Wishes()
        self._paired_too = False
        self._flock: Flock | None = None
        self._plans: dict[str, SpeciesSeason] = {}

    def compose(self) -> ComposeResult:
        """Species, pairs, and what to know."""
        yield Words(id="heading")
        yield Words(id="computing")
        yield RowList(
            [
                Column("species", 0),
                Column("pairs", 5, to_the_right=True),
                Column("kinship", 7, to_the_right=True),
                Column("mean F", 7, to_the_right=True),
                Column("greedy", 7, to_the_right=True),
                Column("least F", 7, to_the_right=True),
                Column("proof", 8, to_the_right=True),
            ],
            id="species",
        )
        yield RowList(
            [
                Column("cock", 18),
                Column("hen", 18),
                Column("F", 7, to_the_right=True),
                Column("the cock is the hen's", 0),
            ],
            id="pairs",
        )
        with VerticalScroll(id="about-side"):
            yield Words(id="about")
        yield Footer()

    def on_mount(self) -> None:
        """Walk at once."""
        self.query_one("#species").focus()

    def on_screen_resume(self) -> None:
        """Plan for the flock as it is now."""
        flock = self.desk.ledger.flock
        if flock is not self._flock:
            self._flock = flock
            self._plan()

    def _plan(self) -> None:
        desk, wishes, paired_too = self.desk, self._wishes, self._paired_too
        flock, today = desk.ledger.flock, desk.today
        limits = Limits.of(flock)
        some = "" if wishes.pairs is None else f", {wishes.pairs} pairs at most"
        place = (
            f"F of young at most {limits.highest_inbreeding:g}, grown from "
            f"{limits.youngest_years:g} years, {wishes.young} young a pair{some}"
            f"{', paired birds too' if paired_too else ''}"
        )
        self.query_one("#heading", Words).update(heading("Season", desk, place))

        def plan(step: Step) -> tuple[SpeciesSeason, ...]:
            return season_plan(
                flock,
                today,
                pairs=wishes.pairs,
                young=wishes.young,
                paired_too=paired_too,
                step=step,
            )

        self.compute(plan, self._show, "Planning the season's pairs ...")

    def _show(self, plans: tuple[SpeciesSeason, ...]) -> None:
        self._plans = {plan.species: plan for plan in plans}
        species = self.query_one("#species", RowList)
        species.show([plan_row(plan) for plan in plans], empty=NO_PLANS)
        self._show_pairs(species.row.key if species.row else "")

    @on(RowList.Moved, "#species")
    def _moved_to_species(self, event: RowList.Moved) -> None:
        self._show_pairs(event.row.key)

    def _show_pairs(self, species: str) -> None:
        plan = self._plans.get(species)
        pairs = self.query_one("#pairs", RowList)
        if plan is None or self._flock is None:
            pairs.show([], empty="")
            self.query_one("#about", Words).say("")
            return
        rows = [pair_row(self._flock, pair) for pair in plan.pairs]
        pairs.show(rows, empty="No pair is within your limits. L changes them.")
        self._tell()

    @on(RowList.Moved, "#pairs")
    def _moved_to_pair(self) -> None:
        self._tell()

    def on_descendant_focus(self, event: DescendantFocus) -> None:
        """In the list of species: about the plan; in that of pairs: about the pair."""
        if event.widget.id in ("species", "pairs"):
            self._tell()

    def _here(self) -> tuple[SpeciesSeason | None, PlannedPair | None]:
        """The plan and the pair the keeper stands on."""
        row = self.query_one("#species", RowList).row
        plan = self._plans.get(row.key) if row else None
        row = self.query_one("#pairs", RowList).row
        pairs = plan.pairs if plan else ()
        return plan, next((it for it in pairs if row and it.cock == row.key), None)

    def _tell(self) -> None:
        """Say what there is to know of where the keeper stands."""
        plan, pair = self._here()
        about = self.query_one("#about", Words)
        if plan is None or self._flock is None:
            return
        if pair is None or not self.query_one("#pairs").has_focus:
            about.say(about_plan(self._flock, plan))
            return
        known = all(it.is_least for it in plan.alternatives)
        if known:  # all of them are counted out already
            self._show_pair(pair, self._others(pair, lambda: None))
        elif not self.is_computing:
            about.say(about_pair(self._flock, pair, None))
            self.compute(
                partial(self._others, pair),
                partial(self._show_pair, pair),
                "Looking for other mates ...",
            )

    def _others(self, pair: PlannedPair, step: Step) -> tuple[Alternative, ...]:
        if self._flock is None:
            return ()
        return alternatives_to(
            self._flock,
            self.desk.today,
            pair,
            pairs=self._wishes.pairs,
            young=self._wishes.young,
            paired_too=self._paired_too,
            step=step,
        )

    def _show_pair(self, pair: PlannedPair, others: tuple[Alternative, ...]) -> None:
        _, here = self._here()
        if self._flock is None or here is None:
            return
        if here != pair:  # the keeper walked on meanwhile
            self._tell()
            return
        self.query_one("#about", Words).say(about_pair(self._flock, pair, others))

    @on(RowList.Opened, "#species")
    def _go_to_pairs(self) -> None:
        self.query_one("#pairs").focus()

    @on(RowList.Opened, "#pairs")
    def _ask(self) -> None:
        _, pair = self._here()
        if pair is not None and not self.is_computing:
            ask_for_pair(self, pair.cock, pair.hen, self.on_screen_resume)

    def action_all(self) -> None:
        """Birds that have a mate as well, or free ones only."""
        self._paired_too = not self._paired_too
        self._plan()

    def action_limits(self) -> None:
        """Change the limits, then plan anew."""
        self.app.push_screen(LimitsDialog(self.desk, self._wishes), self._plan_within)

    def _plan_within(self, wishes: Wishes | None) -> None:
        if wishes is None:
            return
        changed = wishes != self._wishes
        self._wishes = wishes
        if changed or self.desk.ledger.flock is not self._flock:
            self._flock = self.desk.ledger.flock
            self._plan()

    def action_tree(self) -> None:
        """The family tree of the cock of the pair one stands on."""
        from ledger.screens.tree import TreeScreen

        _, pair = self._here()
        if pair is not None:
            self.app.push_screen(TreeScreen(self.desk, pair.cock))

    def action_mates(self) -> None:
        """All mates for the cock of the pair one stands on."""
        from ledger.screens.mates import open_mates

        _, pair = self._here()
        if pair is not None:
            open_mates(self, pair.cock)
