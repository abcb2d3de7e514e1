"""The flock's variety at a glance: figures by species, and how it went over years."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.containers import Horizontal
from textual.widgets import Footer

from ledger.screens.base import HELP_LETTER, heading
from ledger.screens.computing import ComputingPage
from ledger.services import lineage
from ledger.services.lineage_form import half_known_told
from ledger.services.lineage_years import variety_by_year
from ledger.widgets.row_list import Column, Row, RowList
from ledger.widgets.words import Words
from ledger.widgets.year_plot import YearPlot

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from textual.app import ComposeResult

    from ledger.domain.flock import Flock
    from ledger.screens.computing import Step
    from ledger.screens.desk import Desk
    from ledger.services.lineage import GroupLineage
    from ledger.services.lineage_years import YearVariety

    _Variety = tuple[tuple[GroupLineage, ...], dict[str, tuple[YearVariety, ...]]]

_FOUNDERS = 6
"""Told by name."""
_INBRED_YEARS = 4
"""Years whose inbred young are told."""


class VarietyScreen(ComputingPage):
    """Species above; founders and the plot of the one you stand on below."""

    HELP_TEXT: ClassVar[str] = """
# Variety

How much of the founders' variety the birds that live here still carry. **GD** gene
diversity, 1 less the mean kinship; **fe** founder equivalents, 1 / sum of p²; **fg**
founder genome equivalents, 1 / sum of p²/r (both Lacy 1989); **1/2MK** 1 / (2 x mean
kinship). The plots show the gene diversity of the birds that lived here at the end of
each year, and **F** of the young hatched in it, also those that are dead or placed by
now; numbers stand above. An unknown parent counts as an unrelated founder: gaps make
the flock look better than it is.
"""
    BINDINGS = [HELP_LETTER]

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self._flock: Flock | None = None
        self._groups: dict[str, GroupLineage] = {}
        self._years: dict[str, tuple[YearVariety, ...]] = {}

    def compose(self) -> ComposeResult:
        """Figures, founders, plots."""
        yield Words(heading("Variety", self.desk), id="heading")
        yield Words(id="computing")
        numbers = ("living", "founders", "mean F", "GD", "fe", "fg", "1/2MK")
        widths = (6, 8, 7, 7, 6, 6, 6)
        yield RowList(
            [
                Column("species", 0),
                *(
                    Column(title, width, to_the_right=True)
                    for title, width in zip(numbers, widths, strict=True)
                ),
            ],
            id="species",
        )
        yield Words(id="founders")
        yield Words(id="numbers")
        with Horizontal(id="plots"):
            yield YearPlot(id="diversity")
            yield YearPlot(id="inbreeding")
        yield Footer()

    def on_mount(self) -> None:
        """Walk at once."""
        self.query_one("#species").focus()

    def on_screen_resume(self) -> None:
        """Count as things are now."""
        flock, today = self.desk.ledger.flock, self.desk.today
        if flock is self._flock and not self.is_computing:
            return
        self._flock = flock

        def count(step: Step) -> _Variety:
            groups = lineage.of_groups(flock, step)
            years = {}
            for group in groups:
                step()
                years[group.species] = variety_by_year(flock, today, group.species)
            return groups, years

        self.compute(count, self._show, "Counting what is left of the founders ...")

    def _show(self, found: _Variety) -> None:
        (everyone, *groups), self._years = found
        self._groups = {group.species: group for group in (*groups, everyone)}
        rows = [_row(group) for group in self._groups.values() if group.living]
        self.query_one("#species", RowList).show(rows, empty="No bird lives here yet.")
        if rows:
            self._tell_about(rows[0].key)

    @on(RowList.Moved, "#species")
    def _moved(self, event: RowList.Moved) -> None:
        self._tell_about(event.row.key)

    def _tell_about(self, species: str) -> None:
        group, years = self._groups[species], self._years[species]
        named = [
            f"{self._called(who)} {part:.0%}, {left:.0%} left"
            for who, part, left in group.left_of_founders[:_FOUNDERS]
        ]
        more = len(group.left_of_founders) - len(named)
        tail = f"; and {more} more" if more > 0 else ""
        told = [f"! {sentence}" for sentence in group.said]
        if group.half_known:
            told.append(f"! {half_known_told(group, self._called)}")
        told.append(f"Founders: {'; '.join(named)}{tail}")
        self.query_one("#founders", Words).say("\n".join(told))
        self.query_one("#numbers", Words).say("\n".join(self._numbers(years)))
        span = (years[0].year, years[-1].year) if years else (0, 1)
        self.query_one("#diversity", YearPlot).show(
            "gene diversity of those here",
            [it.year for it in years if it.living],
            {"": [it.gene_diversity for it in years if it.living]},
            top=1.0,
            span=span,
        )
        young = [it for it in years if it.hatched]
        most = max((it.most_of_hatched for it in young), default=0.0)
        self.query_one("#inbreeding", YearPlot).show(
            "F of each year's young",
            [it.year for it in young],
            {
                "most": [it.most_of_hatched for it in young],
                "mean": [it.mean_of_hatched for it in young],
            },
            top=max(1.25 * most, 0.0625),
            span=span,
            joined=False,
        )

    def _numbers(self, years: Sequence[YearVariety]) -> Iterator[str]:
        some = [it for it in years if it.living]
        if some:
            told = dict.fromkeys([some[0], some[len(some) // 2], some[-1]])
            yield "   ".join(
                f"{it.year}: {it.living} here, GD {it.gene_diversity:.3f}"
                for it in told
            )
        inbred = [it for it in years if it.most_inbred]
        if not inbred:
            yield "No young of any year is inbred, for all that is known."
            return
        shown_ = sorted(inbred, key=lambda it: -it.most_of_hatched)[:_INBRED_YEARS]
        yield "Inbred young: " + "; ".join(
            f"{it.year} {self._called(it.most_inbred[0])} F {it.most_of_hatched:.4f}"
            + (f" and {len(it.most_inbred) - 1} more" if it.most_inbred[1:] else "")
            for it in sorted(shown_, key=lambda it: it.year)
        )

    def _called(self, bird_id: str) -> str:
        bird = self._flock.birds.get(bird_id) if self._flock else None
        return bird.title if bird else bird_id


def _row(group: GroupLineage) -> Row:
    return Row(
        group.species,
        (
            group.species or "all",
            str(group.living),
            str(group.founders),
            f"{group.mean_inbreeding:.4f}",
            f"{group.gene_diversity:.4f}",
            f"{group.founder_equivalents:.2f}",
            f"{group.founder_genome_equivalents:.2f}",
            f"{group.genome_equivalents_by_kinship:.2f}",
        ),
    )
