"""Mates for a bird, ranked; here a pair is entered, or not."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, ClassVar

from textual import on
from textual.binding import Binding
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import Footer

from ledger.domain.bird import Sex
from ledger.errors import LedgerError
from ledger.screens.base import HELP_LETTER, heading, tell_trouble
from ledger.screens.computing import ComputingPage
from ledger.screens.limits import LimitsDialog
from ledger.screens.pair import ask_for_pair
from ledger.services.lineage import ASSUMED
from ledger.services.lineage_figure import common_ancestors_drawn
from ledger.services.lineage_limits import Limits
from ledger.services.lineage_mates import mates_of, refuse_unfit
from ledger.widgets.row_list import Column, Row, RowList
from ledger.widgets.words import Words, shown

if TYPE_CHECKING:
    from collections.abc import Iterator

    from textual.app import ComposeResult
    from textual.screen import Screen

    from ledger.domain.flock import Flock
    from ledger.screens.computing import Step
    from ledger.screens.desk import Desk
    from ledger.services.lineage_mates import Mate, Mates

LEFT_OUT = 12
"""Birds told about that were left out; the command tells all."""
NO_MATES = "There is no living, free, grown mate of its species."


def open_mates(page: Screen[Any], bird_id: str) -> None:
    """Rank mates for a bird, or say why it cannot be paired."""
    desk: Desk = page.desk  # type: ignore[attr-defined]
    try:
        refuse_unfit(desk.ledger.flock.birds[bird_id])
    except LedgerError as error:
        tell_trouble(page.app, "No mates", error)
        return
    page.app.push_screen(MatesScreen(desk, bird_id))


class MatesScreen(ComputingPage):
    """The list, and everything about the mate one stands on below it."""

    HELP_TEXT: ClassVar[str] = """
# Mates

Living, free, grown birds of the other sex and the same species. **F** is how inbred
the young would be, **diversity** what one young would do to the gene diversity of
the birds that live here. `!` is over your limit, which **L** changes. Below stands
what to know of the mate you are on: kin, health in both families, age, proof of who
it is.

**Enter** enters the pair, after a question; over the limit only with a reason.
**A** shows birds that have a mate as well. **T** opens the mate's family tree. Whether
a health flag can be inherited is a question for an avian vet.
"""

    BINDINGS = [
        Binding(
            "a", "all", "Also paired", id="also-paired", tooltip="Or free ones only"
        ),
        Binding("l", "limits", "Limits", id="limits", tooltip="F of the young, age"),
        Binding("t", "tree", "Tree", id="tree", tooltip="The mate's family tree"),
        HELP_LETTER,
    ]

    def __init__(self, desk: Desk, bird_id: str) -> None:
        super().__init__(desk)
        self._bird_id = bird_id
        self._paired_too = False
        self._found: Mates | None = None
        self._flock: Flock | None = None

    def compose(self) -> ComposeResult:
        """The mates and what to know of one."""
        yield Words(id="heading")
        yield Words(id="computing")
        yield Words(id="notes")
        yield RowList(
            [
                Column("", 1),
                Column("mate", 20),
                Column("F", 7, to_the_right=True),
                Column("diversity", 9, to_the_right=True),
                Column("kin", 0),
                Column("id", 7, at_least=100),
            ],
            id="mates",
        )
        with VerticalScroll(id="about-side"):
            yield Words(id="about")
        yield Footer()

    def on_mount(self) -> None:
        """Walk at once."""
        self.query_one("#mates").focus()

    def on_screen_resume(self) -> None:
        """Rank as things are now."""
        if self._found is None or self._flock is not self.desk.ledger.flock:
            self._flock = self.desk.ledger.flock
            self._rank()

    def _rank(self) -> None:
        desk, bird_id, paired_too = self.desk, self._bird_id, self._paired_too
        flock, today = desk.ledger.flock, desk.today
        bird = flock.birds[bird_id]
        if self._found is None:
            heading_ = heading(bird.title, desk, "mates")
            self.query_one("#heading", Words).update(heading_)

        def rank(step: Step) -> Mates:
            return mates_of(flock, bird_id, today, paired_too=paired_too, step=step)

        self.compute(rank, self._show, f"Ranking mates for {bird.title} ...")

    def _show(self, found: Mates) -> None:
        self._found = found
        limit = Limits.of(self.desk.ledger.flock).highest_inbreeding
        place = (
            f"mates; F at most {limit:g}; gene diversity of its species here "
            f"{found.gene_diversity:.4f}"
        )
        self.query_one("#heading", Words).update(heading(found.name, self.desk, place))
        self.query_one("#notes", Words).say("\n".join(found.notes[:2]))
        rows = [_row(mate) for mate in found.mates]
        mates = self.query_one("#mates", RowList)
        mates.show(rows, empty=NO_MATES)
        self._tell_about(mates.row.key if mates.row else "")

    @on(RowList.Moved, "#mates")
    def _moved(self, event: RowList.Moved) -> None:
        self._tell_about(event.row.key)

    def _tell_about(self, bird_id: str) -> None:
        if self._found is None or self._flock is None:
            return
        found = self._found
        lines = [line for m in found.mates if m.bird == bird_id for line in _about(m)]
        mate = next((m for m in found.mates if m.bird == bird_id), None)
        if mate is not None and mate.common_ancestors:
            drawn = common_ancestors_drawn(
                self._flock, bird_id, self._bird_id, mate.common_ancestors
            )
            lines.append(
                Content.styled("Common ancestors and what came of them", "dim")
            )
            lines += [Content(shown(f"  {line}")) for line in drawn]
        lines += [Content(shown(f"! {sentence}")) for sentence in found.said]
        lines += [
            Content(shown(f"Left out: {why}")) for why in found.left_out[:LEFT_OUT]
        ]
        if len(found.left_out) > LEFT_OUT:
            lines.append(Content(f"and {len(found.left_out) - LEFT_OUT} more left out"))
        lines.append(Content.styled(ASSUMED, "dim"))
        self.query_one("#about", Words).say(Content("\n").join(lines))

    @on(RowList.Opened, "#mates")
    def _ask(self, event: RowList.Opened) -> None:
        if self._found is None or self.is_computing:
            return
        mate = next(it for it in self._found.mates if it.bird == event.row.key)
        cock, hen = self._bird_id, mate.bird
        if self.desk.ledger.flock.birds[cock].sex is not Sex.COCK:
            cock, hen = hen, cock
        ask_for_pair(self, cock, hen, self.on_screen_resume)

    def action_all(self) -> None:
        """Birds that have a mate as well, or free ones only."""
        self._paired_too = not self._paired_too
        self._rank()

    def action_limits(self) -> None:
        """Change the limits, then rank anew."""
        self.app.push_screen(LimitsDialog(self.desk))

    def action_tree(self) -> None:
        """The family tree of the mate one stands on."""
        from ledger.screens.tree import TreeScreen

        row = self.query_one("#mates", RowList).row
        if row is not None:
            self.app.push_screen(TreeScreen(self.desk, row.key))


def _row(mate: Mate) -> Row:
    return Row(
        mate.bird,
        (
            "!" if mate.over_limit else "",
            mate.name,
            f"{mate.inbreeding:.4f}",
            f"{mate.diversity_change:+.4f}",
            mate.relation or "none known",
            mate.bird,
        ),
        "alert" if mate.over_limit else "",
    )


def _about(mate: Mate) -> Iterator[Content]:
    yield Content.styled(shown(mate.name), "bold")
    for why in mate.over_limit:
        yield Content.styled(f"! {shown(why)}", "$text-warning bold")
    for warning in mate.warnings:
        yield Content(f"- {shown(warning)}")
    if not mate.warnings and not mate.over_limit:
        yield Content("Nothing speaks against this mate.")
