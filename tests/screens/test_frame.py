"""What holds for every page: it fits, can be left, explains itself, takes any text."""

import dataclasses
import itertools

import pytest
from builders import a_bird, a_chip, a_person, a_ring, an_event
from screen_walk import (
    HOSTILE,
    PIPS_RING,
    LeashedReader,
    a_reading,
    a_store,
    arrive,
    glyphs,
    on,
    until,
    walking,
    words,
)
from textual.binding import Binding
from textual.command import CommandPalette
from textual.widgets import Footer, Input, OptionList

from ledger.app import LedgerApp
from ledger.domain import EventKind, FlockSettings
from ledger.screens.add_photo import AddPhotoScreen
from ledger.screens.backups import BackupsScreen
from ledger.screens.base import tell
from ledger.screens.bird import BirdScreen
from ledger.screens.card import CardScreen
from ledger.screens.changes import ChangesScreen
from ledger.screens.choice import ChoiceScreen
from ledger.screens.confirm import ConfirmScreen
from ledger.screens.findings import FindingsScreen
from ledger.screens.flock import FlockScreen
from ledger.screens.identify import IdentifyScreen
from ledger.screens.inbox import InboxScreen
from ledger.screens.note import NoteScreen
from ledger.screens.picture import PictureScreen
from ledger.screens.reading import ReadingScreen
from ledger.screens.start import StartScreen
from ledger.screens.text import TextScreen
from ledger.services.sighting import Sighting
from ledger.settings import load_settings
from ledger.widgets.photo_view import PhotoView
from ledger.widgets.words import Words, fitted, on_one_line, shown
from ocr.reading import Line

PAGES = {
    "start": lambda desk: StartScreen(desk),
    "identify": lambda desk: IdentifyScreen.of_photos(desk, PIPS_RING, []),
    "typed": lambda desk: IdentifyScreen.of_text(desk, "TWK 19 017?"),
    "card": lambda desk: CardScreen(desk, "b0003", Sighting("b0003", "r0003", "x")),
    "bird": lambda desk: BirdScreen(desk, "b0003"),
    "flock": lambda desk: FlockScreen(desk),
    "check": lambda desk: FindingsScreen(desk),
    "changes": lambda desk: ChangesScreen(desk, "b0003"),
    "backups": lambda desk: BackupsScreen(desk),
    "text": lambda desk: TextScreen(desk, "What it tells", "Nothing."),
}
DIALOGS = {
    "note": lambda desk: NoteScreen(desk, "b0003"),
    "inbox": lambda desk: InboxScreen(desk),
    "confirm": lambda desk: ConfirmScreen(desk, "Sure?", HOSTILE, "Do it"),
    "add": lambda desk: AddPhotoScreen(desk),
    "picture": lambda desk: PictureScreen(
        desk, [photo.strip for photo in PIPS_RING.photos]
    ),
    "reading": lambda desk: ReadingScreen(desk, desk.job([]), "ring.jpg"),
}


@pytest.fixture
def store(tmp_path):
    return a_store(tmp_path / "ledger")


async def show(pilot, make):
    """Open a page and wait until it is drawn and has done what it begins with."""
    screen = make(pilot.app.screen.desk)
    pilot.app.push_screen(screen)
    await until(pilot, lambda: pilot.app.screen is screen and screen.is_running)
    await pilot.pause()
    if isinstance(screen, IdentifyScreen):
        await until(pilot, lambda: bool(words(pilot, "#verdict")))
    await pilot.pause()
    return screen


def stuck_reader():
    reader = LeashedReader()
    reader.gate.clear()
    return reader


@pytest.mark.parametrize("name", [*PAGES, *DIALOGS])
async def test_footer__fits_80_columns(store, name, tmp_path):
    reader = stuck_reader()
    async with walking(store, reader=reader) as pilot:
        pilot.app.screen.desk.job = lambda paths: (
            lambda report, cancelled: reader(
                [tmp_path], report=report, cancelled=cancelled
            )
        )
        screen = await show(pilot, {**PAGES, **DIALOGS}[name])
        footer = screen.query_one(Footer)
        assert footer.max_scroll_x == 0
        assert footer.children
        reader.gate.set()
        await pilot.press("escape")


async def test_footer__fits_on_the_first_question(tmp_path):
    async with walking(tmp_path / "none") as pilot:
        await arrive(pilot, "ChoiceScreen")
        assert pilot.app.screen.query_one(Footer).max_scroll_x == 0


@pytest.mark.parametrize("name", PAGES)
async def test_help__is_one_key_away_and_lists_the_keys(store, name):
    async with walking(store) as pilot:
        screen = await show(pilot, PAGES[name])
        keys = [b.binding.description for b in screen.active_bindings.values()]
        await pilot.press("f1")
        helped = await arrive(pilot, "HelpScreen")
        text = helped.query_one("Markdown").source
        assert text.startswith("# ")
        assert "Help" in keys
        for shown_key in screen.BINDINGS:
            if isinstance(shown_key, Binding) and shown_key.id:
                assert shown_key.description in text
        await pilot.press("escape")
        await until(pilot, lambda: pilot.app.screen is screen)


@pytest.mark.parametrize("name", [name for name in PAGES if name != "start"])
async def test_escape__leads_back_from_every_page(store, name):
    async with walking(store) as pilot:
        before = pilot.app.screen
        await show(pilot, PAGES[name])
        await pilot.press("escape")
        await until(pilot, lambda: pilot.app.screen is before)


@pytest.mark.parametrize("name", [name for name in DIALOGS if name != "reading"])
async def test_escape__leads_back_from_every_dialog(store, name):
    async with walking(store) as pilot:
        before = pilot.app.screen
        await show(pilot, DIALOGS[name])
        await pilot.press("escape")
        await until(pilot, lambda: pilot.app.screen is before)


def test_bindings__each_named_key_has_an_id_and_a_tooltip():
    classes = [
        StartScreen,
        IdentifyScreen,
        CardScreen,
        BirdScreen,
        FlockScreen,
        FindingsScreen,
        ChangesScreen,
        BackupsScreen,
        LedgerApp,
    ]
    for page in classes:
        for key in page.BINDINGS:
            if isinstance(key, Binding) and key.show:
                assert key.id, key
                assert key.tooltip, key
                assert len(key.description.split()) <= 2, key


async def test_palette__lists_every_key_of_the_page(store):
    async with walking(store) as pilot:
        await pilot.press("ctrl+p")
        await until(pilot, lambda: isinstance(pilot.app.screen, CommandPalette))
        options = pilot.app.screen.query_one(OptionList)
        await until(pilot, lambda: options.option_count >= 7)
        said = " ".join(str(option.prompt) for option in options.options)
        for name in ["Camera", "Flock", "Inbox", "Check", "Help", "Light or dark"]:
            assert name in said
        await pilot.press(*"all birds")
        await until(pilot, lambda: options.option_count == 1)
        await pilot.press("enter")
        await arrive(pilot, "FlockScreen")


async def test_look__is_turned_and_kept(store):
    async with walking(store) as pilot:
        assert pilot.app.theme == "evening"
        await pilot.press("f9")
        await until(pilot, lambda: pilot.app.theme == "morning")
    assert load_settings().theme == "morning"


def everything_hostile():
    """One bird with family, every text of it markup that would crash."""
    text = HOSTILE
    return [
        FlockSettings(name=text, keeper="h0001", vet="h0001"),
        a_person("h0001", text, phone=text, email=text, address=text),
        *[
            a_bird(
                bird_id,
                text,
                species=text,
                location=text,
                owner="h0001",
                alerts=(text,),
                medication=(text,),
                allergies=(text,),
                health_flags=(text,),
                notes=text,
                **family,
            )
            for bird_id, family in [
                ("b0001", {"status": "lost"}),
                ("b0002", {"status": "dead"}),
                ("b0003", {"sire": "b0001", "dam": "b0002"}),
            ]
        ],
        a_ring("r0003", text, bird="b0003", colour=text, notes=text),
        a_chip("c0001", text, bird="b0003", site=text),
        *[
            an_event(f"e{n:04d}", "b0003", kind, text=text, by=text, at=text)
            for n, kind in enumerate([EventKind.NOTE, EventKind.SIGHTED], 1)
        ],
    ]


HOSTILE_RING = dataclasses.replace(
    a_reading(Line(glyphs("19 0174")), doubts=(HOSTILE,), file=HOSTILE),
)


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_markup__user_text_is_never_taken_for_it(tmp_path, size):
    folder = tmp_path / "[x] [bold]"
    folder.mkdir()
    (folder / "[x] [bold].jpg").write_bytes(b"x")
    store = a_store(tmp_path / "ledger", everything_hostile())
    async with walking(store, size=size, inbox=str(folder)) as pilot:
        desk = pilot.app.screen.desk
        pages = [
            *PAGES.values(),
            lambda desk: IdentifyScreen.of_photos(
                desk, HOSTILE_RING, [folder / "[x] [bold].jpg"]
            ),
            lambda desk: FlockScreen(desk, HOSTILE),
            lambda desk: TextScreen(desk, HOSTILE, HOSTILE),
            lambda desk: NoteScreen(desk, "b0003"),
            lambda desk: InboxScreen(desk, folder),
            lambda desk: AddPhotoScreen(desk),
        ]
        for make in pages:
            screen = await show(pilot, make)
            for line in screen.query(Input):
                line.value = HOSTILE
                await pilot.pause()
            tell(pilot.app, HOSTILE, title=HOSTILE)
            await pilot.pause()
            pilot.app.pop_screen()
            await pilot.pause()
        assert pilot.app.screen.desk is desk
        assert HOSTILE in words(pilot, "#heading")


async def test_markup__not_on_the_first_question_either(store):
    async with walking(store) as pilot:
        pilot.app.push_screen(ChoiceScreen(HOSTILE, HOSTILE, [("a", HOSTILE)]))
        await arrive(pilot, "ChoiceScreen")
        assert pilot.app.screen.query_one("#about", Words).text == HOSTILE


@pytest.mark.parametrize(
    ("text", "safe"),
    [("Pip", "Pip"), ("a\x1b[2Jb", "a\ufffd[2Jb"), ("a\tb", "a b"), ("é 鸟", "é 鸟")],
)
def test_shown__no_sign_commands_the_terminal(text, safe):
    assert shown(text) == safe


def test_fitted__fills_exactly_and_says_what_is_cut():
    assert fitted("Pip", 5) == "Pip  "
    assert fitted("Psittacus", 5) == "Psit…"
    assert fitted("鸟鸟鸟", 4) == "鸟 …"
    assert fitted("Pip", 0) == ""
    assert on_one_line("a\nb\x07") == "a b\ufffd"


async def test_reading_pictures__keep_to_their_room(store):
    async with walking(store) as pilot:
        screen = await show(pilot, PAGES["identify"])
        view = screen.query_one(PhotoView)
        assert view.children[0].size.height == view.size.height


@pytest.mark.parametrize(
    ("name", "size"), itertools.product(PAGES, [(80, 24), (120, 40), (60, 20)])
)
async def test_page__survives_any_size(store, name, size):
    async with walking(store, size=size) as pilot:
        await show(pilot, PAGES[name])
        await pilot.resize_terminal(100, 30)
        await pilot.resize_terminal(40, 12)
        await pilot.pause()
        assert not on(pilot, "ChoiceScreen")
