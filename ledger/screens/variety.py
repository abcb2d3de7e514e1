"""The flock's variety at a glance: figures by species, and how it went over years."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.widgets import Footer

from ledger.errors import LedgerError
from ledger.screens.base import HELP_LETTER, Page, heading, tell_trouble
from ledger.services import lineage
from ledger.services.lineage_years import variety_by_year
from ledger.widgets.row_list import Column, Row, RowList
from ledger.widgets.words import Words
from ledger.widgets.year_plot import YearPlot

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from ledger.services.lineage import GroupLineage


class VarietyScreen(Page):
    """Species above; founders and the plot of the one you stand on below."""

    HELP_TEXT: ClassVar[str] = """
# Variety

How much of the founders' variety the birds that live here still carry. **GD** gene
diversity, 1 less the mean kinship; **fe** founder equivalents, 1 / sum of p²; **fg**
founder genome equivalents, 1 / sum of p²/r (both Lacy 1989); **1/2MK** 1 / (2 x mean
kinship). The plot shows gene diversity and mean inbreeding at the end of each year;
its numbers stand above it. An unknown parent counts as an unrelated founder: gaps
make the flock look better than it is.
"""
    BINDINGS = [HELP_LETTER]

    def compose(self) -> ComposeResult:
        """Figures, founders, plot."""
        yield Words(heading("Variety", self.desk), id="heading")
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
            empty="No bird lives here yet.",
            id="species",
        )
        yield Words(id="founders")
        yield Words(id="numbers")
        yield YearPlot(id="plot")
        yield Footer()

    def on_mount(self) -> None:
        """Walk at once."""
        self._groups: dict[str, GroupLineage] = {}
        self.query_one("#species").focus()

    def on_screen_resume(self) -> None:
        """Count as things are now."""
        try:
            everyone, *groups = lineage.of_groups(self.desk.ledger.flock)
        except LedgerError as error:
            tell_trouble(self.app, "No figures", error)
            return
        self._groups = {group.species: group for group in (*groups, everyone)}
        rows = [_row(group) for group in self._groups.values() if group.living]
        self.query_one("#species", RowList).show(rows)
        if rows:
            self._tell_about(rows[0].key)

    @on(RowList.Moved, "#species")
    def _moved(self, event: RowList.Moved) -> None:
        self._tell_about(event.row.key)

    def _tell_about(self, species: str) -> None:
        flock = self.desk.ledger.flock
        group = self._groups[species]
        named = [
            f"{flock.birds[who].title if who in flock.birds else who} {part:.0%}, "
            f"{left:.0%} left"
            for who, part, left in group.left_of_founders[:6]
        ]
        more = len(group.left_of_founders) - len(named)
        tail = f"; and {more} more" if more > 0 else ""
        self.query_one("#founders", Words).say(f"Founders: {'; '.join(named)}{tail}")
        years = variety_by_year(flock, self.desk.today, species)
        some = [years[0], years[len(years) // 2], years[-1]] if years else []
        self.query_one("#numbers", Words).say(
            "   ".join(
                f"{it.year}: {it.living} here, GD {it.gene_diversity:.3f}, "
                f"F {it.mean_inbreeding:.4f}"
                for it in dict.fromkeys(some)
            )
        )
        self.query_one(YearPlot).show(
            [it.year for it in years],
            {
                "gene diversity": [it.gene_diversity for it in years],
                "mean F": [it.mean_inbreeding for it in years],
            },
        )


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
