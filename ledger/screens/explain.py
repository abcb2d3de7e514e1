"""What a ring tells: the inscription and the owner's words, changed in place."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.binding import Binding
from textual.containers import Container, VerticalScroll
from textual.widgets import Footer

from ledger.domain.enquiry import Enquiry
from ledger.domain.partial_date import PartialDate
from ledger.errors import LedgerError
from ledger.screens.base import Page, heading, tell_trouble
from ledger.services import draft as drafts
from ledger.services import typed
from ledger.services.explain import explain
from ledger.widgets.folded import Folded
from ledger.widgets.form import Form, FormLine
from ledger.widgets.words import Words

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from pathlib import Path

    from textual.app import ComposeResult

    from ledger.screens.desk import Desk
    from ledger.services.draft import Draft
    from ledger.services.explanation import Explanation
    from ocr.reading import Reading

SEAMS = (
    ("", "nobody looked"),
    ("closed", "none: closed"),
    ("split", "a seam: split"),
    ("quarantine", "a screw or rivet"),
)
"""How a ring is made, as one who holds the bird can see it."""


class ExplainScreen(Page):
    """Every key explains anew; nothing is stored."""

    HELP_TEXT: ClassVar[str] = """
# What this ring tells

Correct the **inscription**, and write what the owner says: species, when it hatched,
the ring's inner diameter, its colour, whether there is a seam. The ring is held
against it at every key. `?` stands for a character not read, `*` for several.

**Page Down** and **Page Up** move the text below. **F2** keeps it all as an enquiry,
**F7** tells how to photograph a ring.

What is said here is what such a ring *most likely* means. Anyone can order rings.
Ways of writing of your own can be added: the README tells how.
"""
    BINDINGS = [
        Binding("f2", "ask", "Enquiry", id="ask", tooltip="Keep it: someone asks"),
        Binding("f7", "guide", "Guide", id="guide", tooltip="How to photograph a ring"),
        Binding("pagedown", "move(1)", "Further", show=False, priority=True),
        Binding("pageup", "move(-1)", "Back up", show=False, priority=True),
    ]

    def __init__(
        self,
        desk: Desk,
        text: str,
        *,
        reading: Reading | None = None,
        photos: Sequence[Path] = (),
    ) -> None:
        super().__init__(desk)
        self._text = text
        self._reading = reading
        self._photos = tuple(photos)

    @classmethod
    def of_draft(
        cls, desk: Desk, draft: Draft, reading: Reading | None, photos: Sequence[Path]
    ) -> ExplainScreen:
        """Begin with what was read and corrected."""
        seen = drafts.as_reading(draft, reading) if reading else None
        return cls(desk, draft.text, reading=seen, photos=photos)

    def compose(self) -> ComposeResult:
        """What is known, then what it means."""
        names = ", ".join(path.name for path in self._photos)
        yield Words(heading("What this ring tells", self.desk, names), id="heading")
        with Container(id="panes"):
            yield Form(self._lines(), id="said")
            with VerticalScroll(id="told", can_focus=False):
                yield Folded(id="explanation")
        yield Words("", id="trouble", classes="trouble")
        yield Footer()

    def _lines(self) -> list[FormLine]:
        reading = self._reading
        seam = reading.closure if reading and reading.closure != "unsure" else ""
        known = sorted({b.species for b in self.desk.ledger.flock.birds.values()})
        return [
            FormLine(
                "inscription", "Inscription", self._text, "? one not read, / line"
            ),
            FormLine("species", "Species, they say", known=tuple(filter(None, known))),
            FormLine("hatched", "Hatched, they say", hint="2019, or spring 2019"),
            FormLine("size", "Inner diameter in mm", hint="Of the ring, measured."),
            FormLine("colour", "Colour", reading.colour if reading else ""),
            FormLine("closure", "Seam", seam, "Left and Right choose.", choices=SEAMS),
        ]

    def on_mount(self) -> None:
        """Explain what one came with."""
        self._explain()

    @on(Form.Changed)
    def _explain(self) -> None:
        words = self.query_one(Form).entered()
        try:
            found = self._explained(words)
        except LedgerError as error:
            self.query_one("#trouble", Words).say(f"✗ {error} {error.hint}".strip())
            return
        self.query_one("#trouble", Words).say("")
        self.query_one("#explanation", Folded).show(dressed(found))

    def _explained(self, words: dict[str, str]) -> Explanation:
        """Explain what stands in the form.

        Raises:
            LedgerError: a line cannot be understood.
        """
        text = words["inscription"]
        ring = self._reading if self._reading and text == self._text else text
        return explain(
            ring,
            today=self.desk.today,
            species=words["species"],
            colour=words["colour"],
            hatched=self._hatched(words),
            size_mm=typed.millimetres(words["size"]),
            closure=words["closure"],
        )

    def _hatched(self, words: dict[str, str]) -> PartialDate | None:
        said = words["hatched"].strip()
        return typed.date(said, self.desk.today) if said else None

    @on(Form.Submitted)
    def _read_on(self) -> None:
        self.action_move(1)

    def action_move(self, pages: int) -> None:
        """Move the text."""
        told = self.query_one("#told", VerticalScroll)
        told.scroll_relative(y=pages * max(told.size.height - 2, 1), animate=False)

    def action_guide(self) -> None:
        """How to photograph a ring."""
        from ledger.screens.guide import GuideScreen

        self.app.push_screen(GuideScreen(self.desk))

    def action_ask(self) -> None:
        """Keep it as an enquiry."""
        from ledger.screens.enquiry_form import enter_enquiry

        words = self.query_one(Form).entered()
        try:
            begun = Enquiry(
                "",
                PartialDate.of(self.desk.today),
                inscription=words["inscription"],
                species=words["species"],
                hatched=self._hatched(words),
                size_mm=typed.millimetres(words["size"]),
                colour=words["colour"],
                closure=words["closure"],
            )
        except LedgerError as error:
            tell_trouble(self.app, "Not yet an enquiry", error)
            return
        enter_enquiry(self, self.desk, begun, self._photos)


def dressed(found: Explanation) -> Iterator[tuple[str, str]]:
    """Lines of an explanation with their styles; cautions stand out by a sign too."""
    warning = False
    for line in found.as_text().split("\n"):
        if line and not line.startswith(" "):
            warning = line in ("Take care", "Please note")
            yield f"{'! ' if warning else ''}{line}", "$text-secondary bold"
        else:
            yield line, "$text-warning" if warning else ""
