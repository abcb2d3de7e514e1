"""From what was read to a bird: correcting, ranking, opening, confirming."""

import pytest
from builders import a_bird, a_ring
from screen_walk import (
    FLOCK,
    PIPS_RING,
    LeashedReader,
    a_reading,
    a_store,
    arrive,
    glyphs,
    on,
    toasts,
    type_in,
    until,
    walking,
    words,
)
from textual import events

from ledger.domain import EventKind
from ledger.store import open_store
from ledger.widgets.inscription import Inscription
from ledger.widgets.photo_view import PhotoView
from ledger.widgets.row_list import RowList
from ocr.reading import Line

NO_RING = a_reading(found=False)


@pytest.fixture
def store(tmp_path):
    return a_store(tmp_path / "ledger")


@pytest.fixture
def photo(tmp_path):
    path = tmp_path / "ring.jpg"
    path.write_bytes(b"a photo")
    return path


def ranked(pilot):
    return [row.cells[2] for row in pilot.app.screen.query_one("#birds", RowList).rows]


def draft(pilot):
    return pilot.app.screen.query_one(Inscription).draft.text


def sightings(store, bird_id="b0003"):
    with open_store(store, read_only=True) as kept:
        events_of = kept.flock.events_of(bird_id)
        return [event for event in events_of if event.kind is EventKind.SIGHTED]


async def identify(pilot, photo):
    pilot.app.screen.read([photo])
    screen = await arrive(pilot, "IdentifyScreen")
    await until(pilot, lambda: screen.query_one("#verdict").display)
    return screen


async def identify_typed(pilot, text):
    await type_in(pilot, text)
    await pilot.press("enter")
    screen = await arrive(pilot, "IdentifyScreen")
    await until(pilot, lambda: screen.query_one("#verdict").display)
    return screen


async def test_identify__shows_strip_characters_doubts_and_birds(store, photo):
    async with walking(store) as pilot:
        screen = await identify(pilot, photo)
        assert len(screen.query_one(PhotoView).strips) == 1
        assert draft(pilot) == "IE TWK / 19 0174"
        assert "may be 4 or 9" in words(pilot, "#doubts")
        assert set(ranked(pilot)[:2]) == {"Pip", "Juno"}
        assert "Unsure" in words(pilot, "#verdict")
        assert words(pilot, "#look-next").startswith("Look next:")


async def test_identify__the_cursor_waits_at_the_character_to_check(store, photo):
    async with walking(store) as pilot:
        screen = await identify(pilot, photo)
        assert screen.query_one(Inscription).at == (1, 5)
        said = words(pilot, "#character")
        assert said.startswith("Place 6: 4, doubtful (64%)")
        assert "or 9 (35%)" in said


async def test_identify__each_key_ranks_anew(store, photo):
    async with walking(store) as pilot:
        await identify(pilot, photo)
        await pilot.press("9")
        await until(pilot, lambda: ranked(pilot)[:1] == ["Juno"])
        assert draft(pilot) == "IE TWK / 19 0179"
        await pilot.press("left", "4")
        await until(pilot, lambda: ranked(pilot)[:1] == ["Pip"])
        await pilot.press("f6")
        await until(pilot, lambda: len(ranked(pilot)) > 1)
        assert draft(pilot) == "IE TWK / 19 0174"


async def test_identify__keys_of_the_characters(store):
    async with walking(store) as pilot:
        await identify_typed(pilot, "twk?")
        keys_and_text = [
            (["delete"], "TWK"),
            (["1", "9"], "TWK19"),
            (["left", "left", "space"], "TWK 19"),
            (["slash"], "TWK / 19"),
            (["backspace"], "TWK 19"),
            (["insert"], "TWK ?19"),
            (["end", "asterisk"], "TWK ?19*"),
            (["home", "x"], "XWK ?19*"),
            (["ä", "!"], "XWK ?19*"),
        ]
        for keys, text in keys_and_text:
            await pilot.press(*keys)
            await pilot.pause()
            assert draft(pilot) == text, keys


async def test_identify__from_typed_fragment_to_stored_sighting(store):
    async with walking(store) as pilot:
        await identify_typed(pilot, "19 0174")
        assert ranked(pilot)[0] == "Pip"
        await pilot.press("enter")
        await pilot.pause()
        await pilot.press("enter")
        await arrive(pilot, "CardScreen")
        assert "? Is it Pip? Read: 19 0174" in words(pilot, "#question")
        assert sightings(store) == []
        await pilot.press("c")
        await until(pilot, lambda: "is stored" in words(pilot, "#question"))
    assert [event.text for event in sightings(store)] == ["Read “19 0174”"]


async def test_identify__a_rejected_reading_stores_nothing(store, photo):
    async with walking(store) as pilot:
        await identify(pilot, photo)
        pilot.app.screen.query_one("#birds", RowList).focus()
        await pilot.press("enter")
        await arrive(pilot, "CardScreen")
        assert "! Not sure: the reading gives it" in words(pilot, "#question")
        await pilot.press("escape")
        await arrive(pilot, "IdentifyScreen")
        await pilot.press("escape")
        await arrive(pilot, "StartScreen")
    with open_store(store, read_only=True) as kept:
        assert len(kept.flock.events) == 4
        assert not kept.flock.photos


async def test_identify__no_ring_is_said_and_one_can_type(store, photo):
    async with walking(store, reader=LeashedReader(NO_RING)) as pilot:
        screen = await identify(pilot, photo)
        assert "No ring" in words(pilot, "#verdict")
        assert (
            "No ring found" in screen.query_one(PhotoView).query("Words").first().text
        )
        assert ranked(pilot) == []
        await type_in(pilot, "190179")
        await until(pilot, lambda: ranked(pilot)[:1] == ["Juno"])


async def test_identify__a_strangers_ring_is_explained(store):
    async with walking(store) as pilot:
        await identify_typed(pilot, "GB ZZQ 24 X 99871")
        await until(pilot, lambda: "Unknown ring" in words(pilot, "#verdict"))
        await pilot.press("f4")
        await arrive(pilot, "ExplainScreen")
        await pilot.press("escape")
        await arrive(pilot, "IdentifyScreen")


async def test_identify__one_more_photo_is_joined(store, photo, tmp_path):
    other = tmp_path / "other side.jpg"
    other.touch()
    whole = a_reading(Line(glyphs("IE TWK")), Line(glyphs("19 0179")))
    reader = LeashedReader(PIPS_RING, whole)
    async with walking(store, reader=reader) as pilot:
        await identify(pilot, photo)
        await pilot.press("f2")
        await arrive(pilot, "AddPhotoScreen")
        pilot.app.post_message(events.Paste(f"'{other}'"))
        await until(pilot, lambda: "▣ Photo" in words(pilot, "#meaning"))
        await pilot.press("enter")
        await until(pilot, lambda: draft(pilot).endswith("0179"))
        assert reader.asked == [["ring.jpg"], ["ring.jpg", "other side.jpg"]]
        assert "other side.jpg" in words(pilot, "#heading")


async def test_identify__a_photo_dropped_on_the_page_is_joined(store, photo, tmp_path):
    other = tmp_path / "b.jpg"
    other.touch()
    reader = LeashedReader()
    async with walking(store, reader=reader) as pilot:
        await identify(pilot, photo)
        await pilot.press("x")
        pilot.app.post_message(events.Paste(str(other)))
        await until(pilot, lambda: reader.asked[1:] == [["ring.jpg", "b.jpg"]])
        await until(pilot, lambda: toasts(pilot) != [])
        assert "corrections" in toasts(pilot)[0][1]
        assert draft(pilot) == "IE TWK / 19 0174"


async def test_identify__a_ring_on_no_bird_opens_no_card(tmp_path):
    spare = a_ring("r0009", "IE TWK / 26 0500")
    folder = a_store(tmp_path / "stock", [a_bird("b0001", "Rook"), spare])
    async with walking(folder) as pilot:
        await identify_typed(pilot, "TWK 26 0500")
        await until(pilot, lambda: ranked(pilot) == ["(no bird)"])
        pilot.app.screen.query_one("#birds", RowList).focus()
        await pilot.press("enter")
        await until(pilot, lambda: toasts(pilot) != [])
        assert on(pilot, "IdentifyScreen")


async def test_identify__the_ring_large(store, photo):
    async with walking(store) as pilot:
        await identify(pilot, photo)
        await pilot.press("f3")
        await arrive(pilot, "PictureScreen")
        await pilot.press("escape")
        await arrive(pilot, "IdentifyScreen")


async def test_identify__without_pictures(tmp_path, photo):
    async with walking(a_store(tmp_path / "ledger", FLOCK)) as pilot:
        pilot.app.screen.desk.pictures = "none"
        screen = await identify(pilot, photo)
        assert "turned off" in screen.query_one(PhotoView).query("Words").first().text
