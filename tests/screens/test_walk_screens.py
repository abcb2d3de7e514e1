"""A walk-through by keys: planned, walked, broken off, settled, taken over."""

import pytest
from builders import a_bird, a_chip, a_ring, an_event
from screen_walk import (
    HOSTILE,
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

from ledger.domain import EventKind, FlockSettings, SeenHow, Settled, Status
from ledger.services import walk, walk_plan
from ledger.settings import load_settings
from ledger.store import open_store
from ledger.widgets.big_words import BigWords, block_letters
from ledger.widgets.row_list import RowList
from ocr.reading import Line

BIRDS = (
    FlockSettings(name="Tidewrack Aviaries", walking_order=("Aviary 1", "Aviary 2")),
    a_bird("b0001", "Juno", location="Aviary 1", species="Grey"),
    a_bird("b0002", f"Pip {HOSTILE}", location="Aviary 1"),
    a_bird("b0003", "Rook", location="Aviary 2"),
    a_bird("b0004", "Maeve", status="dead"),
    a_ring("r0001", "IE TWK / 19 0174", bird="b0001"),
    a_ring("r0002", f"IE TWK / 19 0188 {HOSTILE}", bird="b0002"),
    a_ring("r0003", "IE TWK / 20 0203", bird="b0003"),
    a_ring("r0004", "IE TWK / 12 0066", bird="b0004"),
    a_chip("c0001", "372098100000001", bird="b0001"),
    an_event("e0001", "b0004", EventKind.DIED, "2024-03-01"),
)


@pytest.fixture
def store(tmp_path):
    return a_store(tmp_path / "ledger", BIRDS)


def flock(pilot):
    return pilot.app.screen.desk.ledger.flock


def seen(pilot):
    return [(s.bird, s.how, s.aviary) for s in flock(pilot).sightings_in("w0001")]


async def in_aviary(pilot):
    """The first aviary of a new round."""
    await pilot.press("f7")
    await arrive(pilot, "WalkScreen")
    await pilot.press("enter")
    return await arrive(pilot, "AviaryScreen")


async def test_start__f7_shows_aviaries_in_walking_order(store):
    async with walking(store) as pilot:
        await pilot.press("f7")
        await arrive(pilot, "WalkScreen")
        rows = pilot.app.screen.query_one(RowList)
        assert [row.cells[1:3] for row in rows.rows] == [
            ("Aviary 1", "2"),
            ("Aviary 2", "1"),
        ]
        await pilot.press("d")
        await pilot.pause()
        assert flock(pilot).settings.walking_order == ("Aviary 2", "Aviary 1")
        assert rows.row.key == "Aviary 1"


async def test_aviary__two_digits_and_enter_see_a_bird(store):
    async with walking(store) as pilot:
        await in_aviary(pilot)
        await type_in(pilot, "74")
        assert "Enter: Juno" in words(pilot, "#typed")
        await pilot.press("enter")
        await pilot.pause()
        assert seen(pilot) == [("b0001", SeenHow.TYPED, "Aviary 1")]
        assert "✓ Juno" in words(pilot, "#said")
        # The mark went on to the next bird not seen.
        assert pilot.app.screen.query_one(RowList).row.key == "b0002"


async def test_aviary__a_burst_as_from_a_scanner_keeps_its_order(store):
    async with walking(store) as pilot:
        await in_aviary(pilot)
        for key in [*"372098100000001", "enter", *"88", "enter", "right"]:
            sign = key if len(key) == 1 else None
            pilot.app.post_message(events.Key(key, sign))
        await arrive(pilot, "SeenScreen")
        assert [bird for bird, *_ in seen(pilot)] == ["b0001", "b0002"]


async def test_aviary__a_held_key_and_space_tick_the_bird_they_reach(store):
    async with walking(store) as pilot:
        await in_aviary(pilot)
        for key in ("down", "up", "down", "8", "escape", "up", "down", "space"):
            sign = " " if key == "space" else key if len(key) == 1 else None
            pilot.app.post_message(events.Key(key, sign))
        await until(pilot, lambda: seen(pilot) != [])
        assert [bird for bird, *_ in seen(pilot)] == ["b0002"]


async def test_aviary__what_is_marked_is_what_enter_takes(store):
    async with walking(store) as pilot:
        await in_aviary(pilot)
        await pilot.press("down")  # Pip is marked; typing marks the likeliest anew
        await type_in(pilot, "74")
        assert pilot.app.screen.query_one(RowList).row.key == "b0001"
        await pilot.press("enter")
        await pilot.pause()
        assert seen(pilot)[0][0] == "b0001"


async def test_aviary__space_ticks_a_bird_known_by_sight(store):
    async with walking(store) as pilot:
        await in_aviary(pilot)
        await pilot.press("down", "space")
        await pilot.pause()
        assert seen(pilot) == [("b0002", SeenHow.BY_SIGHT, "Aviary 1")]
        rows = {r.key: r.cells for r in pilot.app.screen.query_one(RowList).rows}
        assert rows["b0002"][0] == "○"
        assert rows["b0002"][3].startswith("known by sight")
        await pilot.press("up", "down", "space")
        await pilot.pause()
        assert len(seen(pilot)) == 1
        assert "already" in words(pilot, "#said")


async def test_aviary__several_that_fit_are_not_taken_by_one_enter(store):
    async with walking(store) as pilot:
        await in_aviary(pilot)
        await type_in(pilot, "twk")
        await pilot.press("enter")
        await arrive(pilot, "AskScreen")
        assert "Which bird" in pilot.app.screen.query_one(".title").text
        await pilot.press("2")
        await arrive(pilot, "AviaryScreen")
        assert len(seen(pilot)) == 1


async def test_aviary__one_of_several_is_marked_by_hand(store):
    async with walking(store) as pilot:
        await in_aviary(pilot)
        await type_in(pilot, "twk")
        marked = pilot.app.screen.query_one(RowList).rows[1].key
        await pilot.press("down", "enter")
        await until(pilot, lambda: seen(pilot) != [])
        assert [bird for bird, *_ in seen(pilot)] == [marked]


async def test_aviary__state_and_weight_in_two_keys(store):
    async with walking(store) as pilot:
        await in_aviary(pilot)
        await type_in(pilot, "74")
        await pilot.press("enter", "right")
        await arrive(pilot, "SeenScreen")
        await pilot.press("6")
        await arrive(pilot, "AviaryScreen")
        (sighting,) = flock(pilot).sightings_in("w0001")
        assert sighting.leg_state == "swelling"
        assert "avian vet" in toasts(pilot)[0][1]
        await pilot.press("right", "8")
        await pilot.pause()
        await type_in(pilot, "none")
        await pilot.press("enter")
        await pilot.pause()
        assert "not a weight" in words(pilot, "#trouble")
        await pilot.press(*["backspace"] * 4)
        await type_in(pilot, "412")
        await pilot.press("enter")
        await arrive(pilot, "AviaryScreen")
        await pilot.press("right", "9")
        await pilot.pause()
        await type_in(pilot, "74 loud")
        await pilot.press("enter")
        await arrive(pilot, "AviaryScreen")
        (sighting,) = flock(pilot).sightings_in("w0001")
        assert (sighting.weight_g, sighting.notes) == (412.0, "74 loud")
        await pilot.press("right", "0")
        await arrive(pilot, "AviaryScreen")
        assert seen(pilot) == []


async def test_aviary__a_bird_of_elsewhere_is_asked_about_at_once(store):
    async with walking(store) as pilot:
        await in_aviary(pilot)
        await type_in(pilot, "0203")
        await pilot.press("enter")
        await arrive(pilot, "AskScreen")
        assert words(pilot, "#about") == "Rook should be in Aviary 2."
        await pilot.press("1")
        await arrive(pilot, "AviaryScreen")
        (sighting,) = flock(pilot).sightings_in("w0001")
        assert sighting.settled == Settled.LIVES_HERE


async def test_aviary__look_again_stores_nothing(store):
    async with walking(store) as pilot:
        await in_aviary(pilot)
        await type_in(pilot, "0066")
        await pilot.press("enter")
        await arrive(pilot, "AskScreen")
        assert "recorded as dead" in words(pilot, "#about")
        await pilot.press("escape")
        await arrive(pilot, "AviaryScreen")
        assert seen(pilot) == []


async def test_aviary__an_unknown_ring_is_stored_after_a_second_look(store):
    async with walking(store) as pilot:
        await in_aviary(pilot)
        await type_in(pilot, "hax 55 8816#")
        assert "No ring that we know bears" in words(pilot, "#typed")
        await pilot.press("enter")
        await arrive(pilot, "AskScreen")
        await pilot.press("1")
        await arrive(pilot, "AviaryScreen")
        assert seen(pilot) == [(None, SeenHow.TYPED, "Aviary 1")]


async def test_aviary__a_chips_number_offers_the_chips_bird(store):
    async with walking(store) as pilot:
        await in_aviary(pilot)
        await type_in(pilot, "372098100000001")
        assert "Juno" in words(pilot, "#typed")
        await pilot.press("enter")
        await pilot.pause()
        assert seen(pilot) == [("b0001", SeenHow.CHIP, "Aviary 1")]


async def test_aviary__closing_names_the_missing_first(store):
    async with walking(store) as pilot:
        await in_aviary(pilot)
        await pilot.press("space", "enter")
        await arrive(pilot, "AskScreen")
        assert HOSTILE in words(pilot, "#about")
        await pilot.press("2")
        await arrive(pilot, "AviaryScreen")
        assert not flock(pilot).walks["w0001"].stops[0].done
        await pilot.press("enter")
        await arrive(pilot, "AskScreen")
        await pilot.press("1")
        await arrive(pilot, "AviaryScreen")
        assert flock(pilot).walks["w0001"].stops[0].done
        assert "Aviary 2" in words(pilot, "#heading")
        await pilot.press("space", "enter")
        await arrive(pilot, "WalkScreen")


async def test_aviary__an_empty_one_says_so_and_enter_goes_on(tmp_path):
    settings = FlockSettings(walking_order=("Empty 1", "Aviary 1", "Aviary 2"))
    folder = a_store(tmp_path / "ledger", (settings, *BIRDS[1:]))
    async with walking(folder) as pilot:
        await in_aviary(pilot)
        assert "Enter closes this aviary" in words(pilot, "#typed")
        await pilot.press("enter")
        await until(pilot, lambda: "Aviary 1" in words(pilot, "#heading"))


async def test_walk__goes_on_at_the_very_bird_after_a_break(store):
    async with walking(store) as pilot:
        await in_aviary(pilot)
        await pilot.press("space")
        await pilot.pause()
        await pilot.press("escape")
        await arrive(pilot, "WalkScreen")
    async with walking(store) as pilot:
        await pilot.press("f7")
        await arrive(pilot, "WalkScreen")
        await pilot.press("enter")
        await arrive(pilot, "AviaryScreen")
        assert pilot.app.screen.query_one(RowList).row.key == "b0002"
        await type_in(pilot, "88")
        await pilot.press("escape")
        assert on(pilot, "AviaryScreen")
        assert words(pilot, "#typed").startswith("▸ ▏")


async def test_aviary__large_text_is_remembered(store):
    async with walking(store) as pilot:
        screen = await in_aviary(pilot)
        assert not screen.query_one(BigWords).display
        await pilot.press("f6")
        await pilot.pause()
        assert screen.query_one(BigWords).display
        assert screen.query_one(BigWords).words == "74 Juno"
        assert screen.query_one(RowList).spread
        assert load_settings().large


async def test_aviary__wide_rows_answer_to_clicks_and_pages(store):
    async with walking(store, large=True) as pilot:
        await in_aviary(pilot)
        rows = pilot.app.screen.query_one(RowList)
        await pilot.click(rows, offset=(5, 2))
        await pilot.pause()
        assert rows.cursor == 1
        await pilot.press("pageup")
        await pilot.pause()
        assert rows.cursor == 0
        await pilot.click(rows, offset=(5, 1))  # the empty line below the first row
        await pilot.pause()
        assert rows.cursor == 0
        assert on(pilot, "AviaryScreen")  # a click on the marked row closes nothing


def test_block_letters__are_six_rows_of_blocks():
    rows = block_letters("74 Ó語")
    assert len(rows) == 6
    assert set("".join(rows)) <= set(" ▀▄█")
    assert any(row.strip() for row in rows)
    assert block_letters(" ") == ("",) * 6


async def test_round__is_settled_ended_and_taken_over(store):
    async with walking(store) as pilot:
        await in_aviary(pilot)
        await type_in(pilot, "0203")
        await pilot.press("enter")
        await arrive(pilot, "AskScreen")
        await pilot.press("2")
        await arrive(pilot, "AviaryScreen")
        await pilot.press("escape")
        await arrive(pilot, "WalkScreen")
        await pilot.press("r")
        await arrive(pilot, "RoundScreen")
        rows = pilot.app.screen.query_one(RowList)
        assert rows.row.cells[1:5] == (
            "wrong aviary", "Rook", "Aviary 1", "carried back",
        )  # fmt: skip
        await pilot.press("enter")
        await arrive(pilot, "AskScreen")
        await pilot.press("1")
        await arrive(pilot, "RoundScreen")
        assert rows.row.cells[4] == "lives here now"
        await pilot.press("a")
        await arrive(pilot, "AskScreen")
        await pilot.press("1")
        await arrive(pilot, "RoundScreen")
        assert "still goes on" in toasts(pilot)[-1][1]
        await pilot.press("e")
        await arrive(pilot, "AskScreen")
        await pilot.press("1")
        await arrive(pilot, "RoundScreen")
        assert [row.cells[1] for row in rows.rows] == [
            "wrong aviary", "not walked", "not walked",
        ]  # fmt: skip
        await pilot.press("a")
        await arrive(pilot, "AskScreen")
        await pilot.press("1")
        await arrive(pilot, "RoundScreen")
        assert flock(pilot).birds["b0003"].location == "Aviary 1"
        assert flock(pilot).birds["b0001"].status is Status.ALIVE
        await pilot.press("c", "p")
        await pilot.pause()
        folder = pilot.app.screen.desk.ledger.folder
        assert (folder / "round-w0001.csv").is_file()
        assert (folder / "round-w0001.pdf").is_file()


async def test_walk__the_sheet_and_earlier_rounds(store):
    async with walking(store) as pilot:
        await pilot.press("f7")
        await arrive(pilot, "WalkScreen")
        await pilot.press("r")
        await pilot.pause()
        assert "No round was walked yet." in toasts(pilot)[-1][1]
        await pilot.press("p")
        await pilot.pause()
        folder = pilot.app.screen.desk.ledger.folder
        assert list(folder.glob("walk-sheet-*.pdf"))
        await pilot.press("enter")
        await arrive(pilot, "AviaryScreen")
        await pilot.press("escape")
        await arrive(pilot, "WalkScreen")
        await pilot.press("l")
        await arrive(pilot, "RoundsScreen")
        row = pilot.app.screen.query_one(RowList).row
        assert row.cells[0] == "w0001"
        assert row.cells[3] == "goes on"


# --- photos ---

JUNOS = a_reading(Line(glyphs("IE TWK")), Line(glyphs("19 0174")))
ROOKS = a_reading(Line(glyphs("IE TWK")), Line(glyphs("20 0203")))
NO_RING = a_reading(found=False)


class ByName(LeashedReader):
    """Answers by the photo's name."""

    def __call__(self, paths, *, report, cancelled):
        super().__call__(paths, report=report, cancelled=cancelled)
        return {"j": JUNOS, "r": ROOKS, "n": NO_RING}[paths[0].name[0]]


@pytest.fixture
def photos(tmp_path):
    folder = tmp_path / "phone"
    folder.mkdir()
    for name in ("j1", "j2", "r1", "n1", "n2"):
        (folder / f"{name}.jpg").write_bytes(name.encode())
    (folder / "j3.jpg").write_bytes(b"j1")
    return folder


async def test_photos__are_sorted_by_ring_and_taken(store, photos):
    async with walking(store, reader=ByName(), inbox=str(photos)) as pilot:
        await in_aviary(pilot)
        await pilot.press("f2")
        await arrive(pilot, "PhotosOfScreen")
        await pilot.press("enter")
        await arrive(pilot, "PhotosScreen")
        await until(pilot, lambda: "2 rings" in words(pilot, "#stage"))
        assert "2 without a ring, 1 that are copies" in words(pilot, "#stage")
        rows = pilot.app.screen.query_one(RowList)
        assert [row.cells[1] for row in rows.rows] == ["2", "1"]
        await pilot.press("a")
        await pilot.pause()
        assert seen(pilot) == [("b0001", SeenHow.PHOTO, "Aviary 1")]
        (sighting,) = flock(pilot).sightings_in("w0001")
        assert len(sighting.photos) == 2
        rows.cursor = 1
        await pilot.press("enter")
        await arrive(pilot, "AskScreen")
        await pilot.press("1")
        await arrive(pilot, "PhotosScreen")
        assert [bird for bird, *_ in seen(pilot)] == ["b0001", "b0003"]


async def test_photos__escape_stops_and_sorts_what_was_read(store, photos):
    reader = ByName()
    reader.gate.clear()
    async with walking(store, reader=reader, inbox=str(photos)) as pilot:
        await in_aviary(pilot)
        await pilot.press("f2")
        await arrive(pilot, "PhotosOfScreen")
        await pilot.press("enter")
        await arrive(pilot, "PhotosScreen")
        await until(pilot, lambda: reader.asked != [])
        await pilot.press("escape")
        await until(pilot, lambda: "0 rings" in words(pilot, "#stage"))
        assert on(pilot, "PhotosScreen")
        await pilot.press("escape")
        await arrive(pilot, "AviaryScreen")


async def test_photos__an_empty_folder_is_said(store, tmp_path):
    async with walking(store, inbox=str(tmp_path / "none")) as pilot:
        (tmp_path / "none").mkdir()
        await in_aviary(pilot)
        await pilot.press("f2")
        await arrive(pilot, "PhotosOfScreen")
        await pilot.press("enter")
        await pilot.pause()
        assert "no photo in this folder" in words(pilot, "#trouble")


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_footer__has_room_for_every_key(store, size):
    from textual.widgets import Footer

    with open_store(store) as opened:
        from ledger.services.book import Ledger

        ledger = Ledger(opened)
        from screen_walk import NOW

        walk_plan.begin(ledger, NOW, "test")
        walk.see(ledger, "w0001", "Aviary 2", NOW, "test", bird_id="b0001")
    async with walking(store, size=size) as pilot:
        assert pilot.app.screen.query_one(Footer).max_scroll_x == 0
        await pilot.press("f7")
        await arrive(pilot, "WalkScreen")
        assert pilot.app.screen.query_one(Footer).max_scroll_x == 0
        await pilot.press("enter")
        await arrive(pilot, "AviaryScreen")
        assert pilot.app.screen.query_one(Footer).max_scroll_x == 0
        await pilot.press("escape")
        await arrive(pilot, "WalkScreen")
        await pilot.press("r")
        await arrive(pilot, "RoundScreen")
        assert pilot.app.screen.query_one(Footer).max_scroll_x == 0
