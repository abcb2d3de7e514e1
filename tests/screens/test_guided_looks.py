"""How the acts in steps and their papers look.

After a wanted change: `pytest tests/screens/test_guided_looks.py --snapshot-update`,
then look at every picture before it is kept.
"""

import pytest
from builders import a_bird, a_person, a_ring
from screen_walk import NOW, a_store, until, words
from textual.widgets import Input

from ledger.app import LedgerApp
from ledger.domain import FlockSettings
from ledger.screens.guided import GuidedScreen
from ledger.screens.paper import PaperScreen
from ledger.screens.placement import PlacementScreen
from ledger.screens.removal import RemovalScreen
from ledger.settings import Settings
from ledger.widgets.form import Form

SIZES = [(80, 24), (120, 40)]
FLOCK = (
    FlockSettings(name="Tidewrack Aviaries", keeper="h0002", vet="h0001"),
    a_person("h0001", "Una Keogh", role="vet", phone="+353 1 555 0100"),
    a_person("h0002", "Nora Byrne", role="keeper", phone="+353 1 555 0101"),
    a_bird("b0003", "Pip", hatched="2019", species="Psittacus erithacus"),
    a_ring("r0001", "IE TWK / 19 0174", bird="b0003", put_on="2019"),
)
TYPED = {"reason": "leg swollen", "weight": "95", "chip": "0123456789"}


@pytest.fixture
def look(tmp_path, snap_compare):
    """Compare a page, some steps on, with the picture that was kept of it."""
    app = LedgerApp(
        a_store(tmp_path / "ledger", FLOCK),
        settings=Settings(keeper="Nora Byrne"),
        now=lambda: NOW,
    )

    def compare(size, page, steps=0):
        async def walk(pilot):
            await until(pilot, lambda: len(app.screen_stack) > 1)
            screen = page(app.screen.desk)
            app.push_screen(screen)
            await until(pilot, lambda: app.screen is screen)
            await pilot.pause()
            for number in range(1, steps + 2):
                if isinstance(screen, GuidedScreen):
                    here = f"{number} of"
                    await until(pilot, lambda h=here: h in words(pilot, "#step"))
                    form = screen.query_one(Form)
                    for name, value in TYPED.items():
                        if name in form.entered():
                            form.put(name, value)
                    await pilot.pause()
                if number <= steps:
                    await pilot.press("enter")
            for line in app.screen.query(Input):
                line.cursor_blink = False
            await pilot.pause()

        return snap_compare(app, terminal_size=size, run_before=walk)

    return compare


@pytest.mark.parametrize("size", SIZES)
class TestGuided:
    def test_removal__first(self, look, size):
        assert look(size, lambda desk: RemovalScreen(desk, "b0003"))

    def test_removal__chip(self, look, size):
        assert look(size, lambda desk: RemovalScreen(desk, "b0003"), steps=4)

    def test_placement(self, look, size):
        assert look(size, lambda desk: PlacementScreen(desk, "b0003"))

    def test_paper(self, look, size):
        assert look(size, lambda desk: PaperScreen(desk, "b0003"))
