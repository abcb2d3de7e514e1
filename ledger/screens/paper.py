"""A paper of a bird: to read here, and to print."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding
from textual.containers import VerticalScroll
from textual.widgets import Footer

from ledger.errors import LedgerError
from ledger.reports.paper import as_text
from ledger.screens.base import HELP_LETTER, heading, tell
from ledger.screens.computing import ComputingPage
from ledger.services import papers
from ledger.widgets.words import Words

if TYPE_CHECKING:
    from pathlib import Path

    from textual.app import ComposeResult

    from ledger.screens.desk import Desk
    from ledger.services.papers import PaperKind


class PaperScreen(ComputingPage):
    """What the paper says; P writes the PDF."""

    HELP_TEXT: ClassVar[str] = """
# A paper

What the paper of this bird says today. **P** writes it as a PDF into the folder
`papers` beside the ledger, to print and to sign; do it again whenever something
changed. **O** shows the bird's other paper: of a ring that came off, or the one that
travels with it to a new home.
"""
    BINDINGS = [
        Binding(
            "p", "print", "Print", id="paper.print", tooltip="A PDF beside the ledger"
        ),
        Binding(
            "o", "other", "Other paper", id="paper.other", tooltip="Removal, placement"
        ),
        HELP_LETTER,
    ]

    def __init__(
        self,
        desk: Desk,
        bird_id: str,
        kind: PaperKind | None = None,
        *,
        written: bool = False,
    ) -> None:
        """Show a paper.

        Args:
            desk: The keeper's.
            bird_id: The bird.
            kind: Which paper; None: the likeliest.
            written: Write it at once.
        """
        super().__init__(desk)
        self._bird_id = bird_id
        self._kinds = papers.kinds_for(desk.ledger.flock, bird_id)
        self._kind = kind or self._kinds[0]
        self._write_at_once = written

    def compose(self) -> ComposeResult:
        """The paper as text."""
        yield Words(id="heading")
        yield Words(id="computing")
        with VerticalScroll(id="text"):
            yield Words("", id="paper")
        yield Footer()

    def on_mount(self) -> None:
        """Arrows scroll at once."""
        self.query_one("#text").focus()
        self._show()
        if self._write_at_once:
            self.action_print()
        else:
            self.query_one("#computing", Words).say("P writes it as a PDF.")

    def _show(self) -> None:
        desk, bird_id = self.desk, self._bird_id
        bird = desk.ledger.flock.birds[bird_id]
        title = heading(f"{bird.title}: {self._kind} paper", desk, bird.id)
        self.query_one("#heading", Words).update(title)
        paper, _ = papers.paper_of(desk.ledger, bird_id, self._kind, desk.today)
        self.query_one("#paper", Words).update(as_text(paper, 76))

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """There is another paper only where a ring came off."""
        if action == "other":
            return len(self._kinds) > 1
        return super().check_action(action, parameters)

    def action_other(self) -> None:
        """The bird's other paper."""
        self._kind = next(kind for kind in self._kinds if kind is not self._kind)
        self._show()

    def action_print(self) -> None:
        """Write it as a PDF, beside the page: fonts take a moment."""
        ledger, today, kind = self.desk.ledger, self.desk.today, self._kind

        def write(_step: object) -> Path | LedgerError:
            try:
                return papers.print_paper(ledger, self._bird_id, kind, today)
            except LedgerError as error:
                return error

        self.compute(write, self._written, "Writing the paper ...")

    def _written(self, result: Path | LedgerError) -> None:
        line = self.query_one("#computing", Words)
        if isinstance(result, LedgerError):
            line.say(f"✗ {result} {result.hint}".strip())
            return
        line.say(f"Written to {result}")
        tell(self.app, str(result), title="Paper written")
