"""One enquiry: who asks, what the ring tells, whether it is ours, what is answered."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import Footer

from ledger.domain.bird import Status
from ledger.domain.enquiry import Contact
from ledger.errors import LedgerError
from ledger.screens.base import HELP_LETTER, Page, heading, tell, tell_trouble
from ledger.screens.explain import dressed
from ledger.services import enquiries, enquiry_bird
from ledger.services.photos import photo_file
from ledger.widgets.folded import Folded
from ledger.widgets.words import Words, shown

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from ledger.domain.bird import Bird
    from ledger.domain.enquiry import Enquiry
    from ledger.screens.desk import Desk
    from ocr.reading import Reading

CONTACT = (
    (Contact.YES, "Yes: the letter may say whose bird it is and how to reach us"),
    (Contact.NO, "No: the letter is about the ring alone"),
    (Contact.UNDECIDED, "Not decided: as with no, and it stays on the list"),
)
_SAID = {
    Contact.UNDECIDED: "NOT DECIDED whether to make contact: nothing of ours is told.",
    Contact.YES: "Contact: YES. The letter may say whose bird it is.",
    Contact.NO: "Contact: NO. Nothing of ours is told.",
}


class EnquiryScreen(Page):
    """Keys do; the text scrolls."""

    HELP_TEXT: ClassVar[str] = """
# An enquiry

**E** corrects what was entered, **P** reads its photos. **O** says which of your birds
it is about; only you see the birds it fits. Then **C** decides whether to make contact:
until you say yes, no letter may hold a name, a place, a bird or the health of any of
yours. **L** writes the letter. **R** enters that the bird is here again: that alone
ends its placement. **B** opens the bird's page, **G** the guide to photos.
"""
    BINDINGS = [
        Binding("e", "edit", "Edit", id="edit-enquiry", tooltip="Correct it"),
        Binding("o", "ours", "Ours?", id="ours", tooltip="Which of our birds it is"),
        Binding("c", "contact", "Contact", id="contact", tooltip="Whether to be found"),
        Binding("l", "letter", "Letter", id="letter", tooltip="Write the answer"),
        Binding(
            "r", "came_back", "Came back", id="came-back", show=False, tooltip="Here"
        ),
        Binding(
            "p", "read", "Read photos", id="read-photos", show=False, tooltip="Its ring"
        ),
        Binding(
            "b", "bird", "Bird page", id="its-bird", show=False, tooltip="Our bird"
        ),
        Binding(
            "g", "guide", "Photo guide", id="guide-here", show=False, tooltip="Photos"
        ),
        HELP_LETTER,
    ]

    def __init__(self, desk: Desk, enquiry_id: str) -> None:
        super().__init__(desk)
        self.enquiry_id = enquiry_id

    def compose(self) -> ComposeResult:
        """What was asked, then what the ring tells."""
        yield Words(id="heading")
        with VerticalScroll(id="text"):
            yield Words(id="asked")
            yield Words(id="ours")
            yield Folded(id="explanation")
        yield Footer()

    def on_mount(self) -> None:
        """Arrows scroll at once."""
        self.query_one("#text").focus()

    def on_screen_resume(self) -> None:
        """Show it as it is now; what was taken back is no more."""
        if self.enquiry_id not in self.desk.ledger.flock.enquiries:
            self.app.pop_screen()
            return
        self._show()

    @property
    def enquiry(self) -> Enquiry:
        """As it is now."""
        return self.desk.ledger.flock.enquiries[self.enquiry_id]

    def _show(self) -> None:
        enquiry = self.enquiry
        place = f"{enquiry.id}, {enquiries.stands(enquiry)}"
        self.query_one("#heading", Words).update(heading("Enquiry", self.desk, place))
        self.query_one("#asked", Words).update(self._asked(enquiry))
        self.query_one("#ours", Words).say(self._ours(enquiry))
        found = enquiries.explained(enquiry, self.desk.today)
        self.query_one("#explanation", Folded).show(dressed(found))

    def _asked(self, enquiry: Enquiry) -> Content:
        photos = self.desk.ledger.flock.photos
        names = [photos[p].file_name for p in enquiry.photos if p in photos]
        size = f"{enquiry.size_mm:g} mm" if enquiry.size_mm is not None else ""
        said = [enquiry.species, size, enquiry.colour, enquiry.closure]
        if enquiry.hatched:
            said.insert(1, f"hatched {enquiry.hatched}")
        who = ", ".join(filter(None, [enquiry.asker, enquiry.reach]))
        parts: list[str | Content | tuple[str, str]] = []
        for label, text in (
            ("Came", str(enquiry.on or "")),
            ("Who asks", who or "not written down"),
            ("Asks", enquiry.question),
            ("Says", ", ".join(filter(None, said))),
            ("Photos", ", ".join(names)),
            ("Notes", enquiry.notes),
            ("Letter", _letter(enquiry)),
        ):
            if text:
                parts += [(f"{label:<10}", "$text-secondary bold"), f"{shown(text)}\n"]
        return Content.assemble(*parts)

    def _ours(self, enquiry: Enquiry) -> Content:
        bird = self.desk.ledger.flock.birds.get(enquiry.bird or "")
        if bird is None:
            return Content("Ours?     not said yet: O shows the birds it fits.\n")
        parts = ", ".join(filter(None, [bird.title, bird.id, str(bird.status)]))
        return Content.assemble(
            ("Ours      ", "$text-secondary bold"),
            (f"{shown(parts)}\n", "bold"),
            ("          "),
            (f"{_SAID[enquiry.contact]}\n", "$text-warning bold"),
            (f"          {_away(bird)}\n" if _away(bird) else ""),
        )

    def action_edit(self) -> None:
        """Correct what was entered."""
        self._correct(self.enquiry)

    def _correct(self, enquiry: Enquiry) -> None:
        from ledger.screens.enquiry_form import EnquiryForm

        self.app.push_screen(EnquiryForm(self.desk, enquiry))

    def action_ours(self) -> None:
        """Say which of our birds it is about."""
        from ledger.screens.our_bird import OurBirdScreen

        self.app.push_screen(OurBirdScreen(self.desk, self.enquiry_id), self._link)

    def _link(self, bird_id: str | None) -> None:
        from ledger.screens.our_bird import NONE_OF_OURS

        if bird_id is None:
            return
        ledger, keeper = self.desk.ledger, self.desk.keeper
        try:
            if bird_id != NONE_OF_OURS:
                enquiry_bird.link_bird(
                    ledger, self.enquiry_id, bird_id, self.desk.today, keeper
                )
                tell(self.app, "C decides whether to make contact.", title="Stored")
            elif self.enquiry.bird is not None:
                enquiry_bird.unlink_bird(ledger, self.enquiry_id, keeper)
        except LedgerError as error:
            tell_trouble(self.app, "Not stored", error)
        self._show()

    def action_contact(self) -> None:
        """Decide whether to be in touch with who asks."""
        from ledger.screens.ask import AskScreen

        if self.enquiry.bird is None:
            tell(self.app, "O says first which of your birds it is.", title="Contact")
            return
        self.app.push_screen(
            AskScreen(
                self.desk,
                "Make contact?",
                f"With {self.enquiry.asker or 'who asks'}. A draft that tells of us is "
                "dropped when the answer is not yes.",
                [(str(contact), words) for contact, words in CONTACT],
            ),
            self._decide,
        )

    def _decide(self, contact: str | None) -> None:
        if contact is None:
            return
        try:
            enquiry_bird.decide_contact(
                self.desk.ledger, self.enquiry_id, Contact(contact), self.desk.keeper
            )
        except LedgerError as error:
            tell_trouble(self.app, "Not stored", error)
        self._show()

    def action_letter(self) -> None:
        """Write the answer."""
        from ledger.screens.letter import LetterScreen

        self.app.push_screen(LetterScreen(self.desk, self.enquiry_id))

    def action_came_back(self) -> None:
        """It is here again."""
        from ledger.screens.enquiry_form import CameBackScreen

        if self.enquiry.bird is None:
            tell(self.app, "O says first which of your birds it is.", title="Came back")
            return
        self.app.push_screen(CameBackScreen(self.desk, self.enquiry_id))

    def action_bird(self) -> None:
        """Everything the ledger holds about our bird."""
        from ledger.screens.bird import BirdScreen

        if self.enquiry.bird is None:
            self.app.bell()
        else:
            self.app.push_screen(BirdScreen(self.desk, self.enquiry.bird))

    def action_guide(self) -> None:
        """How to photograph a ring."""
        from ledger.screens.guide import GuideScreen

        self.app.push_screen(GuideScreen(self.desk))

    def action_read(self) -> None:
        """Read its photos together, then ask whether what was read is right."""
        from ledger.screens.reading import ReadingScreen

        ledger = self.desk.ledger
        photos = [ledger.flock.photos.get(p) for p in self.enquiry.photos]
        paths = [photo_file(ledger, photo) for photo in photos if photo is not None]
        if not paths:
            tell(self.app, "E adds photos by their paths.", title="No photos")
            return
        self.app.push_screen(
            ReadingScreen(self.desk, self.desk.job(paths), f"{len(paths)} photos"),
            self._take,
        )

    def _take(self, reading: Reading | None) -> None:
        if reading is None:
            return
        if not reading.text:
            tell(self.app, "G tells how to photograph it.", title="Nothing was read")
            return
        colour = self.enquiry.colour or reading.colour
        self._correct(replace(self.enquiry, inscription=reading.text, colour=colour))


def _away(bird: Bird) -> str:
    """What a key does about a bird that is not here."""
    if bird.status in (Status.PLACED, Status.LOST):
        return "R enters that it is here again, when it is."
    return ""


def _letter(enquiry: Enquiry) -> str:
    """How far the answer is."""
    if enquiry.answered is not None:
        return f"sent {enquiry.answered}"
    return "a draft is kept" if enquiry.answer else "none yet"
