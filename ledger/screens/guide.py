"""How to photograph a ring, to read here and to print."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding
from textual.containers import VerticalScroll
from textual.widgets import Footer, Markdown

from ledger.errors import LedgerError
from ledger.screens.base import HELP_LETTER, Page, heading, tell, tell_trouble
from ledger.services import photo_guide
from ledger.widgets.words import Words

if TYPE_CHECKING:
    from textual.app import ComposeResult


class GuideScreen(Page):
    """Six steps and when not to take a photo at all."""

    HELP_TEXT: ClassVar[str] = """
# How to photograph a ring

The steps for you, and for whoever asks about a ring. **P** prints them with drawings
on one page, to hand out or to send.
"""
    BINDINGS = [
        Binding(
            "p", "print", "Print guide", id="print-guide", tooltip="A PDF of one page"
        ),
        HELP_LETTER,
    ]

    def compose(self) -> ComposeResult:
        """The guide."""
        yield Words(heading(photo_guide.TITLE, self.desk), id="heading")
        with VerticalScroll(id="guide"):
            yield Markdown(photo_guide.guide_markdown(), open_links=False)
        yield Footer()

    def on_mount(self) -> None:
        """Arrows scroll at once."""
        self.query_one("#guide").focus()

    def action_print(self) -> None:
        """Write it beside the ledger, as a page to print."""
        path = self.desk.ledger.folder / "how-to-photograph-a-ring.pdf"
        try:
            photo_guide.print_guide(path)
        except LedgerError as error:
            tell_trouble(self.app, "Not printed", error)
            return
        tell(self.app, f"Written to {path}.", title="Guide")
