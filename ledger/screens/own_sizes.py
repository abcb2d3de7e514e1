"""Which ring size holds for each species; the keeper's own, marked as such."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.binding import Binding
from textual.containers import VerticalScroll
from textual.widgets import Footer

from ledger.domain.bird import Sex
from ledger.screens.base import HELP_LETTER, Page, heading, tell
from ledger.screens.form_dialog import FormDialog
from ledger.services import own_sizes, typed
from ledger.widgets.form import FormLine
from ledger.widgets.row_list import Column, Row, RowList
from ledger.widgets.words import Words

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from ledger.screens.desk import Desk
    from ledger.services.own_sizes import SizeLine


class OwnSizesScreen(Page):
    """Species above; who gives the size of the one you stand on below."""

    HELP_TEXT: ClassVar[str] = """
# Ring sizes

The inner diameter of the ring for each species you keep. **published** sizes come
from a table whose source stands below; **yours** is one you set, and it goes first;
`none` is a species for which no table at hand gives a size.

**Enter** sets a size of your own for the species you stand on; an empty size takes
yours back. **N** sets one for a species that is not in the list. **F** says whether a
ring fits a leg you measured, and what it means when one rides above the hock or will
not pass the foot. Local rules go before all of this: ask your authority or ring issuer.
"""

    BINDINGS = [
        Binding("n", "add", "New", id="new-size", tooltip="For a species not listed"),
        Binding("f", "fit", "Fit", id="fit", tooltip="Does a ring fit this leg?"),
        HELP_LETTER,
    ]

    def compose(self) -> ComposeResult:
        """The species, and about one."""
        yield Words(heading("Ring sizes", self.desk), id="heading")
        yield RowList(
            [
                Column("species", 0),
                Column("sex", 5),
                Column("mm", 11, to_the_right=True),
                Column("by", 10),
                Column("birds", 6, to_the_right=True),
            ],
            empty="No bird has a species yet. N sets a size all the same.",
            id="sizes",
        )
        with VerticalScroll(id="about-side"):
            yield Words(id="about")
        yield Footer()

    def on_mount(self) -> None:
        """Walk at once."""
        self.query_one("#sizes").focus()

    def on_screen_resume(self) -> None:
        """Show sizes as they are now."""
        self._lines = {
            f"{line.sex} {line.species}": line
            for line in own_sizes.size_lines(self.desk.ledger.flock)
        }
        sizes = self.query_one("#sizes", RowList)
        sizes.show([_row(key, line) for key, line in self._lines.items()])
        if sizes.row is not None:
            self._tell_about(sizes.row.key)

    @on(RowList.Moved, "#sizes")
    def _moved(self, event: RowList.Moved) -> None:
        self._tell_about(event.row.key)

    def _tell_about(self, key: str) -> None:
        self.query_one("#about", Words).say("\n".join(self._lines[key].said))

    @on(RowList.Opened, "#sizes")
    def _ask(self, event: RowList.Opened) -> None:
        self.app.push_screen(SizeDialog(self.desk, self._lines[event.row.key]))

    def action_fit(self) -> None:
        """By two measures, and by what one sees."""
        from ledger.screens.fit import FitDialog

        self.app.push_screen(FitDialog(self.desk))

    def action_add(self) -> None:
        """A size for a species that is not in the list."""
        self.app.push_screen(SizeDialog(self.desk))


class SizeDialog(FormDialog):
    """The keeper's own size for one species."""

    def __init__(self, desk: Desk, line: SizeLine | None = None) -> None:
        super().__init__(desk)
        self._line = line

    def title_words(self) -> str:
        """Of which species."""
        return "Your own ring size" + (f": {self._line.species}" if self._line else "")

    def about_words(self) -> str:
        """What is published."""
        return "\n".join(self._line.said) if self._line else ""

    def lines(self) -> tuple[FormLine, ...]:
        """Size, sex, why; the species where it is not known yet."""
        line = self._line
        own = line.size if line is not None and line.by == "yours" else ""
        sexes = ((Sex.UNKNOWN, "both sexes"), (Sex.COCK, "cocks"), (Sex.HEN, "hens"))
        species = (FormLine("species", "Species", example="Cockatiel"),)
        return (
            *(() if line is not None else species),
            FormLine(
                "size",
                "Inner diameter in mm",
                own,
                "An empty line takes your own size back.",
                "5.5",
            ),
            FormLine(
                "sex",
                "Holds for",
                str(line.sex) if line else "",
                choices=tuple((str(sex), words) for sex, words in sexes),
            ),
            FormLine("notes", "Why, or from whom", example="our vet, measured 2024"),
        )

    def store(self, words: dict[str, str]) -> None:
        """Set it, or take it back.

        Raises:
            LedgerError: it is no size.
        """
        self.at = "size"
        size_mm = typed.millimetres(words["size"])
        species = self._line.species if self._line else words["species"]
        if not self._line and not species.strip():
            self.at = "species"
        said = own_sizes.set_own_size(
            self.desk.ledger,
            species,
            size_mm,
            self.desk.keeper,
            sex=Sex(words["sex"]),
            notes=words["notes"],
        )
        if said:
            tell(self.app, " ".join(said), title="Not what is published")

    def stored_words(self) -> str:
        """It counts at once."""
        return "Orders and warnings go by it now."


def _row(key: str, line: SizeLine) -> Row:
    sex = "" if line.sex is Sex.UNKNOWN else str(line.sex)
    return Row(
        key,
        (line.species, sex, line.size, line.by, str(line.birds)),
        "alert" if line.by == "none" else "",
    )
