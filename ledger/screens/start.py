"""The first page: whose ring is it?"""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, ClassVar

from textual import on, work
from textual.binding import Binding
from textual.containers import Horizontal, Vertical
from textual.widgets import Footer

from ledger.errors import LedgerError
from ledger.screens.base import Page, heading, tell, tell_trouble
from ledger.services import draft, flock_list, typed
from ledger.widgets.inbox_list import InboxList
from ledger.widgets.ring_entry import RingEntry
from ledger.widgets.row_list import Column, Row, RowList
from ledger.widgets.words import Words

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from pathlib import Path

    from textual import events
    from textual.app import ComposeResult

    from ledger.domain.flock import Flock
    from ledger.screens.desk import Desk, Job, Report
    from ocr.reading import Reading

_RECENT = 12


class StartScreen(Page):
    """One line takes what one has; below it, new photos and recent birds."""

    HELP_TEXT: ClassVar[str] = """
# Whose ring is it?

Put in what you have and press **Enter**:

- **a photo**: type or paste its path, or drop it on this window. Several photos
  of the same ring, dropped together, are read together.
- **what you can read**: letters and digits; `?` for one you cannot read, `*` for
  any number of them. `TWK 2? 004*` is enough to start. Lines are parted by `/`.
- **a bird's name**.

The line below tells how your words are understood, while you type.

**Photo inbox.** Let your phone copy its photos into a folder and choose it with
F4. New photos appear here by themselves; Tab or Down goes there, Enter reads one.

**Today** (F6) lists all that is due. **Ctrl+R** opens the ring stock: what to order,
which size for whom, and what became of each ring.

**F7** walks you through the aviaries: who is where, who is missing.

**A stranger's ring?** F8 opens the enquiries. G there, and F7 beside a reading, tell
how to photograph a ring: square to it, light from the side, three photos round.

Nothing is stored by looking. You confirm a sighting yourself, on the bird's card.
"""

    BINDINGS = [
        Binding("f2", "camera", "Camera", id="camera", tooltip="Photograph a ring now"),
        Binding("f3", "flock", "Flock", id="flock", tooltip="All birds, and find one"),
        Binding("f4", "inbox", "Inbox", id="inbox", tooltip="Choose the photo inbox"),
        Binding(
            "ctrl+n",
            "nest",
            "Nests",
            id="nest",
            show=False,
            tooltip="Pairs, eggs and chicks, and what is due",
        ),
        Binding(
            "f5",
            "check",
            "Check",
            id="check",
            tooltip="What needs a look in the ledger",
        ),
        Binding("f6", "today", "Today", id="today", tooltip="All that is due"),
        Binding(
            "ctrl+r",
            "rings",
            "Rings",
            id="rings",
            show=False,
            tooltip="The ring stock: order, sizes, what became of each ring",
        ),
        Binding(
            "f7",
            "walk",
            "Walk",
            id="walk",
            show=False,
            tooltip="Walk the aviaries: who is where",
        ),
        Binding(
            "f8",
            "enquiries",
            "Enquiries",
            id="enquiries",
            show=False,
            tooltip="Who asked about a ring",
        ),
        Binding(
            "escape",
            "clear",
            "Clear",
            id="clear",
            show=False,
            tooltip="Empty the line and begin anew",
        ),
    ]

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self._prepared: Flock | None = None

    def compose(self) -> ComposeResult:
        """The line on top, two lists below."""
        yield Words(id="heading")
        yield RingEntry("photo, letters on the ring, or name", id="ring")
        with Horizontal(id="below"):
            with Vertical(id="inbox-side"):
                yield Words(id="inbox-title", classes="title")
                yield InboxList(id="inbox")
            with Vertical(id="recent-side"):
                yield Words("Birds seen lately", classes="title")
                yield RowList(
                    [Column("", 0), Column("", 17)],
                    empty="None yet.",
                    id="recent",
                )
        yield Footer()

    def on_screen_resume(self) -> None:
        """Show the flock as it is now."""
        flock = self.desk.ledger.flock
        if flock is not self._prepared:
            self._prepared = flock
            self._prepare(flock)
        count = len(flock.birds)
        place = "no birds yet" if not count else f"{count:,} birds"
        name = flock.settings.name or "Flock ledger"
        self.query_one("#heading", Words).update(heading(name, self.desk, place))
        self._show_inbox()
        recent = flock_list.seen_lately(flock, self.desk.lately, at_most=_RECENT)
        self.query_one("#recent", RowList).show(
            [Row(line.bird_id, (line.name, line.ring)) for line in recent],
            empty="None yet." if count else "F3 shows how to bring birds in.",
        )

    @work(thread=True, group="preparing", exit_on_error=False)
    def _prepare(self, flock: Flock) -> None:
        """Sort the rings for ranking while the keeper still types."""
        draft.prepare(flock)

    def on_paste(self, event: events.Paste) -> None:
        """What is dropped anywhere on the page goes into the line."""
        self.query_one(RingEntry).take(event.text)

    def action_clear(self) -> None:
        """Empty the line and go back to it."""
        entry = self.query_one(RingEntry)
        entry.clear()
        entry.line.focus()

    @on(RingEntry.Given)
    def _take(self, event: RingEntry.Given) -> None:
        match event.meaning:
            case typed.Photos(paths):
                self.read(paths)
            case typed.Folder():
                self.action_inbox()
            case typed.Fragment(text):
                self._find(text)

    @on(InboxList.Chosen)
    def _read_from_inbox(self, event: InboxList.Chosen) -> None:
        self.read([event.path])

    @on(InboxList.Arrived)
    def _tell_arrival(self, event: InboxList.Arrived) -> None:
        if self.is_current:
            tell(self.app, event.path.name, title="New photo in the inbox")

    @on(RowList.Opened, "#recent")
    def _open_recent(self, event: RowList.Opened) -> None:
        from ledger.screens.card import CardScreen

        self.app.push_screen(CardScreen(self.desk, event.row.key))

    def read(self, paths: Sequence[Path]) -> None:
        """Read a ring, then ask whose it is."""
        what = paths[0].name if len(paths) == 1 else f"{len(paths)} photos of one ring"
        self._run(self.desk.job(paths), what, paths)

    def _run(self, job: Job, what: str, paths: Sequence[Path]) -> None:
        from ledger.screens.reading import ReadingScreen

        self.app.push_screen(
            ReadingScreen(self.desk, job, what), partial(self._identify, paths)
        )

    def _identify(self, paths: Sequence[Path], reading: Reading | None) -> None:
        from ledger.screens.identify import IdentifyScreen

        if reading is not None:
            self.action_clear()
            self.app.push_screen(IdentifyScreen.of_photos(self.desk, reading, paths))

    def _find(self, text: str) -> None:
        """A bird's name opens its card; all else is matched with the rings."""
        from ledger.screens.card import CardScreen
        from ledger.screens.flock import FlockScreen
        from ledger.screens.identify import IdentifyScreen

        named = flock_list.named(self.desk.ledger.flock, text)
        self.action_clear()
        if len(named) == 1:
            self.app.push_screen(CardScreen(self.desk, named[0].id))
        elif named:
            self.app.push_screen(FlockScreen(self.desk, text))
        else:
            self.app.push_screen(IdentifyScreen.of_text(self.desk, text))

    def _show_inbox(self) -> None:
        folder = self.desk.inbox
        said = f"New photos in {folder.name}" if folder else "New photos"
        self.query_one("#inbox-title", Words).update(said)
        inbox = self.query_one(InboxList)
        inbox.follow(folder)
        inbox.refresh_photos()

    def action_inbox(self) -> None:
        """Choose the folder that is watched."""
        from ledger.screens.inbox import InboxScreen

        meaning = self.query_one(RingEntry).meaning
        suggested = meaning.path if isinstance(meaning, typed.Folder) else None
        self.app.push_screen(InboxScreen(self.desk, suggested), self._keep_inbox)

    def _keep_inbox(self, folder: Path | None) -> None:
        if folder is None:
            return
        try:
            self.desk.choose(inbox=str(folder))
        except LedgerError as error:
            tell_trouble(self.app, "Inbox not kept", error)
        self.action_clear()
        self._show_inbox()

    def action_camera(self) -> None:
        """Take a photo with the machine's camera and read it."""
        from ledger.services import camera

        taken: list[Path] = []

        def job(report: Report, cancelled: Callable[[], bool]) -> Reading:
            taken.append(camera.take_photo(self.desk.settings.camera, self.desk.now()))
            return self.desk.read(taken, report=report, cancelled=cancelled)

        self._run(job, "Hold the ring before the camera, still.", taken)

    def action_flock(self) -> None:
        """All birds."""
        from ledger.screens.flock import FlockScreen

        self.app.push_screen(FlockScreen(self.desk))

    def action_today(self) -> None:
        """All that is due."""
        from ledger.screens.today import TodayScreen

        self.app.push_screen(TodayScreen(self.desk))

    def action_walk(self) -> None:
        """A walk-through of the aviaries."""
        from ledger.screens.walk import WalkScreen

        self.app.push_screen(WalkScreen(self.desk))

    def action_nest(self) -> None:
        """Pairs, eggs and chicks."""
        from ledger.screens.nest import NestScreen

        self.app.push_screen(NestScreen(self.desk))

    def action_rings(self) -> None:
        """The ring stock."""
        from ledger.screens.ring_stock import RingStockScreen

        self.app.push_screen(RingStockScreen(self.desk))

    def action_enquiries(self) -> None:
        """Who asked about a ring."""
        from ledger.screens.enquiries import EnquiriesScreen

        self.app.push_screen(EnquiriesScreen(self.desk))

    def action_check(self) -> None:
        """What needs a look in the ledger."""
        from ledger.screens.findings import FindingsScreen

        self.app.push_screen(FindingsScreen(self.desk))
