"""Photos taken in an aviary: a folder is read, sorted by ring, and gone through."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from textual import on, work
from textual.binding import Binding
from textual.containers import Vertical
from textual.message import Message
from textual.widgets import Footer, Input, ProgressBar
from textual.worker import Worker, WorkerState, get_current_worker

from ledger.errors import LedgerError
from ledger.screens.base import HELP_LETTER, Dialog, Page, heading, tell_trouble
from ledger.screens.taking import Taking
from ledger.services import photo_folder, photo_groups, typed, walk_find
from ledger.services.walk_find import Standing
from ledger.widgets.row_list import Column, Row, RowList
from ledger.widgets.words import Words

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from textual import events
    from textual.app import ComposeResult

    from ledger.domain.walk import Sighting
    from ledger.screens.desk import Desk
    from ledger.services.photo_folder import PhotoRead, Progress
    from ledger.services.photo_groups import Group, Grouped
    from ledger.services.walk_find import Found
    from ocr import Reading


def ask_for_photos(page: Page, walk_id: str, stop: int) -> None:
    """Ask which photos, then read them."""

    def read(paths: list[Path] | None) -> None:
        if paths:
            page.app.push_screen(PhotosScreen(page.desk, walk_id, stop, paths))

    page.app.push_screen(PhotosOfScreen(page.desk), read)


class PhotosOfScreen(Dialog[list[Path]]):
    """Answers with the photos of a folder, or with those that were named."""

    def compose(self) -> ComposeResult:
        """One line, the inbox in it."""
        with Vertical(classes="dialog"):
            yield Words("Photos of this aviary", classes="title")
            yield Words(
                "A folder, or photos. They are read and sorted by ring; nothing is "
                "stored before you say so."
            )
            yield Input(str(self.desk.inbox or ""), id="folder")
            yield Words("", id="trouble", classes="trouble")
            yield Words("Enter reads them.")
        yield Footer()

    def on_paste(self, event: events.Paste) -> None:
        """A folder dropped here."""
        self.query_one(Input).value = event.text.strip()

    @on(Input.Submitted)
    def _take(self, event: Input.Submitted) -> None:
        match typed.understand(event.value):
            case typed.Folder(path):
                wanted: Sequence[Path] = [path]
            case typed.Photos(paths):
                wanted = paths
            case _:
                wanted = [Path(event.value.strip() or "?")]
        try:
            self.answer(photo_folder.photos_in(wanted))
        except LedgerError as error:
            self.query_one("#trouble", Words).say(f"✗ {error} {error.hint}")


@dataclass(frozen=True)
class _Sorted:
    """One group, and what it says at this aviary."""

    group: Group
    found: Found
    verdict: str
    taken: str = ""
    """What was stored of it."""

    @property
    def is_plain(self) -> bool:
        """A sure reading of a bird that is expected here."""
        fits = self.found.fits
        return (
            self.verdict == "sure"
            and bool(fits)
            and fits[0].standing is Standing.EXPECTED
        )


class PhotosScreen(Page):
    """First the reading, in stages; then one row for each ring."""

    HELP_TEXT: ClassVar[str] = """
# Photos of an aviary

Every photo is read by itself; photos of one ring are put together and read as one.

**Enter** stores the marked ring's bird as seen, with its photos; what is odd is asked
first. **A** stores every bird that is read for certain and expected here. Photos
without a ring, with nothing legible, and copies are set apart and told below.

**Escape** stops the reading; what was read until then is sorted.
"""

    BINDINGS = [
        Binding(
            "a", "take_all", "All sure", id="photos.all", tooltip="Store all sure birds"
        ),
        HELP_LETTER,
    ]

    @dataclass
    class Read(Message):
        """One more photo was read."""

        progress: Progress

        def can_replace(self, message: Message) -> bool:
            """Only the newest is worth drawing."""
            return isinstance(message, PhotosScreen.Read)

    @dataclass
    class Done(Message):
        """All are read and sorted."""

        sorted: list[_Sorted]
        grouped: Grouped

    def __init__(
        self, desk: Desk, walk_id: str, stop: int, paths: Sequence[Path]
    ) -> None:
        super().__init__(desk)
        self._walk_id = walk_id
        self._place = stop
        self._paths = list(paths)
        self._sorted: list[_Sorted] = []
        self._reading: Worker[None] | None = None
        self._stopped = False

    def compose(self) -> ComposeResult:
        """Progress, then the rings."""
        yield Words(id="heading")
        yield Words("", id="stage")
        yield ProgressBar(total=len(self._paths), show_eta=True, id="progress")
        yield RowList(
            [Column("", 1), Column("photos", 8), Column("ring", 24), Column("bird", 0)],
            id="rings",
        )
        yield Words("", id="said")
        yield Footer()

    def on_mount(self) -> None:
        """Begin to read."""
        aviary = self.desk.ledger.flock.walks[self._walk_id].stops[self._place].aviary
        self.query_one("#heading", Words).update(
            heading(f"Photos, {aviary}", self.desk, f"{len(self._paths)} photos")
        )
        self.query_one(RowList).focus()
        self.query_one("#stage", Words).say("Reading photos. Escape stops.")
        self._reading = self._read()

    @work(thread=True, exclusive=True, group="photos", exit_on_error=False)
    def _read(self) -> None:
        stop = get_current_worker().cancelled_event.is_set
        flock = self.desk.ledger.flock

        def cancelled() -> bool:
            return stop() or self._stopped

        def one(paths: Sequence[Path], given_up: Callable[[], bool]) -> Reading:
            return self.desk.read(paths, report=_say_nothing, cancelled=given_up)

        def report(progress: Progress) -> None:
            self.post_message(self.Read(progress))

        photos: list[PhotoRead] = photo_folder.read_each(
            self._paths, report, cancelled, one
        )
        expected = walk_find.expectation(flock, self._walk_id, self._place)
        grouped = photo_groups.group(flock, photos, expected)
        found = [
            _Sorted(
                group,
                *walk_find.by_photos(flock, self._walk_id, self._place, group.reading),
            )
            for group in grouped.groups
        ]
        if not stop():
            self.post_message(self.Done(found, grouped))

    @on(Read)
    def _show_progress(self, message: Read) -> None:
        progress = message.progress
        self.query_one(ProgressBar).update(progress=progress.done)
        if not self._stopped:
            self.query_one("#stage", Words).say(
                f"Reading photo {progress.done} of {progress.of}: {progress.name}. "
                "Escape stops."
            )

    @on(Done)
    def _show_rings(self, message: Done) -> None:
        self._reading = None
        self.query_one(ProgressBar).display = False
        n_rings = len(message.grouped.groups)
        self.query_one("#stage", Words).say(
            f"{n_rings} rings. {message.grouped.set_apart}".strip()
        )
        self._sorted = message.sorted
        self._show()

    @on(Worker.StateChanged)
    def _explain_failure(self, event: Worker.StateChanged) -> None:
        if event.state is not WorkerState.ERROR:
            return
        self._reading = None
        error = event.worker.error
        if isinstance(error, LedgerError):
            tell_trouble(self.app, "Photos not read", error)
            self.query_one("#stage", Words).say(f"{error} {error.hint}".strip())
        elif error is not None and self.is_current:
            raise error  # a fault of the program: never hidden

    def _show(self) -> None:
        rows = []
        for number, each in enumerate(self._sorted):
            sign = "✓" if each.taken else "·" if each.is_plain else "?"
            cells = (sign, str(len(each.group.photos)), each.found.read, _said(each))
            tone = "muted" if each.taken else "" if each.is_plain else "alert"
            rows.append(Row(str(number), cells, tone))
        self.query_one(RowList).show(rows, empty="No ring was found.")

    @on(RowList.Moved)
    def _explain(self, event: RowList.Moved) -> None:
        each = self._sorted[int(event.row.key)]
        names = ", ".join(photo.path.name for photo in each.group.photos)
        self.query_one("#said", Words).say(f"{names}. {each.found.said}".strip())

    @on(RowList.Opened)
    def _open(self, event: RowList.Opened) -> None:
        self._take(int(event.row.key))

    def _take(self, number: int) -> None:
        each = self._sorted[number]
        if each.taken:
            return
        aviary = self.desk.ledger.flock.walks[self._walk_id].stops[self._place].aviary
        taking = Taking(
            self.app,
            self.desk,
            self._walk_id,
            aviary,
            partial(self._taken, number),
            photos=[photo.path for photo in each.group.photos],
        )
        # Who is expected may have changed since the photos were read.
        found, verdict = walk_find.by_photos(
            self.desk.ledger.flock, self._walk_id, self._place, each.group.reading
        )
        if found.fits and verdict != "unknown ring":
            taking.take_one_of(found)
        else:
            taking.take_stranger(found)

    def _taken(self, number: int, sighting: Sighting) -> None:
        from dataclasses import replace

        bird = self.desk.ledger.flock.birds.get(sighting.bird or "")
        said = bird.title if bird else "unknown ring"
        self._sorted[number] = replace(self._sorted[number], taken=f"stored: {said}")
        self._show()
        self.query_one(RowList).cursor += 1

    def action_take_all(self) -> None:
        """Store every bird that is read for certain and expected here."""
        for number, each in enumerate(self._sorted):
            if each.is_plain:
                self._take(number)

    def action_back(self) -> None:
        """Stop reading, or go back."""
        if self._reading is not None and not self._stopped:
            self._stopped = True
            self.query_one("#stage", Words).say("Stopping; sorting what was read ...")
        else:
            super().action_back()


def _said(each: _Sorted) -> str:
    """What a row says of its ring."""
    if each.taken:
        return each.taken
    fits = each.found.fits
    if not fits:
        return "unknown ring"
    names = " or ".join(fit.name for fit in fits[:3])
    more = " or others" if len(fits) > 3 else ""
    return f"{names}{more}: {each.verdict}, {fits[0].standing.value}"


def _say_nothing(_stage: object, _detail: str) -> None:
    """One photo's own stages are too quick to follow."""
