"""A ring that was put on a bird."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual import on
from textual.containers import Vertical
from textual.widgets import Footer

from ledger.care.sizes import advise_size
from ledger.domain.ring import Leg, Ring, RingKind, RingState
from ledger.errors import LedgerError, RuleError
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
    from ledger.screens.desk import Desk


class RingOnScreen(Dialog[bool]):
    """Enter stores and answers True; Escape stores nothing."""

    def __init__(self, desk: Desk, bird_id: str) -> None:
        super().__init__(desk)
        self._bird_id = bird_id
        self._warned_of: Ring | None = None
        """The ring whose warnings the keeper has before them."""

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
            warnings = warnings_of_ring(self.desk.ledger.flock, self._bird_id, ring)
            if warnings and ring != self._warned_of:
                self._warn(ring, warnings)
                return
            book.put_on_ring(
                self.desk.ledger, self._bird_id, ring, on_day, self.desk.keeper
            )
        except LedgerError as error:
            self.query_one("#trouble", Words).say(f"✗ {error} {error.hint}".strip())
            form.go_to(field)
            return
        tell(self.app, "It stands on the bird's page.", title="Ring stored")
        self.answer(True)

    def _warn(self, ring: Ring, warnings: tuple[str, ...]) -> None:
        """Say what speaks against it; Enter once more stores it all the same."""
        self._warned_of = ring
        said = [*warnings, "Enter once more stores it all the same."]
        self.query_one("#trouble", Words).say("\n".join(f"! {it}" for it in said))


def proposed_ring(flock: Flock, bird: Bird) -> Ring | None:
    """The next ring in stock for a bird that wears none: of its size and hatch year."""
    size_mm = advise_size(bird.species, bird.sex, flock.settings).size_mm
    worn = any(ring.state is RingState.ON_BIRD for ring in flock.rings_of(bird.id))
    if size_mm is None or bird.hatched is None or worn:
        return None
    return stock.next_serial(flock, size_mm, year=bird.hatched.year)
