"""The answer to an enquiry: a letter to begin with, written on by the keeper."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding
from textual.widgets import Footer, TextArea

from ledger.domain.enquiry import Contact
from ledger.errors import LedgerError
from ledger.screens.base import Page, heading, tell, tell_trouble
from ledger.services import enquiries, enquiry_letter, photo_guide
from ledger.widgets.words import Words, shown

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from ledger.domain.enquiry import Enquiry
    from ledger.screens.desk import Desk

_GUARDED = (
    "! Nothing of yours may stand here: no name, place, bird or health. Names are "
    "looked for when it is kept."
)
_FREE = "Contact is decided: the letter may say whose bird it is. Read it once more."


class LetterScreen(Page):
    """Type; nothing is stored before a key says so."""

    HELP_TEXT: ClassVar[str] = """
# The letter

Change it as you like. **F2** keeps it as a draft, **F3** writes it to a PDF and **F4**
to a text file beside the ledger, **F5** enters that it was sent, **F8** puts the guide
to photographing a ring at its end. **Ctrl+Z** takes back what was typed.

Without your decision for contact a letter that names a bird, a place, a person or the
health of any of yours is not kept and not written.
"""
    BINDINGS = [
        Binding("f2", "keep", "Keep", id="keep-letter", tooltip="As a draft"),
        Binding("f3", "pdf", "PDF", id="letter-pdf", tooltip="Beside the ledger"),
        Binding("f4", "text", "Text file", id="letter-text", tooltip="To send"),
        Binding("f5", "sent", "Sent", id="letter-sent", tooltip="Enter: answered"),
        Binding(
            "f8",
            "guide",
            "Add guide",
            id="letter-guide",
            show=False,
            tooltip="How to photograph a ring, at its end",
        ),
    ]

    def __init__(self, desk: Desk, enquiry_id: str) -> None:
        super().__init__(desk)
        self._enquiry_id = enquiry_id
        self._kept = ""
        self._was_warned = False

    @property
    def _enquiry(self) -> Enquiry:
        return self.desk.ledger.flock.enquiries[self._enquiry_id]

    def compose(self) -> ComposeResult:
        """What may stand in it, then the letter."""
        yield Words(heading("Letter", self.desk, self._enquiry_id), id="heading")
        is_free = self._enquiry.bird and self._enquiry.contact is Contact.YES
        yield Words(_FREE if is_free else _GUARDED, id="may")
        yield TextArea(id="letter", soft_wrap=True, tab_behavior="focus")
        yield Footer()

    def on_mount(self) -> None:
        """The draft, or a letter to begin with."""
        self._kept = enquiry_letter.letter_text(
            self.desk.ledger.flock, self._enquiry, self.desk.today
        )
        letter = self.query_one(TextArea)
        letter.load_text(shown(self._kept))
        letter.focus()

    @property
    def _text(self) -> str:
        return self.query_one(TextArea).text

    def _do_keep(self) -> bool:
        try:
            enquiries.save_answer(
                self.desk.ledger, self._enquiry_id, self._text, self.desk.keeper
            )
        except LedgerError as error:
            tell_trouble(self.app, "Not kept", error)
            return False
        self._kept = self._text
        return True

    def action_keep(self) -> None:
        """Keep it as a draft."""
        if self._do_keep():
            tell(self.app, "As a draft of the answer.", title="Kept")

    def action_pdf(self) -> None:
        """Write it to a PDF beside the ledger."""
        self._write("pdf")

    def action_text(self) -> None:
        """Write it to a text file beside the ledger."""
        self._write("txt")

    def _write(self, ending: str) -> None:
        path = self.desk.ledger.folder / f"answer-{self._enquiry_id}.{ending}"
        try:
            enquiry_letter.write_letter(
                self.desk.ledger.flock,
                self._enquiry_id,
                path,
                self.desk.today,
                self._text,
            )
        except LedgerError as error:
            tell_trouble(self.app, "Not written", error)
            return
        tell(self.app, f"Written to {path}.", title="Letter")

    def action_sent(self) -> None:
        """Enter that it was sent as it stands here."""
        try:
            enquiries.mark_answered(
                self.desk.ledger,
                self._enquiry_id,
                self._text,
                self.desk.today,
                self.desk.keeper,
            )
        except LedgerError as error:
            tell_trouble(self.app, "Not stored", error)
            return
        tell(self.app, "The enquiry is answered.", title="Stored")
        self.app.pop_screen()

    def action_guide(self) -> None:
        """Put the guide at its end."""
        letter = self.query_one(TextArea)
        guide = "\n".join(photo_guide.guide_lines())
        if guide not in letter.text:
            letter.insert(f"\n{guide}\n", letter.document.end)
            letter.move_cursor(letter.document.end)

    def action_back(self) -> None:
        """Go back; what is not kept is asked for once."""
        if self._text != shown(self._kept) and not self._was_warned:
            self._was_warned = True
            tell(
                self.app,
                "F2 keeps it. Escape once more leaves without.",
                title="The letter is not kept",
            )
            return
        super().action_back()
