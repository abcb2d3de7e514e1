"""Whose ring is it: the unrolled ring, its characters, and the birds it fits."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from textual import on, work
from textual.binding import Binding
from textual.content import Content
from textual.message import Message
from textual.widgets import Footer
from textual.worker import Worker, WorkerState

from ledger.screens.base import Page, heading, tell
from ledger.screens.identify_words import (
    HELP,
    VERDICTS,
    caution_in_words,
    row_of,
    sign_in_words,
    verdict_in_words,
    why_in_words,
    why_none,
)
from ledger.services import draft as drafts
from ledger.services import typed
from ledger.services.sighting import Sighting
from ledger.widgets.inscription import Inscription
from ledger.widgets.photo_view import PhotoView
from ledger.widgets.row_list import Column, RowList
from ledger.widgets.words import Words

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from textual import events
    from textual.app import ComposeResult

    from ledger.screens.desk import Desk
    from ledger.services.draft import Draft
    from ledger.services.identify import Identification
    from ocr.reading import Reading


class IdentifyScreen(Page):
    """Correct what was read; the birds are ranked anew at every key."""

    HELP_TEXT: ClassVar[str] = HELP

    BINDINGS = [
        Binding(
            "f2", "add", "Add photo", id="add", tooltip="One more photo of this ring"
        ),
        Binding(
            "f3", "zoom", "Picture", id="picture", tooltip="The unrolled ring, large"
        ),
        Binding(
            "f4", "explain", "Explain", id="explain", tooltip="What this ring tells"
        ),
        Binding("f7", "guide", "Guide", id="guide", tooltip="How to photograph a ring"),
        Binding(
            "f6",
            "as_read",
            "As read",
            id="as-read",
            show=False,
            tooltip="Take back all corrections",
        ),
    ]

    @dataclass
    class Ranked(Message):
        """The matcher has answered for this draft."""

        draft: Draft
        found: Identification

        def can_replace(self, message: Message) -> bool:
            """Only the newest answer counts."""
            return isinstance(message, IdentifyScreen.Ranked)

    def __init__(
        self,
        desk: Desk,
        draft: Draft,
        reading: Reading | None = None,
        photos: Sequence[Path] = (),
    ) -> None:
        super().__init__(desk)
        self._read_draft = draft
        self._reading = reading
        self._photos = tuple(photos)
        self._found: Identification | None = None

    @classmethod
    def of_photos(
        cls, desk: Desk, reading: Reading, photos: Sequence[Path]
    ) -> IdentifyScreen:
        """Begin with what photos showed."""
        return cls(desk, drafts.of_reading(reading), reading, photos)

    @classmethod
    def of_text(cls, desk: Desk, text: str) -> IdentifyScreen:
        """Begin with what the keeper typed."""
        return cls(desk, drafts.of_text(text))

    def compose(self) -> ComposeResult:
        """Ring, characters, verdict, birds."""
        yield Words(id="heading")
        yield PhotoView(self.desk.pictures, id="strips")
        yield Inscription(id="inscription")
        yield Words(id="character")
        yield Words(id="verdict")
        yield Words(id="look-next")
        yield Words(id="doubts")
        yield RowList(
            [
                Column("chance", 6, to_the_right=True),
                Column("", 10, at_least=100),
                Column("bird", 12),
                Column("ring", 25),
                Column("species", 0),
                Column("where", 15, at_least=100),
            ],
            empty="No bird of the flock fits.",
            id="birds",
        )
        yield Words("", id="why")
        yield Footer()

    async def on_mount(self) -> None:
        """Show the ring; the cursor waits at the character to check first."""
        await self._show_photos()
        draft = self._read_draft
        editor = self.query_one(Inscription)
        editor.show(draft, draft.first_to_check())
        editor.focus()
        self._rank(draft)

    async def _show_photos(self) -> None:
        reading = self._reading
        names = ", ".join(path.name for path in self._photos)
        self.query_one("#heading", Words).update(
            heading("Whose ring is it?", self.desk, names)
        )
        photos = reading.photos if reading else ()
        instead = ""
        if reading and not reading.ring_found:
            instead = f"No ring found in {names or 'the photo'}."
        await self.query_one(PhotoView).show(
            [photo.strip for photo in photos if photo.strip is not None], instead
        )

    def on_screen_resume(self) -> None:
        """The flock may have changed."""
        if self._found is not None:
            self._rank(self.query_one(Inscription).draft)

    @on(Inscription.Changed)
    def _rank_again(self, event: Inscription.Changed) -> None:
        self._rank(event.draft)

    @work(thread=True, exclusive=True, group="ranking", exit_on_error=False)
    def _rank(self, draft: Draft) -> None:
        found = drafts.identify(self.desk.ledger.flock, draft, self._reading)
        self.post_message(self.Ranked(draft, found))

    @on(Worker.StateChanged)
    def _never_hide_a_fault(self, event: Worker.StateChanged) -> None:
        if event.state is WorkerState.ERROR and event.worker.error is not None:
            raise event.worker.error

    @on(Ranked)
    def _show_birds(self, event: Ranked) -> None:
        if event.draft != self.query_one(Inscription).draft:
            return  # a later key has its own answer on the way
        first = self._found is None
        found = self._found = event.found
        word, colour = VERDICTS[found.verdict]
        self.query_one("#verdict", Words).say(
            Content.assemble((word, f"{colour} bold"), verdict_in_words(found))
        )
        look = f"Look next: {found.look_next}" if found.look_next else ""
        self.query_one("#look-next", Words).say(look)
        doubts = self._reading.doubts if self._reading else ()
        self.query_one("#doubts", Words).say("\n".join(f"· {d}" for d in doubts))
        birds = self.query_one("#birds", RowList)
        flock = self.desk.ledger.flock
        rows = [row_of(candidate, flock) for candidate in found.candidates]
        birds.show(rows, empty=why_none(found))
        self._explain_bird()
        if first and found.verdict == "sure":
            birds.focus()

    @on(Inscription.Moved)
    def _explain_character(self, event: Inscription.Moved) -> None:
        self.query_one("#character", Words).update(
            Content.styled(sign_in_words(event.place, event.sign), "$text-muted")
        )

    @on(RowList.Moved, "#birds")
    def _explain_bird(self) -> None:
        """Why this bird, in a sentence: the list has no room for it."""
        at = self.query_one("#birds", RowList).cursor
        found = self._found
        candidates = found.candidates if found else ()
        self.query_one("#why", Words).say(
            why_in_words(candidates[at], self.desk.ledger.flock)
            if at < len(candidates)
            else ""
        )

    @on(Inscription.Accepted)
    def _go_to_birds(self) -> None:
        self.query_one("#birds", RowList).focus()

    @on(RowList.Opened, "#birds")
    def _open_card(self) -> None:
        from ledger.screens.card import CardScreen

        birds = self.query_one("#birds", RowList)
        found = self._found
        if found is None or not found.candidates:
            return
        candidate = found.candidates[birds.cursor]
        if candidate.bird is None:
            tell(self.app, candidate.why, title="This ring is on no bird")
            return
        seen = Sighting(
            candidate.bird,
            candidate.ring_id or None,
            self.query_one(Inscription).draft.text,
            self._photos,
            caution_in_words(found, candidate),
        )
        self.app.push_screen(CardScreen(self.desk, candidate.bird, seen))

    def action_add(self) -> None:
        """Ask for one more photo of this ring."""
        from ledger.screens.add_photo import AddPhotoScreen

        self.app.push_screen(AddPhotoScreen(self.desk), self._add)

    def on_paste(self, event: events.Paste) -> None:
        """A photo dropped on the page is one more of this ring."""
        meaning = typed.understand(event.text)
        if isinstance(meaning, typed.Photos):
            self._add(meaning.paths)

    def _add(self, paths: Sequence[Path] | None) -> None:
        """Read all photos together, the new ones included."""
        from ledger.screens.reading import ReadingScreen

        if not paths:
            return
        together = tuple(dict.fromkeys([*self._photos, *paths]))
        what = (
            f"{len(together)} photos of one ring"
            if len(together) > 1
            else together[0].name
        )
        self.app.push_screen(
            ReadingScreen(self.desk, self.desk.job(together), what),
            partial(self._take_joined, together),
        )

    async def _take_joined(
        self, photos: tuple[Path, ...], reading: Reading | None
    ) -> None:
        if reading is None:
            return
        if self.query_one(Inscription).draft != self._read_draft:
            tell(
                self.app,
                "Your corrections were made to the photos before. Look at the "
                "characters again.",
                title="Read anew, with the new photo",
            )
        self._reading = reading
        self._photos = photos
        self._read_draft = drafts.of_reading(reading)
        await self._show_photos()
        self.action_as_read()

    def action_as_read(self) -> None:
        """Take back all corrections."""
        draft = self._read_draft
        editor = self.query_one(Inscription)
        editor.show(draft, draft.first_to_check())
        self._rank(draft)

    def action_zoom(self) -> None:
        """The unrolled ring over the whole window."""
        from ledger.screens.picture import PictureScreen

        strips = self.query_one(PhotoView).strips
        if strips:
            self.app.push_screen(PictureScreen(self.desk, strips))
        else:
            self.app.bell()

    def action_explain(self) -> None:
        """What this ring tells, whoever wears it."""
        from ledger.screens.explain import ExplainScreen

        draft = self.query_one(Inscription).draft
        self.app.push_screen(
            ExplainScreen.of_draft(self.desk, draft, self._reading, self._photos)
        )

    def action_guide(self) -> None:
        """How to photograph a ring."""
        from ledger.screens.guide import GuideScreen

        self.app.push_screen(GuideScreen(self.desk))
