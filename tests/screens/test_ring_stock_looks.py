"""How the ring stock, the order and the sizes look, at the smallest and a wide window.

After a wanted change: `pytest tests/screens/test_ring_stock_looks.py
--snapshot-update`, then look at every picture before it is kept.
"""

import pytest
from screen_walk import NOW, a_store, until
from test_ring_stock_screens import THINGS
from textual.screen import ModalScreen
from textual.widgets import Input

from ledger.app import LedgerApp
from ledger.screens.own_sizes import OwnSizesScreen, SizeDialog
from ledger.screens.ring_order import RingOrderScreen
from ledger.screens.ring_stock import RingStockScreen
from ledger.screens.ring_stock_forms import OutDialog, SeriesDialog
from ledger.settings import Settings

PAGES = {
    "stock": RingStockScreen,
    "order": RingOrderScreen,
    "sizes": OwnSizesScreen,
    "out": lambda desk: OutDialog(desk, "r0001"),
    "series": SeriesDialog,
    "size": SizeDialog,
}


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
@pytest.mark.parametrize("name", PAGES)
def test_page__looks_as_it_was_kept(tmp_path, snap_compare, name, size):
    app = LedgerApp(
        a_store(tmp_path / "ledger", THINGS),
        settings=Settings(keeper="Nora Byrne"),
        now=lambda: NOW,
    )

    async def walk(pilot):
        await until(pilot, lambda: len(app.screen_stack) > 1)
        desk = app.screen.desk
        screen = PAGES[name](desk)
        if isinstance(screen, ModalScreen):  # over the page it is asked on
            app.push_screen(RingStockScreen(desk))
            await pilot.pause()
        app.push_screen(screen)
        await until(pilot, lambda: app.screen is screen)
        await pilot.pause()
        for line in screen.query(Input):
            line.cursor_blink = False
        await pilot.pause()

    assert snap_compare(app, terminal_size=size, run_before=walk)
