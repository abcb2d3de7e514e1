"""Entering and correcting an enquiry; entering that a bird came back by one."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from textual import on
from textual.containers import Vertical
from textual.widgets import Footer

from ledger.errors import LedgerError, RuleError
from ledger.screens.base import Dialog, Page, tell
from ledger.screens.explain import SEAMS
from ledger.screens.form_dialog import FormDialog
from ledger.services import enquiries, enquiry_bird, typed
from ledger.widgets.form import Form, FormLine
from ledger.widgets.words import Words

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from textual.app import ComposeResult

    from ledger.domain.enquiry import Enquiry
    from ledger.screens.desk import Desk

_TEXTS = (
    "asker", "reach", "question", "inscription", "species", "colour", "closure",
)  # fmt: skip
_DATES = "2019, 2019-04, 2019-04-12 or spring 2019."


class EnquiryForm(Dialog[str]):
    """Answers with the id of the enquiry that was stored."""

    def __init__(self, desk: Desk, begun: Enquiry, photos: Sequence[Path] = ()) -> None:
        """A form over a page.

        Args:
            desk: The keeper's.
            begun: What is known already; one with an id is corrected.
            photos: Of its ring; kept with it when it is stored.
        """
        super().__init__(desk)
        self._begun = begun
        self._photos = tuple(photos)
        self._at = "asker"

    def compose(self) -> ComposeResult:
        """Who asks, what they say, the ring."""
        new = not self._begun.id
        with Vertical(classes="dialog"):
            yield Words(
                "Someone asks about a ring" if new else f"Enquiry {self._begun.id}",
                classes="title",
            )
            yield Form(self._lines(), id="form")
            yield Words("", id="trouble", classes="trouble")
            yield Words("Enter stores it. Escape leaves without storing.")
        yield Footer()

    def _lines(self) -> list[FormLine]:
        begun = self._begun
        known = sorted({b.species for b in self.desk.ledger.flock.birds.values()})
        size = f"{begun.size_mm:g}" if begun.size_mm is not None else ""
        names = ", ".join(str(path) for path in self._photos)
        return [
            FormLine("asker", "Who asks", begun.asker, "As they give it."),
            FormLine("reach", "How to reach them", begun.reach),
            FormLine("question", "What they ask", begun.question, "In their words."),
            FormLine("inscription", "Inscription", begun.inscription, "? one not read"),
            FormLine(
                "species",
                "Species, they say",
                begun.species,
                known=tuple(filter(None, known)),
            ),
            FormLine("hatched", "Hatched, they say", str(begun.hatched or ""), _DATES),
            FormLine("size", "Inner diameter in mm", size, "Of the ring, measured."),
            FormLine("colour", "Colour of the ring", begun.colour),
            FormLine("closure", "Seam", begun.closure, choices=SEAMS),
            FormLine(
                "photos", "Photos", names, "Their paths; or drop them on this line."
            ),
            FormLine("on", "When it came", str(begun.on or self.desk.today), _DATES),
        ]

    @on(Form.Submitted)
    def _store(self) -> None:
        form = self.query_one(Form)
        try:
            stored = self._stored(form.entered())
        except LedgerError as error:
            self.query_one("#trouble", Words).say(f"✗ {error} {error.hint}".strip())
            form.go_to(self._at)
            return
        tell(self.app, f"As enquiry {stored}.", title="Stored")
        self.answer(stored)

    def _stored(self, words: dict[str, str]) -> str:
        """Store what stands in the form.

        Raises:
            LedgerError: it cannot be stored so.
        """
        desk = self.desk
        self._at = "photos"
        photos = _paths(words["photos"], self._photos)
        self._at = "on"
        on_day = typed.date(words["on"], desk.today)
        self._at = "hatched"
        hatched = words["hatched"].strip()
        hatched_on = typed.date(hatched, desk.today) if hatched else None
        self._at = "size"
        size_mm = typed.millimetres(words["size"])
        self._at = "asker"
        said: dict[str, Any] = {name: " ".join(words[name].split()) for name in _TEXTS}
        enquiry = replace(
            self._begun, on=on_day, hatched=hatched_on, size_mm=size_mm, **said
        )
        if enquiry.id:
            enquiries.change_enquiry(desk.ledger, enquiry, desk.keeper, photos=photos)
            return enquiry.id
        return enquiries.open_enquiry(
            desk.ledger, enquiry, desk.keeper, photos=photos
        ).id


def _paths(words: str, begun: tuple[Path, ...]) -> tuple[Path, ...]:
    """The photos meant.

    Raises:
        RuleError: there are none at such a path.
    """
    if not words.strip():
        return ()
    if words == ", ".join(str(path) for path in begun):
        return begun
    meaning = typed.understand(words)
    if isinstance(meaning, typed.Photos):
        return meaning.paths
    why = meaning.sentence if isinstance(meaning, typed.Unclear) else ""
    raise RuleError(
        why or "These are no photos.", "Give their paths, or leave it empty."
    )


class CameBackScreen(FormDialog):
    """The bird an enquiry is about is here again."""

    at = "on"

    def __init__(self, desk: Desk, enquiry_id: str) -> None:
        super().__init__(desk)
        self._enquiry_id = enquiry_id

    def title_words(self) -> str:
        """Which bird."""
        flock = self.desk.ledger.flock
        bird = flock.birds[flock.enquiries[self._enquiry_id].bird or ""]
        return f"{bird.title} came back"

    def about_words(self) -> str:
        """What comes before entering it."""
        return (
            "Look at the bird first: species, sex, age, the leg under the ring. "
            "Its placement ends with this, or it is found again. Keep it apart "
            "from the others until an avian vet has seen it."
        )

    def lines(self) -> tuple[FormLine, ...]:
        """Where and when."""
        birds = self.desk.ledger.flock.birds.values()
        places = tuple(sorted({bird.location for bird in birds if bird.location}))
        return (
            FormLine("at", "Where it is now", known=places),
            FormLine("on", "When", str(self.desk.today), _DATES),
        )

    def store(self, words: dict[str, str]) -> None:
        """Enter its return.

        Raises:
            LedgerError: the day is none, or it cannot be stored.
        """
        enquiry_bird.came_back(
            self.desk.ledger,
            self._enquiry_id,
            typed.date(words["on"], self.desk.today),
            self.desk.keeper,
            location=words["at"].strip(),
        )

    def stored_words(self) -> str:
        """Where it stands now."""
        return "It stands on the bird's page."


def enter_enquiry(
    page: Page, desk: Desk, begun: Enquiry, photos: Sequence[Path] = ()
) -> None:
    """Ask for an enquiry over this page, then open it."""

    def open_it(enquiry_id: str | None) -> None:
        if enquiry_id is not None:
            from ledger.screens.enquiry import EnquiryScreen

            page.app.push_screen(EnquiryScreen(desk, enquiry_id))

    page.app.push_screen(EnquiryForm(desk, begun, photos), open_it)
