"""A chick gets its ring: the next of the right size, in its days, or honestly late."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual import on
from textual.containers import Vertical, VerticalScroll
from textual.widgets import Footer

from ledger.domain.ring import Leg, Ring, RingKind
from ledger.errors import LedgerError, RuleError
from ledger.screens.base import Dialog, tell
from ledger.screens.happened import DATES
from ledger.services import chicks, typed
from ledger.widgets.form import Form, FormLine
from ledger.widgets.words import Words

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from ledger.screens.desk import Desk

_KINDS = {RingKind.CLOSED: "closed", RingKind.SPLIT: "split"}


class RingChickScreen(Dialog[bool]):
    """Enter stores and answers True; Escape stores nothing."""

    def __init__(self, desk: Desk, bird_id: str) -> None:
        super().__init__(desk)
        self._bird_id = bird_id
        self._proposal = chicks.propose_ring(desk.ledger.flock, bird_id, desk.today)
        self._proposed = {
            kind: chicks.propose_ring(desk.ledger.flock, bird_id, desk.today, kind).ring
            for kind in _KINDS
        }
        self._kind = RingKind.SPLIT if self._proposal.is_missed else RingKind.CLOSED
        self._warned: tuple[str, ...] = ()

    def compose(self) -> ComposeResult:
        """What must be known, the ring and the day."""
        bird = self.desk.ledger.flock.birds[self._bird_id]
        proposed = self._proposed[self._kind]
        kinds = sorted(_KINDS, key=lambda kind: kind is not self._kind)
        legs = [Leg.LEFT, Leg.RIGHT, Leg.UNKNOWN]
        with Vertical(classes="dialog"):
            yield Words(f"{bird.title}: its ring", classes="title")
            with VerticalScroll(id="known"):
                yield Words("\n".join(self._proposal.said), id="said")
            yield Form(
                [
                    FormLine(
                        "inscription",
                        "Inscription",
                        proposed.inscription if proposed else "",
                        hint="The next in stock is offered; type another if you took "
                        "another.",
                        example="IE TWK / 26 0042",
                    ),
                    FormLine(
                        "kind",
                        "Kind",
                        choices=tuple((str(kind), _KINDS[kind]) for kind in kinds),
                        hint="Left and Right choose.",
                    ),
                    FormLine(
                        "leg",
                        "Leg",
                        choices=tuple((str(leg), str(leg)) for leg in legs),
                        hint="The bird's own left or right.",
                    ),
                    FormLine(
                        "size",
                        "Inner diameter in mm",
                        hint="Only for a ring that is not in your stock.",
                    ),
                    FormLine("on", "When", str(self.desk.today), DATES),
                    FormLine(
                        "although",
                        "Late: how it went on",
                        hint="Only for a closed ring that truly went on after its "
                        "days; it is kept with the ring.",
                    ),
                ]
            )
            yield Words("", id="trouble", classes="trouble")
            yield Words("Enter stores it. Escape leaves without storing.")
        yield Footer()

    @on(Form.Changed)
    def _offer_of_kind(self) -> None:
        """Another kind: the next ring of that kind, unless one was typed."""
        form = self.query_one(Form)
        words = form.entered()
        kind = RingKind(words["kind"])
        if kind is self._kind:
            return
        before, now = self._proposed[self._kind], self._proposed[kind]
        if words["inscription"] == (before.inscription if before else ""):
            form.put("inscription", now.inscription if now else "")
        self._kind = kind

    @on(Form.Submitted)
    def _store(self) -> None:
        form = self.query_one(Form)
        words = form.entered()
        field = "on"
        flock = self.desk.ledger.flock
        try:
            day = typed.date(words["on"], self.desk.today)
            field = "size"
            size_mm = typed.millimetres(words["size"])
            field = "inscription"
            inscription = " ".join(words["inscription"].split())
            if not inscription:
                raise RuleError("No inscription is entered.", "Write what it reads.")
            ring = chicks.in_stock(
                flock,
                Ring(
                    "",
                    inscription,
                    RingKind(words["kind"]),
                    size_mm=size_mm,
                    leg=Leg(words["leg"]),
                ),
            )
            field = "although"
            chicks.refuse_missed(flock, self._bird_id, ring, day, words["although"])
            field = "inscription"
            warned = chicks.warnings_of_ring(flock, self._bird_id, ring, day)
            if warned and warned != self._warned:
                self._warn(warned)
                return
            worn = chicks.ring_chick(
                self.desk.ledger,
                self._bird_id,
                ring,
                day,
                self.desk.keeper,
                although=words["although"],
            )
        except LedgerError as error:
            self.query_one("#trouble", Words).say(f"✗ {error} {error.hint}".strip())
            form.go_to(field)
            return
        tell(self.app, f"It wears {worn.inscription}.", title="Ring stored")
        self.answer(True)

    def _warn(self, warned: tuple[str, ...]) -> None:
        """Say what speaks against it; Enter once more stores it all the same."""
        self._warned = warned
        said = [*warned, "Enter once more stores it all the same."]
        self.query_one("#trouble", Words).say("\n".join(f"! {it}" for it in said))
