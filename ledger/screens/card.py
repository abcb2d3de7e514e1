"""The emergency card of one bird; here a sighting is confirmed, or not."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import Footer

from ledger.errors import LedgerError
from ledger.screens.base import HELP_LETTER, Page, heading, tell, tell_trouble
from ledger.services import card as cards
from ledger.services import sighting as sightings
from ledger.widgets.card_view import CardView
from ledger.widgets.words import Words, shown

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from ledger.screens.desk import Desk
    from ledger.services.sighting import Sighting


class CardScreen(Page):
    """Alerts, medication and allergies first; then who, where, whom to call, kin."""

    HELP_TEXT: ClassVar[str] = """
# Emergency card

What one must know first stands first, marked `!!`. The lines come from this ledger
and nowhere else: they give no veterinary advice. **Call a vet before you treat**,
and never take a ring off at home.

If you came here from a ring that was read, the card asks whether it is this bird.
Look at the bird itself: species, sex, colour, leg. **C** stores that you saw it here
today, with the photos. Escape goes back and stores nothing.
"""

    BINDINGS = [
        Binding(
            "c",
            "confirm",
            "Confirm",
            id="confirm",
            tooltip="It is this bird: store the sighting",
        ),
        Binding("n", "note", "Note", id="note", tooltip="Write a note or a weight"),
        Binding("b", "bird", "Bird page", id="bird", tooltip="All about this bird"),
        HELP_LETTER,
    ]

    def __init__(
        self, desk: Desk, bird_id: str, sighting: Sighting | None = None
    ) -> None:
        super().__init__(desk)
        self._bird_id = bird_id
        self._sighting = sighting
        self._is_stored = False

    def compose(self) -> ComposeResult:
        """The question, if there is one, and the card."""
        card = self._card()
        yield Words(heading(card.name, self.desk, "emergency card"), id="heading")
        yield Words(self._question(), id="question")
        with VerticalScroll(id="card"):
            yield CardView(card)
        yield Footer()

    def on_mount(self) -> None:
        """Arrows scroll at once."""
        self.desk.looked_at(self._bird_id)
        self.query_one("#card").focus()
        self._show()

    def on_screen_resume(self) -> None:
        """The ledger may know more by now."""
        if self.is_mounted:
            self._show()

    def _card(self) -> cards.Card:
        return cards.emergency_card(
            self.desk.ledger.flock, self._bird_id, self.desk.today
        )

    def _show(self) -> None:
        self.query_one(CardView).show(self._card())
        self.query_one("#question", Words).say(self._question())
        self.refresh_bindings()

    def _question(self) -> Content:
        if self._is_stored:
            return Content.styled("✓ The sighting is stored.", "$text-success bold")
        if self._sighting is None:
            return Content()
        name = shown(self._card().name)
        caution = self._sighting.caution
        return Content.assemble(
            ("? Is it ", "$text-warning bold"),
            (name, "$text-warning bold"),
            ("? ", "$text-warning bold"),
            f"Read: {shown(self._sighting.text)}. C stores the sighting; "
            "Escape goes back and stores nothing.",
            (f"\n! {shown(caution)}" if caution else "", "$text-warning bold"),
        )

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """There is something to confirm only after a ring was read."""
        return action != "confirm" or self._sighting is not None

    def action_confirm(self) -> None:
        """The keeper says it is this bird."""
        if self._sighting is None:
            return
        desk = self.desk
        try:
            sightings.confirm(desk.ledger, self._sighting, desk.today, desk.keeper)
        except LedgerError as error:
            tell_trouble(self.app, "Sighting not stored", error)
            return
        self._sighting = None
        self._is_stored = True
        tell(self.app, f"{self._card().name} was seen today.", title="Stored")
        self._show()

    def action_note(self) -> None:
        """Write something down about this bird."""
        from ledger.screens.note import NoteScreen

        self.app.push_screen(NoteScreen(self.desk, self._bird_id))

    def action_bird(self) -> None:
        """Everything the ledger holds about it."""
        from ledger.screens.bird import BirdScreen

        self.app.push_screen(BirdScreen(self.desk, self._bird_id))
