"""Who asked about a ring, and how far each enquiry has come."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.binding import Binding
from textual.widgets import Footer

from ledger.domain.enquiry import Enquiry
from ledger.screens.base import HELP_LETTER, Page, heading
from ledger.services import enquiries
from ledger.widgets.row_list import Column, Row, RowList
from ledger.widgets.words import Words

if TYPE_CHECKING:
    from textual.app import ComposeResult


class EnquiriesScreen(Page):
    """Those that wait for an answer first."""

    HELP_TEXT: ClassVar[str] = """
# Enquiries

Everyone who asked about a ring: those that wait for an answer (`·`) first, the newest
on top; `✓` is answered, `!` is about a bird of yours and waits for your decision.
**Enter** opens one, **N** enters a new one, **G** tells how to photograph a ring.

Nothing of yours is told by itself: whoever asks is answered about the ring alone until
you decide for contact.
"""
    BINDINGS = [
        Binding("n", "new", "New", id="new-enquiry", tooltip="Someone asks"),
        Binding("g", "guide", "Photo guide", id="photo-guide", tooltip="To hand out"),
        HELP_LETTER,
    ]

    def compose(self) -> ComposeResult:
        """The list."""
        yield Words(id="heading")
        yield RowList(
            [
                Column("", 1),
                Column("came", 11),
                Column("ring", 24),
                Column("who asks", 0),
                Column("ours", 12),
                Column("", 24, at_least=100),
            ],
            empty="Nobody has asked yet. N enters an enquiry.",
            id="enquiries",
        )
        yield Footer()

    def on_mount(self) -> None:
        """Walk at once."""
        self.query_one("#enquiries").focus()

    def on_screen_resume(self) -> None:
        """Show them as they are now."""
        lines = enquiries.listed(self.desk.ledger.flock)
        waiting = sum(line.is_open for line in lines)
        place = f"{len(lines)}, {waiting} to answer" if lines else ""
        self.query_one("#heading", Words).update(heading("Enquiries", self.desk, place))
        rows = [
            Row(
                line.id,
                (
                    _sign(line),
                    line.on,
                    line.inscription or "not read",
                    line.asker or "someone",
                    line.bird,
                    line.stands,
                ),
                "" if line.is_open else "muted",
            )
            for line in lines
        ]
        self.query_one("#enquiries", RowList).show(rows)

    @on(RowList.Opened)
    def _open(self, event: RowList.Opened) -> None:
        from ledger.screens.enquiry import EnquiryScreen

        self.app.push_screen(EnquiryScreen(self.desk, event.row.key))

    def action_new(self) -> None:
        """Enter one from scratch."""
        from ledger.screens.enquiry_form import enter_enquiry

        enter_enquiry(self, self.desk, Enquiry(""))

    def action_guide(self) -> None:
        """How to photograph a ring."""
        from ledger.screens.guide import GuideScreen

        self.app.push_screen(GuideScreen(self.desk))


def _sign(line: enquiries.EnquiryLine) -> str:
    if not line.is_open:
        return "✓"
    return "!" if line.stands.startswith("ours") else "·"
