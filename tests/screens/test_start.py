"""The first page: what it understands, what it opens, what it says when it cannot."""

import os

import pytest
from builders import a_bird
from screen_walk import (
    HOSTILE,
    LeashedReader,
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
from textual.widgets import Input

from ledger.app import LedgerApp, run
from ledger.domain import Put
from ledger.errors import ReadingError
from ledger.settings import load_settings
from ledger.store import open_store
from ledger.widgets.row_list import RowList


@pytest.fixture
def store(tmp_path):
    return a_store(tmp_path / "ledger")


@pytest.fixture
def photo(tmp_path):
    path = tmp_path / f"Käfig 3 {HOSTILE.replace('/', '')}.jpg"
    path.write_bytes(b"a photo")
    return path


def inbox_rows(pilot):
    return [row.cells[1] for row in pilot.app.screen.query_one("#inbox", RowList).rows]


async def test_start__says_what_it_understands_while_one_types(store):
    async with walking(store) as pilot:
        assert "A photo's path" in words(pilot, "#meaning")
        await type_in(pilot, "twk 2? 017*")
        assert words(pilot, "#meaning").startswith("≈ Characters TWK 2? 017*")
        await pilot.press("escape")
        await type_in(pilot, "/no/such/ring.jpg")
        assert words(pilot, "#meaning") == "✗ No photo at /no/such/ring.jpg"


async def test_start__a_dropped_photo_is_read_with_enter(store, photo):
    reader = LeashedReader()
    reader.gate.clear()
    async with walking(store, reader=reader) as pilot:
        pilot.app.post_message(events.Paste(f"'{photo}'\n"))
        await until(pilot, lambda: words(pilot, "#meaning").startswith("▣ Photo"))
        await pilot.press("enter")
        await arrive(pilot, "ReadingScreen")
        await until(pilot, lambda: reader.asked == [[photo.name]])
        reader.gate.set()


async def test_start__several_dropped_at_once_are_one_ring(store, photo, tmp_path):
    other = tmp_path / "b.jpg"
    other.touch()
    reader = LeashedReader()
    async with walking(store, reader=reader) as pilot:
        pilot.app.post_message(events.Paste(f"{photo}\n{other}"))
        await until(pilot, lambda: "2 photos" in words(pilot, "#meaning"))
        await pilot.press("enter")
        await until(pilot, lambda: reader.asked == [[photo.name, "b.jpg"]])


async def test_start__pasted_letters_go_where_the_cursor_is(store):
    async with walking(store) as pilot:
        await type_in(pilot, "TWK ")
        pilot.app.post_message(events.Paste("2?\n004"))
        await until(pilot, lambda: pilot.app.screen.query_one(Input).value != "TWK ")
        assert pilot.app.screen.query_one(Input).value == "TWK 2? 004"


async def test_start__enter_on_nothing_stays(store):
    async with walking(store) as pilot:
        await pilot.press("enter")
        await type_in(pilot, "???")
        await pilot.press("enter")
        await pilot.pause()
        assert on(pilot, "StartScreen")


async def test_start__a_name_opens_its_card(store):
    async with walking(store) as pilot:
        await type_in(pilot, "pip")
        await pilot.press("enter")
        await arrive(pilot, "CardScreen")
        assert "Pip" in words(pilot, "#heading")
        assert not pilot.app.screen.query_one("#question").display


async def test_reading__escape_stops_it_at_once(store, photo):
    reader = LeashedReader()
    reader.gate.clear()
    async with walking(store, reader=reader) as pilot:
        pilot.app.screen.read([photo])
        await arrive(pilot, "ReadingScreen")
        await until(pilot, lambda: "Opening the photo" in words(pilot, "#stage"))
        await pilot.press("escape")
        await arrive(pilot, "StartScreen")
        await until(pilot, reader.saw_cancel.is_set)
        assert toasts(pilot) == []


async def test_reading__trouble_is_told_with_what_to_do(store, photo):
    trouble = ReadingError(f"{HOSTILE} holds no picture.", "Copy it again.")
    async with walking(store, reader=LeashedReader(trouble)) as pilot:
        pilot.app.screen.read([photo])
        await until(pilot, lambda: toasts(pilot) != [])
        assert on(pilot, "StartScreen")
        assert toasts(pilot) == [
            ("Photo not read", f"{HOSTILE} holds no picture.\nCopy it again.")
        ]
        await pilot.pause()


async def test_reading__a_fault_is_not_hidden(store, photo):
    with pytest.raises(ZeroDivisionError):  # noqa: PT012 - it comes from a thread
        async with walking(store, reader=LeashedReader(ZeroDivisionError())) as pilot:
            pilot.app.screen.read([photo])
            await until(pilot, lambda: False)


async def test_camera__none_is_said(store, monkeypatch):
    def none(number, now):
        raise ReadingError("No camera answers on this machine.", "Connect a camera.")

    monkeypatch.setattr("ledger.services.camera.take_photo", none)
    async with walking(store) as pilot:
        await pilot.press("f2")
        await until(pilot, lambda: toasts(pilot) != [])
        assert toasts(pilot)[0][1].startswith("No camera answers")
        assert on(pilot, "StartScreen")


async def test_inbox__is_chosen_and_kept(store, tmp_path):
    folder = tmp_path / "from the phone"
    async with walking(store) as pilot:
        await pilot.press("f4")
        screen = await arrive(pilot, "InboxScreen")
        screen.query_one("#folder", Input).value = str(folder)
        await pilot.press("enter")
        await arrive(pilot, "StartScreen")
        assert folder.is_dir()
        assert words(pilot, "#inbox-title") == "New photos in from the phone"
    assert load_settings().inbox == str(folder)


async def test_inbox__one_that_cannot_be_is_said(store, tmp_path):
    (tmp_path / "file").touch()
    async with walking(store) as pilot:
        await pilot.press("f4")
        screen = await arrive(pilot, "InboxScreen")
        screen.query_one("#folder", Input).value = str(tmp_path / "file" / HOSTILE)
        await pilot.press("enter")
        await until(pilot, lambda: "cannot be made" in words(pilot, "#trouble"))
        assert on(pilot, "InboxScreen")


async def test_inbox__newest_first_and_a_new_one_appears(store, tmp_path):
    folder = tmp_path / "inbox"
    folder.mkdir()
    for name, age in [("old.jpg", 50), ("newer.jpg", 10)]:
        (folder / name).write_bytes(b"x")
        os.utime(folder / name, (1e9 - age, 1e9 - age))
    async with walking(store, inbox=str(folder)) as pilot:
        assert inbox_rows(pilot) == ["newer.jpg", "old.jpg"]
        (folder / f"a {HOSTILE.replace('/', '')}.png").write_bytes(b"x")
        await until(pilot, lambda: len(inbox_rows(pilot)) == 3)
        assert inbox_rows(pilot)[0] == "a [x] [bold].png"
        said = ("New photo in the inbox", "a [x] [bold].png")
        await until(pilot, lambda: toasts(pilot) == [said])


async def test_inbox__enter_reads_the_photo_one_stands_on(store, tmp_path):
    folder = tmp_path / "inbox"
    folder.mkdir()
    (folder / "ring.jpg").write_bytes(b"x")
    reader = LeashedReader()
    async with walking(store, reader=reader, inbox=str(folder)) as pilot:
        await pilot.press("down", "enter")
        await until(pilot, lambda: reader.asked == [["ring.jpg"]])


async def test_inbox__missing_folder_is_said_not_a_crash(store, tmp_path):
    async with walking(store, inbox=str(tmp_path / "gone [/x]")) as pilot:
        inbox = pilot.app.screen.query_one("#inbox", RowList)
        assert inbox.rows == ()
        said = " ".join(inbox.render_line(y).text.strip() for y in range(8))
        assert "cannot be looked" in said
        await pilot.pause()


async def test_recent__birds_seen_lately_open_their_card(store):
    async with walking(store) as pilot:
        recent = pilot.app.screen.query_one("#recent", RowList)
        assert [row.cells[0] for row in recent.rows] == ["Juno"]
        recent.focus()
        await pilot.press("enter")
        await arrive(pilot, "CardScreen")
        assert "Juno" in words(pilot, "#heading")


async def test_first_start__begins_an_empty_flock(tmp_path):
    async with walking(tmp_path / "none") as pilot:
        await arrive(pilot, "ChoiceScreen")
        await pilot.press("down", "enter")
        await arrive(pilot, "StartScreen")
        assert "no birds yet" in words(pilot, "#heading")
        assert (tmp_path / "none" / "ledger.json").is_file()


async def test_first_start__leaving_makes_nothing(tmp_path):
    async with walking(tmp_path / "none") as pilot:
        await arrive(pilot, "ChoiceScreen")
        await pilot.press("escape")
    assert not (tmp_path / "none").exists()


async def test_in_use__can_be_read_but_not_changed(store):
    with open_store(store):
        async with walking(store) as pilot:
            await arrive(pilot, "ChoiceScreen")
            await pilot.press("enter")
            await arrive(pilot, "StartScreen")
            assert "read-only" in words(pilot, "#heading")
            await type_in(pilot, "pip")
            await pilot.press("enter")
            await arrive(pilot, "CardScreen")
            await pilot.press("n")
            await arrive(pilot, "NoteScreen")
            await type_in(pilot, "seen")
            await pilot.press("enter")
            await until(pilot, lambda: "reading only" in words(pilot, "#trouble"))


async def test_in_use__try_again_when_the_other_is_closed(store):
    other = open_store(store)
    async with walking(store) as pilot:
        await arrive(pilot, "ChoiceScreen")
        other.close()
        await pilot.press("down", "enter")
        await arrive(pilot, "StartScreen")
        assert "read-only" not in words(pilot, "#heading")


async def test_damaged__is_said_and_left_alone(tmp_path):
    folder = tmp_path / HOSTILE.replace("/", "")
    folder.mkdir()
    (folder / "ledger.json").write_text("{ not whole")
    async with walking(folder) as pilot:
        await arrive(pilot, "ChoiceScreen")
        assert "whole ledger" in pilot.app.screen.query(".trouble").first().text
    assert (folder / "ledger.json").read_text() == "{ not whole"


async def test_first_start__the_demo_flock_and_its_pictures(tmp_path):
    async with walking(tmp_path / "none") as pilot:
        await arrive(pilot, "ChoiceScreen")
        await pilot.press("enter")
        await arrive(pilot, "StartScreen")
        assert "Tidewrack Aviaries" in words(pilot, "#heading")
        assert inbox_rows(pilot)
    assert not (tmp_path / "none").exists()


def test_run__hands_a_fault_to_its_caller(store, monkeypatch):
    def fail(self):
        raise ZeroDivisionError

    monkeypatch.setattr(LedgerApp, "_open", fail)
    with pytest.raises(ZeroDivisionError):
        run(store, headless=True)


def test_run__ends_when_the_keeper_leaves(store, monkeypatch):
    monkeypatch.setattr(LedgerApp, "_open", LedgerApp.exit)
    run(store, headless=True)


async def test_damaged__goes_back_to_a_backup_and_keeps_the_rest(store):
    with open_store(store) as opened:
        opened.backup("by-hand")
    for path in store.glob("ledger.*json"):
        path.write_text("{ not whole")
    async with walking(store) as pilot:
        await arrive(pilot, "ChoiceScreen")
        await pilot.press("down", "enter")
        await arrive(pilot, "StartScreen")
        assert "Tidewrack Aviaries" in words(pilot, "#heading")
    kept = [path.read_text() for path in store.glob("*replaced*")]
    assert "{ not whole" in kept


async def test_read_only__follows_what_the_other_window_does(store):
    with open_store(store) as other:
        async with walking(store) as pilot:
            await arrive(pilot, "ChoiceScreen")
            await pilot.press("enter")
            await arrive(pilot, "StartScreen")
            other.commit([Put(a_bird("b0077", "Zeb"))], author="N", what="new")
            birds = f"{len(other.flock.birds):,} birds"
            assert birds not in words(pilot, "#heading")
            pilot.app._follow()
            await until(pilot, lambda: birds in words(pilot, "#heading"))
