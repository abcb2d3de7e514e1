"""How the pages look, at the smallest window and at a wide one.

After a wanted change: `pytest tests/screens/test_looks.py --snapshot-update`, then
look at every picture in `__snapshots__` before it is kept.
"""

import pytest
from screen_walk import (
    NOW,
    PIPS_RING,
    LeashedReader,
    a_reading,
    a_store,
    arrive,
    until,
    words,
)
from textual.widgets import Input

from ledger.app import LedgerApp
from ledger.screens.bird import BirdScreen
from ledger.screens.card import CardScreen
from ledger.screens.flock import FlockScreen
from ledger.screens.identify import IdentifyScreen
from ledger.screens.note import NoteScreen
from ledger.screens.reading import ReadingScreen
from ledger.services import draft
from ledger.services.identify import Candidate, Identification
from ledger.services.sighting import Sighting
from ledger.settings import Settings
from ledger.store import open_store

SIZES = [(80, 24), (120, 40)]
FOUND = Identification(
    "unsure",
    (
        Candidate("b0003", "IE TWK / 19 0174", 0.64, "reads so", "r0003", "Pip"),
        Candidate("b0004", "IE TWK / 19 0179", 0.35, "the 9", "r0004", "Juno"),
    ),
    "read the last digit again: 4 is Pip, 9 is Juno",
)
NOTHING = Identification("no ring", (), "")


@pytest.fixture
def store(tmp_path):
    return a_store(tmp_path / "ledger")


@pytest.fixture
def look(store, snap_compare, monkeypatch):
    """Compare a page with the picture that was kept of it."""
    # What the matcher finds has tests of its own; here it only has to be drawn.
    monkeypatch.setattr(
        draft,
        "identify",
        lambda flock, drawn, reading: NOTHING if drawn.is_empty else FOUND,
    )

    def compare(size, page=None, *, theme="evening", folder=store):
        reader = LeashedReader()
        reader.gate.clear()
        app = LedgerApp(
            folder,
            settings=Settings(keeper="Nora Byrne", theme=theme),
            read=reader,
            now=lambda: NOW,
        )

        async def walk(pilot):
            await until(pilot, lambda: len(app.screen_stack) > 1)
            if page is not None:
                screen = page(app.screen.desk)
                app.push_screen(screen)
                await until(pilot, lambda: app.screen is screen)
                await pilot.pause()
            if isinstance(app.screen, IdentifyScreen):
                await until(pilot, lambda: bool(words(pilot, "#verdict")))
            if isinstance(app.screen, ReadingScreen):
                await until(pilot, lambda: bool(words(pilot, "#stage")))
            for line in app.screen.query(Input):
                line.cursor_blink = False
            await pilot.pause()
            reader.gate.set()

        return snap_compare(app, terminal_size=size, run_before=walk)

    return compare


@pytest.mark.parametrize("size", SIZES)
class TestPages:
    def test_start(self, look, size):
        assert look(size)

    def test_identify(self, look, size):
        assert look(size, lambda d: IdentifyScreen.of_photos(d, PIPS_RING, []))

    def test_identify__no_ring(self, look, size):
        nothing = a_reading(found=False)
        assert look(size, lambda d: IdentifyScreen.of_photos(d, nothing, []))

    def test_card__asks(self, look, size):
        seen = Sighting("b0003", "r0003", "IE TWK / 19 017?")
        assert look(size, lambda desk: CardScreen(desk, "b0003", seen))

    def test_bird(self, look, size):
        assert look(size, lambda desk: BirdScreen(desk, "b0003"))

    def test_flock(self, look, size):
        assert look(size, lambda desk: FlockScreen(desk))

    def test_flock__none_fits(self, look, size):
        assert look(size, lambda desk: FlockScreen(desk, "no such bird"))

    def test_flock__empty(self, look, size, tmp_path):
        empty = a_store(tmp_path / "empty", [])
        assert look(size, lambda desk: FlockScreen(desk), folder=empty)

    def test_note(self, look, size):
        assert look(size, lambda desk: NoteScreen(desk, "b0003"))


def test_identify__in_the_morning(look):
    page = lambda desk: IdentifyScreen.of_photos(desk, PIPS_RING, [])  # noqa: E731
    assert look((80, 24), page, theme="morning")


def test_identify__without_colour(look, monkeypatch):
    monkeypatch.setenv("NO_COLOR", "1")
    page = lambda desk: IdentifyScreen.of_photos(desk, PIPS_RING, [])  # noqa: E731
    assert look((80, 24), page)


async def test_in_use__is_asked_plainly(store):
    with open_store(store):
        app = LedgerApp(store, now=lambda: NOW)
        async with app.run_test(size=(80, 24)) as pilot:
            await arrive(pilot, "ChoiceScreen")
            answers = [row.cells[0] for row in app.screen.query_one("#answers").rows]
            assert answers == ["Open it here to read only", "Try again", "Leave"]
