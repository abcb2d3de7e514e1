"""A bird's family tree: walk up to ancestors, down to young."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.binding import Binding
from textual.widgets import Footer

from ledger.errors import LedgerError
from ledger.screens.base import HELP_LETTER, heading, tell, tell_trouble
from ledger.screens.computing import ComputingPage
from ledger.services import lineage, lineage_tree
from ledger.widgets.row_list import Column, Row, RowList
from ledger.widgets.words import Words

if TYPE_CHECKING:
    from collections.abc import Iterator

    from textual.app import ComposeResult

    from ledger.screens.desk import Desk
    from ledger.services.lineage_tree import TreeLine

_GENERATIONS = {"-narrow": 3, "-wide": 4}


class TreeScreen(ComputingPage):
    """Ancestors above, young below; Enter puts another bird at the root."""

    HELP_TEXT: ClassVar[str] = """
# Family tree

The bird, its parents, their parents and so on, each sire before the dam, with **F**,
the inbreeding of each. `?` is a gap: that parent is not known and counts as an
unrelated founder. `=` marks a bird that stands further up in the tree as well.

Up and Down walk, **Tab** goes to the young, **Enter** puts the bird you stand on at
the root, Escape goes back to the one before. **M** ranks mates for the bird at the
root, **B** opens its page, **P** prints its tree to a PDF of one page. **D** enters
the parents of the bird you stand on, or doubts about them.
"""

    BINDINGS = [
        Binding("m", "mates", "Mates", id="mates", tooltip="Whom to pair it with"),
        Binding("b", "bird", "Bird page", id="bird", tooltip="All about this bird"),
        Binding(
            "d",
            "parents",
            "Parents",
            id="doubt",
            tooltip="Enter the parents of the bird you stand on, or doubts about them",
        ),
        Binding(
            "p", "print", "Print tree", id="print-tree", tooltip="A PDF of one page"
        ),
        HELP_LETTER,
    ]

    def __init__(self, desk: Desk, bird_id: str) -> None:
        super().__init__(desk)
        self._way = [bird_id]

    @property
    def bird_id(self) -> str:
        """The bird at the root."""
        return self._way[-1]

    def compose(self) -> ComposeResult:
        """Ancestors, then young."""
        yield Words(id="heading")
        yield Words(id="computing")
        columns = [
            Column("", 0),
            Column("F", 7, to_the_right=True),
            Column("hatched", 11, at_least=70),
            Column("", 7, at_least=70),
        ]
        yield RowList(columns, id="ancestors")
        yield Words("Young", classes="title")
        yield RowList(columns, empty="No young are entered.", id="young")
        yield Footer()

    def on_mount(self) -> None:
        """Walk at once."""
        self.query_one("#ancestors").focus()

    def on_screen_resume(self) -> None:
        """Show the tree as it is now."""
        self._show()

    def on_resize(self) -> None:
        """A wide window has room for one generation more."""
        if self.is_current:
            self._show()

    def _show(self) -> None:
        flock = self.desk.ledger.flock
        bird = flock.birds[self.bird_id]
        place = ", ".join(filter(None, [bird.species, bird.id, "family tree"]))
        self.query_one("#heading", Words).update(heading(bird.title, self.desk, place))
        if not lineage.is_ready(flock):  # of a large flock that takes a while
            self.compute(
                lambda _: lineage.lineage_of(flock),
                lambda _: self._show(),
                "Computing the inbreeding of all birds ...",
            )
            return
        generations = _GENERATIONS["-wide" if self.size.width >= 100 else "-narrow"]
        try:
            up = lineage_tree.ancestors_drawn(flock, bird.id, generations)
            down = lineage_tree.young_drawn(flock, bird.id)
        except LedgerError as error:
            tell_trouble(self.app, "No tree", error)
            return
        said = lineage.lineage_of(flock).said_about(bird.id)
        self.query_one("#computing", Words).say("\n".join(f"! {it}" for it in said))
        self.query_one("#ancestors", RowList).show(list(self._rows(up)))
        self.query_one("#young", RowList).show(list(self._rows(down)))

    def _rows(self, lines: tuple[TreeLine, ...]) -> Iterator[Row]:
        birds = self.desk.ledger.flock.birds
        for number, line in enumerate(lines):
            role = f"{line.role} " if line.role in ("sire", "dam") else ""
            if line.bird is None:
                text = f"{line.branch}{role}? {line.name}"
                yield Row(f"{number} ", (text, "", "", ""), "muted")
                continue
            again = " =" if line.is_repeated else ""
            bird = birds[line.bird]
            yield Row(
                f"{number} {line.bird}",
                (
                    f"{line.branch}{role}{line.name}{again}",
                    "" if line.inbreeding is None else f"{line.inbreeding:.4f}",
                    str(bird.hatched or ""),
                    line.bird,
                ),
                "alert" if line.is_repeated else "",
            )

    @on(RowList.Opened)
    def _walk_to(self, event: RowList.Opened) -> None:
        bird_id = event.row.key.partition(" ")[2]
        if bird_id and bird_id != self.bird_id:
            self._way.append(bird_id)
            self._show()
            ancestors = self.query_one("#ancestors", RowList)
            ancestors.cursor = 0
            ancestors.focus()

    def action_back(self) -> None:
        """To the bird before, or the page before."""
        if len(self._way) > 1 and not self.is_computing:
            self._way.pop()
            self._show()
        else:
            super().action_back()

    def action_mates(self) -> None:
        """Whom to pair it with."""
        from ledger.screens.mates import open_mates

        open_mates(self, self.bird_id)

    def action_bird(self) -> None:
        """Everything the ledger holds about it."""
        from ledger.screens.bird import BirdScreen

        self.app.push_screen(BirdScreen(self.desk, self.bird_id))

    def action_parents(self) -> None:
        """Who the parents are, or may be, of the bird one stands on."""
        from ledger.screens.parents import ParentsScreen

        row = self.query_one("#ancestors", RowList).row
        if self.query_one("#young", RowList).has_focus:
            row = self.query_one("#young", RowList).row or row
        bird_id = row.key.partition(" ")[2] if row else ""
        self.app.push_screen(ParentsScreen(self.desk, bird_id or self.bird_id))

    def action_print(self) -> None:
        """Write the tree beside the ledger, as a page to print."""
        flock = self.desk.ledger.flock
        path = self.desk.ledger.folder / f"family-tree-{self.bird_id}.pdf"
        try:
            lineage_tree.print_tree(flock, self.bird_id, path)
        except LedgerError as error:
            tell_trouble(self.app, "Not printed", error)
            return
        tell(self.app, f"Written to {path}.", title="Family tree")
