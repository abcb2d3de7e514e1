"""A ring that was put on a bird."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual import on
from textual.containers import Vertical
from textual.widgets import Footer

from ledger.care.sizes import advise_size
from ledger.domain.mark_rules import called_ring
from ledger.domain.ring import Leg, Ring, RingKind, RingState
from ledger.errors import LedgerError, RuleError
from ledger.screens.ask import AskScreen
from ledger.screens.base import Dialog, tell
from ledger.screens.happened import DATES
from ledger.services import book, marks, stock, typed
from ledger.services.ring_warnings import warnings_of_ring
from ledger.widgets.form import Form, FormLine
from ledger.widgets.words import Words

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from ledger.domain.bird import Bird
    from ledger.domain.flock import Flock
    from ledger.domain.partial_date import PartialDate
    from ledger.screens.desk import Desk

_ALL_THE_SAME = "store"


class RingOnScreen(Dialog[bool]):
    """Enter stores and answers True; Escape stores nothing."""

    def __init__(self, desk: Desk, bird_id: str) -> None:
        super().__init__(desk)
        self._bird_id = bird_id

    def compose(self) -> ComposeResult:
        """The ring and the day."""
        bird = self.desk.ledger.flock.birds[self._bird_id]
        proposed = proposed_ring(self.desk.ledger.flock, bird)
        kinds = [(str(kind), str(kind)) for kind in RingKind]
        legs = [(str(leg), str(leg)) for leg in Leg]
        with Vertical(classes="dialog"):
            yield Words(f"{bird.title}: a ring put on", classes="title")
            yield Form(
                [
                    FormLine(
                        "inscription",
                        "Inscription",
                        proposed.inscription if proposed else "",
                        hint="All characters in reading order; / parts the lines. A "
                        "ring in stock brings its size and colour with it.",
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
            ring = marks.from_stock(self.desk.ledger.flock, ring)
            flock = self.desk.ledger.flock
            warnings = warnings_of_ring(flock, self._bird_id, ring, on_day)
            if warnings:
                self._warn(ring, on_day, warnings)
            else:
                self._put_on(ring, on_day)
        except LedgerError as error:
            self.query_one("#trouble", Words).say(f"✗ {error} {error.hint}".strip())
            form.go_to(field)

    def _warn(self, ring: Ring, on_day: PartialDate, warnings: tuple[str, ...]) -> None:
        """Say what speaks against it, and ask."""

        def go_on(answer: str | None) -> None:
            if answer != _ALL_THE_SAME:
                return
            try:
                self._put_on(ring, on_day)
            except LedgerError as error:
                said = f"✗ {error} {error.hint}".strip()
                self.query_one("#trouble", Words).say(said)

        self.app.push_screen(
            AskScreen(
                self.desk,
                f"{called_ring(ring)}: look again",
                "\n".join(f"! {sentence}" for sentence in warnings),
                [("back", "Go back"), (_ALL_THE_SAME, "It is on: store it")],
            ),
            go_on,
        )

    def _put_on(self, ring: Ring, on_day: PartialDate) -> None:
        """Store it.

        Raises:
            LedgerError: a rule of the flock says no.
        """
        desk = self.desk
        book.put_on_ring(desk.ledger, self._bird_id, ring, on_day, desk.keeper)
        tell(self.app, "It stands on the bird's page.", title="Ring stored")
        self.answer(True)


def proposed_ring(flock: Flock, bird: Bird) -> Ring | None:
    """The next ring in stock for a bird that wears none: of its size and hatch year."""
    size_mm = advise_size(bird.species, bird.sex, flock.settings).size_mm
    worn = any(ring.state is RingState.ON_BIRD for ring in flock.rings_of(bird.id))
    if size_mm is None or bird.hatched is None or worn:
        return None
    return stock.next_serial(flock, size_mm, year=bird.hatched.year)
