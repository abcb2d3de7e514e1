"""A ring that was put on a bird."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual import on
from textual.containers import Vertical
from textual.widgets import Footer

from ledger.domain.ring import Leg, Ring, RingKind
from ledger.errors import LedgerError, RuleError
from ledger.screens.base import Dialog, tell
from ledger.screens.happened import DATES
from ledger.services import book, typed
from ledger.widgets.form import Form, FormLine
from ledger.widgets.words import Words

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from ledger.screens.desk import Desk


class RingOnScreen(Dialog[bool]):
    """Enter stores and answers True; Escape stores nothing."""

    def __init__(self, desk: Desk, bird_id: str) -> None:
        super().__init__(desk)
        self._bird_id = bird_id

    def compose(self) -> ComposeResult:
        """The ring and the day."""
        bird = self.desk.ledger.flock.birds[self._bird_id]
        kinds = [(str(kind), str(kind)) for kind in RingKind]
        legs = [(str(leg), str(leg)) for leg in Leg]
        with Vertical(classes="dialog"):
            yield Words(f"{bird.title}: a ring put on", classes="title")
            yield Form(
                [
                    FormLine(
                        "inscription",
                        "Inscription",
                        hint="All characters in reading order; / parts the lines.",
                        example="IE TWK / 26 0042",
                    ),
                    FormLine("kind", "Kind", choices=tuple(kinds)),
                    FormLine("leg", "Leg", choices=tuple(legs), hint="The bird's own."),
                    FormLine("colour", "Colour"),
                    FormLine("size", "Inner diameter in mm"),
                    FormLine("on", "When", str(self.desk.today), DATES),
                ]
            )
            yield Words("", id="trouble", classes="trouble")
            yield Words("Enter stores it. Escape leaves without storing.")
        yield Footer()

    @on(Form.Submitted)
    def _store(self) -> None:
        form = self.query_one(Form)
        words = form.entered()
        field = "on"
        try:
            on_day = typed.date(words["on"], self.desk.today)
            field = "size"
            size_mm = typed.millimetres(words["size"])
            field = "inscription"
            inscription = " ".join(words["inscription"].split())
            if not inscription:
                raise RuleError("No inscription is entered.", "Write what it reads.")
            ring = Ring(
                "",
                inscription,
                RingKind(words["kind"]),
                words["colour"].strip(),
                size_mm,
                Leg(words["leg"]),
            )
            book.put_on_ring(
                self.desk.ledger, self._bird_id, ring, on_day, self.desk.keeper
            )
        except LedgerError as error:
            self.query_one("#trouble", Words).say(f"✗ {error} {error.hint}".strip())
            form.go_to(field)
            return
        tell(self.app, "It stands on the bird's page.", title="Ring stored")
        self.answer(True)
