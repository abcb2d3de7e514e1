"""A stranger's ring by keys: explain, enquire, whose, contact, letter, guide."""

import pytest
from builders import a_date, a_person
from screen_walk import (
    FLOCK,
    HOSTILE,
    PIPS_RING,
    LeashedReader,
    a_reading,
    a_store,
    arrive,
    on,
    toasts,
    type_in,
    until,
    walking,
    words,
)
from textual import events
from textual.widgets import Footer, Input, TextArea

from ledger.domain import Contact, Enquiry, EventKind, Placement, Status
from ledger.screens.enquiries import EnquiriesScreen
from ledger.screens.enquiry import EnquiryScreen
from ledger.screens.enquiry_form import CameBackScreen, EnquiryForm
from ledger.screens.explain import ExplainScreen
from ledger.screens.guide import GuideScreen
from ledger.screens.letter import LetterScreen
from ledger.screens.our_bird import OurBirdScreen
from ledger.store import open_store
from ledger.widgets.folded import Folded
from ledger.widgets.form import Form
from ledger.widgets.row_list import RowList

ASKED = Enquiry(
    "q0001",
    a_date("2026-01-10"),
    "Orla Fenn",
    "orla@example.org",
    "Whose is it?",
    "IE TWK 19 0174",
    species="Grey Parrot",
)
STRANGE = Enquiry(
    "q0002", None, HOSTILE, HOSTILE, HOSTILE, f"{HOSTILE} ♥", species=HOSTILE
)
PAGES = {
    "explain": lambda desk: ExplainScreen(desk, "B 2,0 G 11 1234"),
    "explain strange": lambda desk: ExplainScreen(desk, HOSTILE),
    "enquiries": EnquiriesScreen,
    "enquiry": lambda desk: EnquiryScreen(desk, "q0001"),
    "strange enquiry": lambda desk: EnquiryScreen(desk, "q0002"),
    "letter": lambda desk: LetterScreen(desk, "q0001"),
    "strange letter": lambda desk: LetterScreen(desk, "q0002"),
    "guide": GuideScreen,
}
DIALOGS = {
    "new": lambda desk: EnquiryForm(desk, Enquiry("")),
    "edit": lambda desk: EnquiryForm(desk, desk.ledger.flock.enquiries["q0001"]),
    "edit strange": lambda desk: EnquiryForm(
        desk, desk.ledger.flock.enquiries["q0002"]
    ),
    "ours": lambda desk: OurBirdScreen(desk, "q0001"),
    "ours strange": lambda desk: OurBirdScreen(desk, "q0002"),
}


@pytest.fixture
def store(tmp_path):
    return a_store(tmp_path / "ledger", (*FLOCK, ASKED, STRANGE))


def kept(store, enquiry_id="q0001"):
    with open_store(store, read_only=True) as ledger:
        return ledger.flock.enquiries[enquiry_id]


def flock_of(store):
    with open_store(store, read_only=True) as ledger:
        return ledger.flock


def told(pilot):
    """What the page says of the ring, not folded."""
    return pilot.app.screen.query_one(Folded).text


async def show(pilot, make):
    screen = make(pilot.app.screen.desk)
    pilot.app.push_screen(screen)
    await until(pilot, lambda: pilot.app.screen is screen and screen.is_running)
    await pilot.pause()
    return screen


async def explained(pilot, text):
    """Type what one can read on the first page, then F4."""
    await type_in(pilot, text)
    await pilot.press("enter")
    screen = await arrive(pilot, "IdentifyScreen")
    await until(pilot, lambda: screen.query_one("#verdict").display)
    await pilot.press("f4")
    return await arrive(pilot, "ExplainScreen")


# --- every page ---


@pytest.mark.parametrize("name", [*PAGES, *DIALOGS])
async def test_pages__take_any_text_and_fit_80_columns(store, name):
    async with walking(store) as pilot:
        screen = await show(pilot, {**PAGES, **DIALOGS}[name])
        assert screen.query_one(Footer).max_scroll_x == 0
        if name in PAGES:
            await pilot.press("f1")
            helped = await arrive(pilot, "HelpScreen")
            assert helped.query_one("Markdown").source.startswith("# ")
            await pilot.press("escape")
            await until(pilot, lambda: pilot.app.screen is screen)
        await pilot.press("escape")
        await until(pilot, lambda: on(pilot, "StartScreen"))


@pytest.mark.parametrize("name", ["ours", "new", "edit"])
async def test_dialogs__fit_80_by_24(store, name):
    async with walking(store) as pilot:
        screen = await show(pilot, DIALOGS[name])
        dialog = screen.query_one(".dialog")
        assert dialog.region.bottom <= 23
        assert dialog.region.y >= 0


# --- explain ---


async def test_explain__at_every_key(store):
    async with walking(store) as pilot:
        await explained(pilot, "zzz 19 0042")
        assert "ring year: the year 2019" in told(pilot)
        await pilot.press("home", *["right"] * 6, "backspace", "8")
        await until(pilot, lambda: "ring year: the year 2018" in told(pilot))


async def test_explain__holds_the_owners_words_against_the_ring(store):
    # BArtSchV Anlage 6: 11.5 mm for Psittacus erithacus.
    async with walking(store) as pilot:
        await explained(pilot, "zzz 19 5")
        await pilot.press("down")
        await type_in(pilot, "Grey Parrot")
        await pilot.press("down")
        await type_in(pilot, "2010")
        await pilot.press("down")
        await type_in(pilot, "7")
        await until(pilot, lambda: "too small" in told(pilot))
        assert "said to have hatched in 2010" in told(pilot)
        await type_in(pilot, "x")
        await until(pilot, lambda: "not a size in mm" in words(pilot, "#trouble"))
        await pilot.press("backspace")
        await until(pilot, lambda: not words(pilot, "#trouble"))


async def test_explain__a_seam_is_chosen_by_arrows(store):
    async with walking(store) as pilot:
        await explained(pilot, "FAB 123")
        assert "quarantine" in told(pilot)
        pilot.app.screen.query_one(Form).go_to("closure")
        await pilot.press("right")
        await until(pilot, lambda: "flock code: letters" in told(pilot))


async def test_explain__page_keys_move_the_text_while_one_types(store):
    async with walking(store) as pilot:
        screen = await explained(pilot, "zzz 19 5")
        told = screen.query_one("#told")
        await pilot.press("pagedown")
        await until(pilot, lambda: told.scroll_y > 0)
        await pilot.press("pageup")
        await until(pilot, lambda: told.scroll_y == 0)


async def test_explain__photos_bring_their_doubts(store, tmp_path):
    photo = tmp_path / "ring.jpg"
    photo.write_bytes(b"a photo")
    async with walking(store) as pilot:
        pilot.app.screen.read([photo])
        screen = await arrive(pilot, "IdentifyScreen")
        await until(pilot, lambda: screen.query_one("#verdict").display)
        await pilot.press("f4")
        await arrive(pilot, "ExplainScreen")
        assert "may be 4 or 9" in told(pilot)
        assert "ring.jpg" in words(pilot, "#heading")


async def test_explain__becomes_an_enquiry_with_its_photos(store, tmp_path):
    photo = tmp_path / "ring.jpg"
    photo.write_bytes(b"a photo")
    async with walking(store) as pilot:
        pilot.app.screen.read([photo])
        screen = await arrive(pilot, "IdentifyScreen")
        await until(pilot, lambda: screen.query_one("#verdict").display)
        await pilot.press("f4")
        await arrive(pilot, "ExplainScreen")
        await pilot.press("f2")
        await arrive(pilot, "EnquiryForm")
        await type_in(pilot, "Orla Fenn")
        await pilot.press("enter")
        await arrive(pilot, "EnquiryScreen")
    found = kept(store, "q0003")
    assert found.asker == "Orla Fenn"
    assert found.inscription == "IE TWK / 19 0174"
    assert found.bird is None
    photos = flock_of(store).photos
    assert [photos[p].file_name for p in found.photos] == ["ring.jpg"]


async def test_explain__lines_that_follow_are_set_in(store):
    async with walking(store) as pilot:
        screen = await show(pilot, PAGES["explain"])
        folded = screen.query_one(Folded)
        rows = str(folded.render()).split("\n")
        assert max(map(len, rows)) <= folded.content_size.width
        at = next(i for i, row in enumerate(rows) if row.startswith("  - Who bred it"))
        assert rows[at + 1].startswith("    ")
        assert len(rows) == folded.size.height


# --- the guide where it is needed ---


async def test_guide__one_key_from_a_reading_that_shows_nothing(store, tmp_path):
    photo = tmp_path / "ring.jpg"
    photo.write_bytes(b"a photo")
    reader = LeashedReader(a_reading(found=False))
    async with walking(store, reader=reader) as pilot:
        pilot.app.screen.read([photo])
        screen = await arrive(pilot, "IdentifyScreen")
        await until(pilot, lambda: screen.query_one("#verdict").display)
        assert "F7" in words(pilot, "#verdict")
        await pilot.press("f7")
        await arrive(pilot, "GuideScreen")
        await pilot.press("p")
        await until(pilot, lambda: toasts(pilot) != [])
    assert (store / "how-to-photograph-a-ring.pdf").read_bytes().startswith(b"%PDF")


async def test_guide__is_named_on_the_first_page(store):
    async with walking(store) as pilot:
        await pilot.press("f1")
        helped = await arrive(pilot, "HelpScreen")
        assert "how to photograph a ring" in helped.query_one("Markdown").source


# --- the log ---


async def test_enquiries__from_the_first_page_and_from_scratch(store):
    async with walking(store) as pilot:
        await pilot.press("f8")
        await arrive(pilot, "EnquiriesScreen")
        rows = pilot.app.screen.query_one(RowList).rows
        assert [row.key for row in rows] == ["q0002", "q0001"]
        await pilot.press("n")
        await arrive(pilot, "EnquiryForm")
        await pilot.press("enter")
        await until(pilot, lambda: "needs someone" in words(pilot, "#trouble"))
        await type_in(pilot, "Ana")
        await pilot.press("enter")
        await arrive(pilot, "EnquiryScreen")
        await pilot.press("escape")
        await arrive(pilot, "EnquiriesScreen")
        assert pilot.app.screen.query_one(RowList).rows[0].key == "q0003"


async def test_edit__corrects_and_adds_photos_dropped_on_it(store, tmp_path):
    photo = tmp_path / "a b.jpg"
    photo.write_bytes(b"a photo")
    async with walking(store) as pilot:
        await show(pilot, PAGES["enquiry"])
        await pilot.press("e")
        form = await arrive(pilot, "EnquiryForm")
        form.query_one(Form).go_to("photos")
        await pilot.pause()
        pilot.app.post_message(events.Paste(f"'{photo}'"))
        await until(pilot, lambda: bool(form.query_one("#photos", Input).value))
        form.query_one(Form).go_to("size")
        await type_in(pilot, "x")
        await pilot.press("enter")
        await until(pilot, lambda: "not a size" in words(pilot, "#trouble"))
        await pilot.press("backspace")
        await type_in(pilot, "7,5")
        await pilot.press("enter")
        await arrive(pilot, "EnquiryScreen")
        assert "a b.jpg" in words(pilot, "#asked")
    found = kept(store)
    assert (found.size_mm, len(found.photos)) == (7.5, 1)


async def test_read__what_photos_show_is_confirmed_before_it_is_stored(store, tmp_path):
    photo = tmp_path / "ring.jpg"
    photo.write_bytes(b"a photo")
    reader = LeashedReader(PIPS_RING)
    async with walking(store, reader=reader) as pilot:
        await show(pilot, PAGES["strange enquiry"])
        await pilot.press("p")
        await until(pilot, lambda: "No photos" in str(toasts(pilot)))
        await pilot.press("e")
        form = await arrive(pilot, "EnquiryForm")
        form.query_one(Form).put("photos", str(photo))
        await pilot.press("enter")
        await arrive(pilot, "EnquiryScreen")
        await pilot.press("p")
        form = await arrive(pilot, "EnquiryForm")
        assert form.query_one("#inscription", Input).value == "IE TWK / 19 0174"
        assert kept(store, "q0002").inscription != "IE TWK / 19 0174"
        await pilot.press("enter")
        await arrive(pilot, "EnquiryScreen")
    assert kept(store, "q0002").inscription == "IE TWK / 19 0174"


# --- one of ours ---


async def test_ours__the_keeper_says_then_decides(store):
    async with walking(store) as pilot:
        await show(pilot, PAGES["enquiry"])
        await pilot.press("c")
        await until(pilot, lambda: "O says first" in str(toasts(pilot)))
        await pilot.press("o")
        await arrive(pilot, "OurBirdScreen")
        rows = pilot.app.screen.query_one(RowList).rows
        assert rows[0].cells[1] == "Pip"
        await pilot.press("enter")
        await arrive(pilot, "EnquiryScreen")
        assert "NOT DECIDED" in words(pilot, "#ours")
        assert kept(store).contact is Contact.UNDECIDED
        await pilot.press("l")
        letter = await arrive(pilot, "LetterScreen")
        assert "Nothing of yours" in words(pilot, "#may")
        assert "Pip" not in letter.query_one(TextArea).text
        await pilot.press("escape")
        await arrive(pilot, "EnquiryScreen")
        await pilot.press("c")
        await arrive(pilot, "AskScreen")
        await pilot.press("1")
        await until(pilot, lambda: kept(store).contact is Contact.YES)
        await pilot.press("l")
        letter = await arrive(pilot, "LetterScreen")
        assert "called Pip" in letter.query_one(TextArea).text


async def test_ours__another_bird_by_its_name_or_none(store):
    async with walking(store) as pilot:
        await show(pilot, PAGES["enquiry"])
        await pilot.press("o")
        await arrive(pilot, "OurBirdScreen")
        await pilot.press("tab")
        await type_in(pilot, "nobody")
        await pilot.press("enter")
        await until(pilot, lambda: "No bird has" in words(pilot, "#trouble"))
        pilot.app.screen.query_one(Input).value = "Juno"
        await pilot.press("enter")
        await until(pilot, lambda: kept(store).bird == "b0004")
        await pilot.press("o")
        await arrive(pilot, "OurBirdScreen")
        await pilot.press("end", "enter")
        await until(pilot, lambda: kept(store).bird is None)
    assert not [
        event
        for event in flock_of(store).events_of("b0004")
        if event.kind is EventKind.NOTE
    ]


async def test_came_back__only_by_its_own_key(tmp_path):
    things = [
        *(thing for thing in FLOCK if getattr(thing, "id", "") != "b0004"),
        a_person("h0009", "Orla Fenn"),
        Placement("m0001", "b0004", "h0009", a_date("2020")),
    ]
    from builders import a_bird

    placed = a_bird("b0004", "Juno", status="placed", owner="h0009")
    linked = Enquiry("q0001", None, "Orla", inscription="TWK 19 0179", bird="b0004")
    store = a_store(tmp_path / "placed", [*things, placed, linked])
    async with walking(store) as pilot:
        await show(pilot, PAGES["enquiry"])
        assert "R enters that it is here again" in words(pilot, "#ours")
        await pilot.press("r")
        form = await arrive(pilot, "CameBackScreen")
        assert flock_of(store).birds["b0004"].status is Status.PLACED
        form.query_one(Form).put("at", "Aviary 1")
        await pilot.press("enter")
        await arrive(pilot, "EnquiryScreen")
        await pilot.press("b")
        await arrive(pilot, "BirdScreen")
    flock = flock_of(store)
    assert flock.birds["b0004"].status is Status.ALIVE
    assert flock.placements["m0001"].returned is not None


async def test_came_back__of_one_that_is_here_is_refused(store):
    async with walking(store) as pilot:
        await show(pilot, PAGES["enquiry"])
        await pilot.press("r")
        await until(pilot, lambda: "Came back" in str(toasts(pilot)))
        await pilot.press("o", "enter")
        await until(pilot, lambda: kept(store).bird == "b0003")
        screen = CameBackScreen(pilot.app.screen.desk, "q0001")
        pilot.app.push_screen(screen)
        await arrive(pilot, "CameBackScreen")
        await pilot.press("enter")
        await until(pilot, lambda: "cannot come back" in words(pilot, "#trouble"))


# --- the letter ---


async def test_letter__kept_written_and_sent(store):
    async with walking(store) as pilot:
        await show(pilot, PAGES["letter"])
        await pilot.press("f8", "f2")
        await until(pilot, lambda: "How to photograph" in kept(store).answer)
        await pilot.press("f3", "f4")
        await until(pilot, lambda: (store / "answer-q0001.txt").exists())
        await pilot.press("f5")
        await until(pilot, lambda: kept(store).answered is not None)
    assert (store / "answer-q0001.pdf").read_bytes().startswith(b"%PDF")


async def test_letter__that_tells_of_us_goes_nowhere(store):
    async with walking(store) as pilot:
        await show(pilot, PAGES["letter"])
        await type_in(pilot, "Pip ")
        await pilot.press("f2", "f3", "f5")
        await until(pilot, lambda: len(toasts(pilot)) >= 3)
        assert all("of your flock" in said for _, said in toasts(pilot))
        assert on(pilot, "LetterScreen")
    assert kept(store).answer == ""
    assert not list(store.glob("answer*"))


async def test_letter__is_not_lost_by_one_escape(store):
    async with walking(store) as pilot:
        await show(pilot, PAGES["letter"])
        await type_in(pilot, "zz")
        await pilot.press("escape")
        await until(pilot, lambda: "not kept" in str(toasts(pilot)))
        assert on(pilot, "LetterScreen")
        await pilot.press("escape")
        await until(pilot, lambda: on(pilot, "StartScreen"))
    assert kept(store).answer == ""
