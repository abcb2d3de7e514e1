"""How the pages of a walk-through look, at the smallest window and at a wide one.

After a wanted change: `pytest tests/screens/test_walk_looks.py --snapshot-update`, then
look at every picture in `__snapshots__` before it is kept.
"""

import pytest
from screen_walk import NOW, LeashedReader, a_store, until
from test_walk_screens import BIRDS

from ledger.app import LedgerApp
from ledger.domain import SeenHow
from ledger.screens.aviary import AviaryScreen
from ledger.screens.round import RoundScreen
from ledger.screens.walk import WalkScreen
from ledger.services import book, walk, walk_plan
from ledger.settings import Settings

SIZES = [(80, 24), (120, 40)]


@pytest.fixture
def store(tmp_path):
    """A round under way: one read, one by sight, one moved, one unknown."""
    folder = a_store(tmp_path / "ledger", BIRDS)
    with book.open_ledger(folder) as ledger:
        walk_plan.begin(ledger, NOW, "Nora Byrne")
        for bird, how, read in (
            ("b0001", SeenHow.TYPED, "74"),
            ("b0003", SeenHow.TYPED, "0203"),
            (None, SeenHow.TYPED, "HAX 55 8816"),
        ):
            walk.see(
                ledger, "w0001", "Aviary 1", NOW, "Nora Byrne",
                bird_id=bird, how=how, read=read,
            )  # fmt: skip
    return folder


PAGES = {
    "walk": (WalkScreen, (), []),
    "aviary": (lambda desk: AviaryScreen(desk, "w0001", 0, "b0002"), (), []),
    "typed": (lambda desk: AviaryScreen(desk, "w0001", 0, "b0002"), (), ["8", "8"]),
    "large": (lambda desk: AviaryScreen(desk, "w0001", 0, "b0002"), ("large",), []),
    "round": (lambda desk: RoundScreen(desk, "w0001"), (), []),
}


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("page", PAGES)
def test_looks(store, snap_compare, page, size):
    made, choices, keys = PAGES[page]
    app = LedgerApp(
        store,
        settings=Settings(keeper="Nora Byrne", large="large" in choices),
        read=LeashedReader(),
        now=lambda: NOW,
    )

    async def go(pilot):
        await until(pilot, lambda: len(app.screen_stack) > 1)
        screen = made(app.screen.desk)
        app.push_screen(screen)
        await until(pilot, lambda: app.screen is screen)
        await pilot.pause()
        await pilot.press(*keys)
        await pilot.pause()

    assert snap_compare(app, terminal_size=size, run_before=go)
