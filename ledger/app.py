"""The program in the terminal: opens the ledger, then hands over to the pages."""

from __future__ import annotations

import datetime as dt
from contextlib import suppress
from typing import TYPE_CHECKING, Any

from textual.app import App, SystemCommand
from textual.binding import Binding
from textual.events import ScreenResume

from ledger import paths
from ledger.errors import (
    LedgerError,
    StoreDamagedError,
    StoreError,
    StoreInUseError,
    StoreMissingError,
)
from ledger.screens.base import tell_trouble
from ledger.screens.choice import ChoiceScreen
from ledger.screens.desk import Desk
from ledger.settings import Settings, load_settings
from ledger.widgets.commands import KeyCommands
from ledger.widgets.photo_view import prepare
from ledger.widgets.themes import EVENING, MORNING, THEMES
from ledger.widgets.words import Words

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence
    from pathlib import Path

    from textual.app import ComposeResult
    from textual.screen import Screen

    from ledger.screens.desk import Reader, Report
    from ledger.services.book import Ledger
    from ledger.widgets.photo_view import Pictures
    from ocr.reading import Reading

_BACKUP = "backup "
_BACKUPS_OFFERED = 5
_SECONDS_BETWEEN_LOOKS = 2.0
"""How often a window that only reads looks what the other one did."""


class LedgerApp(App[None]):
    """One ledger in one window."""

    TITLE = "Flock ledger"
    CSS_PATH = "ledger.tcss"
    COMMANDS = App.COMMANDS | {KeyCommands}
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (100, "-wide")]
    BINDINGS = [
        Binding(
            "f9",
            "turn_look",
            "Light or dark",
            id="look",
            show=False,
            tooltip="The light look by day, the dark one in the evening",
        ),
    ]

    def __init__(
        self,
        folder: Path,
        *,
        settings: Settings | None = None,
        pictures: Pictures = "blocks",
        read: Reader | None = None,
        now: Callable[[], dt.datetime] | None = None,
        photos: Path | None = None,
    ) -> None:
        """Open nothing yet.

        Args:
            folder: Where the ledger lies.
            settings: The keeper's choices.
            pictures: How pictures are drawn.
            read: Reads rings; None is the program's own reader.
            now: The time where the keeper is.
            photos: Folder of photos to show while no inbox is chosen.
        """
        super().__init__()
        self._folder = folder
        self._settings = settings or Settings()
        self._pictures = pictures
        self._reader = read or read_ring
        self._now = now or (lambda: dt.datetime.now().astimezone())
        self._photos = photos
        self._ledger: Ledger | None = None

    def compose(self) -> ComposeResult:
        """Something to see at once, while the ledger is opened."""
        yield Words("Opening the ledger ...", id="opening")

    def on_mount(self) -> None:
        """Dress, draw, then open."""
        for theme in THEMES:
            self.register_theme(theme)
        names = {theme.name for theme in THEMES}
        chosen = self._settings.theme
        self.theme = chosen if chosen in names else EVENING.name
        self.call_after_refresh(self._open)

    def on_unmount(self) -> None:
        """Let other windows write."""
        self._close()

    def _close(self) -> None:
        if self._ledger is not None:
            self._ledger.close()
            self._ledger = None

    def _open(self, *, read_only: bool = False, create: bool = False) -> None:
        # Not before the first page is drawn: the store's libraries take their time.
        from ledger.services import book

        try:
            self._ledger = book.open_ledger(
                self._folder, read_only=read_only, create=create
            )
        except StoreMissingError:
            self._ask_how_to_begin()
        except StoreError as error:
            self._ask_what_to_do(error)
        else:
            self._begin(self._ledger)

    def _begin(self, ledger: Ledger) -> None:
        from ledger.screens.start import StartScreen
        from ledger.services.keeper import keeper_name

        desk = Desk(
            ledger=ledger,
            now=self._now,
            keeper=keeper_name(ledger.flock, self._settings),
            read=self._reader,
            settings=self._settings,
            pictures="blocks" if self.is_web else self._pictures,
            photos=self._photos,
        )
        self.push_screen(StartScreen(desk))
        for notice in ledger.notices:
            self.notify(notice, title="The ledger's files", markup=False, timeout=30)
        if ledger.read_only:
            self.set_interval(_SECONDS_BETWEEN_LOOKS, self._follow)

    def _follow(self) -> None:
        """Show what the window that holds the ledger did since."""
        ledger = self._ledger
        if ledger is None:
            return
        before = ledger.flock
        with suppress(StoreError):  # the other window may be in the middle of it
            if ledger.reload() is not before:
                self.screen.post_message(ScreenResume())

    def _ask_how_to_begin(self) -> None:
        self.push_screen(
            ChoiceScreen(
                "Welcome",
                f"There is no ledger in {self._folder} yet.",
                [
                    ("demo", "Look round with the demo flock, an invented one"),
                    ("empty", "Begin an empty flock here"),
                    ("leave", "Leave"),
                ],
            ),
            self._follow_choice,
        )

    def _ask_what_to_do(self, error: StoreError) -> None:
        answers = [("again", "Try again"), ("leave", "Leave")]
        if isinstance(error, StoreInUseError):
            answers.insert(0, ("read-only", "Open it here to read only"))
        elif isinstance(error, StoreDamagedError):
            from ledger.services import backups

            known = backups.all_of(self._folder)[:_BACKUPS_OFFERED]
            answers[1:1] = [
                (f"{_BACKUP}{each.name}", f"Go back to {each.name}; keep what is here")
                for each in known
            ]
        self.push_screen(
            ChoiceScreen(str(error), error.hint, answers, is_trouble=True),
            self._follow_choice,
        )

    def _follow_choice(self, choice: str | None) -> None:
        match choice:
            case "demo":
                self._open_demo()
            case "empty":
                self._open(create=True)
            case "read-only":
                self._open(read_only=True)
            case "again":
                self._open()
            case str() if choice.startswith(_BACKUP):
                self._go_back_to(choice.removeprefix(_BACKUP))
            case _:
                self.exit()

    def _go_back_to(self, name: str) -> None:
        """Lay a backup in the place of a damaged ledger, whose files are kept."""
        from ledger.services import backups

        try:
            chosen = backups.find(self._folder, name)
            backups.lay_back(self._folder, chosen.path)
        except StoreError as error:
            self._ask_what_to_do(error)
        except LedgerError as error:
            tell_trouble(self, "Backup not laid back", error)
            self._open()
        else:
            self._open()

    def _open_demo(self) -> None:
        from ledger.services import demo

        try:
            self._folder = demo.private_copy(paths.demo_folder())
            self._photos = demo.demo_photos()[0].parent
            self._now = demo.now
        except LedgerError as error:
            tell_trouble(self, "No demo flock", error)
            self._ask_how_to_begin()
            return
        self._open()

    @property
    def fault(self) -> Exception | None:
        """What stopped the program, if the keeper did not."""
        return self._exception

    def _fatal_error(self) -> None:
        """Leave without a word: whoever called `run` keeps the fault and tells it."""
        self._close_messages_no_wait()

    def action_turn_look(self) -> None:
        """Light or dark, and remember it."""
        theme = MORNING if self.theme == EVENING.name else EVENING
        self.theme = theme.name
        for screen in self.screen_stack:
            desk = getattr(screen, "desk", None)
            if isinstance(desk, Desk):
                try:
                    desk.choose(theme=theme.name)
                except LedgerError as error:
                    tell_trouble(self, "Look not kept", error)
                return

    def get_system_commands(self, screen: Screen[Any]) -> Iterable[SystemCommand]:
        """The palette lists every key; besides those what concerns the whole ledger."""
        desk = getattr(screen, "desk", None)
        if isinstance(desk, Desk):
            yield from self._care_of_the_ledger(desk)
        yield SystemCommand("Leave", "Close the program (Ctrl+Q)", self.action_quit)

    def _care_of_the_ledger(self, desk: Desk) -> Iterable[SystemCommand]:
        from ledger.screens.backups import BackupsScreen
        from ledger.screens.changes import ChangesScreen

        yield SystemCommand(
            "What was done",
            "Every change to the ledger, and taking it back",
            lambda: self.push_screen(ChangesScreen(desk)),
        )
        yield SystemCommand(
            "Backups of the ledger",
            "Make one, or go back to one",
            lambda: self.push_screen(BackupsScreen(desk)),
        )


def read_ring(
    paths: Sequence[Path], *, report: Report, cancelled: Callable[[], bool]
) -> Reading:
    """Read a ring; the reader is loaded only when it is needed.

    Raises:
        ReadingError: a photo cannot be read.
    """
    from ledger.services import ring_reading

    return ring_reading.read(paths, report=report, cancelled=cancelled)


def run(
    folder: Path,
    *,
    photos: Path | None = None,
    now: Callable[[], dt.datetime] | None = None,
    headless: bool = False,
) -> None:
    """Open the ledger in this folder in the terminal, until the keeper leaves.

    Args:
        folder: Where the ledger lies.
        photos: Folder of photos to show while no inbox is chosen.
        now: The time where the keeper is; the demo has a day of its own.
        headless: Draw nothing; for tests.

    Raises:
        LedgerError: the keeper's settings cannot be read.
        Exception: a fault of the program; what was not confirmed is not stored.
    """
    settings = load_settings()
    pictures = prepare(settings.pictures)
    app = LedgerApp(
        folder, settings=settings, pictures=pictures, photos=photos, now=now
    )
    app.run(headless=headless)
    if app.fault is not None:
        raise app.fault
