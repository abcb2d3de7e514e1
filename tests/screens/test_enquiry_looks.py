"""How the pages about a stranger's ring look, small and wide.

After a wanted change: `pytest tests/screens/test_enquiry_looks.py --snapshot-update`,
then look at every picture in `__snapshots__` before it is kept.
"""

import pytest
from builders import a_date
from screen_walk import FLOCK, NOW, LeashedReader, a_store, until

from ledger.app import LedgerApp
from ledger.domain import Contact, Enquiry
from ledger.screens.enquiries import EnquiriesScreen
from ledger.screens.enquiry import EnquiryScreen
from ledger.screens.enquiry_form import EnquiryForm
from ledger.screens.explain import ExplainScreen
from ledger.screens.guide import GuideScreen
from ledger.screens.letter import LetterScreen
from ledger.screens.our_bird import OurBirdScreen
from ledger.settings import Settings

ENQUIRIES = (
    Enquiry(
        "q0001",
        a_date("2026-01-10"),
        "Orla Fenn",
        "orla@example.org",
        "Whose is it? It sits on my roof.",
        "IE TWK 19 0174",
        species="Grey Parrot",
        hatched=a_date("2020"),
        size_mm=11.5,
        bird="b0003",
    ),
    Enquiry(
        "q0002",
        a_date("2025-11"),
        "A rescue",
        inscription="FAB 123",
        contact=Contact.NO,
        answered=a_date("2025-12"),
    ),
    Enquiry("q0003", a_date("2026-01-14"), "Žofie Nováková", inscription="NL 0123456"),
)
PAGES = {
    "explain": lambda desk: ExplainScreen(desk, "B 2,0 G 11 1234"),
    "enquiries": EnquiriesScreen,
    "enquiry": lambda desk: EnquiryScreen(desk, "q0001"),
    "form": lambda desk: EnquiryForm(desk, desk.ledger.flock.enquiries["q0001"]),
    "ours": lambda desk: OurBirdScreen(desk, "q0001"),
    "letter": lambda desk: LetterScreen(desk, "q0003"),
    "guide": GuideScreen,
}


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
@pytest.mark.parametrize("name", PAGES)
def test_page(snap_compare, tmp_path, name, size):
    app = LedgerApp(
        a_store(tmp_path / "ledger", (*FLOCK, *ENQUIRIES)),
        settings=Settings(keeper="Nora Byrne", theme="evening"),
        read=LeashedReader(),
        now=lambda: NOW,
    )

    async def walk(pilot):
        await until(pilot, lambda: len(app.screen_stack) > 1)
        app.cursor_blink = False
        desk = app.screen.desk
        if name in ("form", "ours"):  # dialogs stand over a page
            app.push_screen(EnquiriesScreen(desk))
            await until(pilot, lambda: isinstance(app.screen, EnquiriesScreen))
        screen = PAGES[name](desk)
        app.push_screen(screen)
        await until(pilot, lambda: app.screen is screen and screen.is_running)
        for field in screen.query("Input, TextArea"):
            field.cursor_blink = False
        await pilot.pause()
        await pilot.pause()

    assert snap_compare(app, terminal_size=size, run_before=walk)
