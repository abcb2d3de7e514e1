"""The flock list, a bird's page, its card, and notes."""

import pytest
from builders import a_bird, a_ring
from screen_walk import (
    HOSTILE,
    a_store,
    arrive,
    on,
    toasts,
    type_in,
    until,
    walking,
    words,
)
from textual.widgets import Input

from ledger.domain import EventKind
from ledger.screens.card import CardScreen
from ledger.services.sighting import Sighting
from ledger.store import open_store
from ledger.widgets.card_view import CardView
from ledger.widgets.row_list import RowList


@pytest.fixture
def store(tmp_path):
    return a_store(tmp_path / "ledger")


def listed(pilot):
    return [row.cells[0] for row in pilot.app.screen.query_one("#birds", RowList).rows]


def events(store, bird_id="b0003"):
    with open_store(store, read_only=True) as kept:
        return kept.flock.events_of(bird_id)


async def flock_page(pilot):
    await pilot.press("f3")
    return await arrive(pilot, "FlockScreen")


async def card_page(pilot, sighting=None):
    desk = pilot.app.screen.desk
    pilot.app.push_screen(CardScreen(desk, "b0003", sighting))
    return await arrive(pilot, "CardScreen")


async def test_flock__those_that_live_here_first(store):
    async with walking(store) as pilot:
        await flock_page(pilot)
        assert listed(pilot) == ["Juno", "Pip", "Rook", "Wren"]
        assert words(pilot, "#count") == "4 of 4 birds"


@pytest.mark.parametrize(
    ("typed", "found"),
    [
        ("pi", ["Pip"]),
        ("hen aviary", ["Pip"]),
        ("twk/190174", []),
        ("190174", ["Pip"]),
        ("19 017", ["Juno", "Pip"]),
        ("DEAD", ["Wren"]),
        ("spring 2013", ["Wren"]),
        (HOSTILE, []),
    ],
)
async def test_flock__narrows_to_birds_with_every_word(store, typed, found):
    async with walking(store) as pilot:
        await flock_page(pilot)
        await type_in(pilot, typed)
        assert listed(pilot) == found


async def test_flock__says_how_many_more_there_are(tmp_path):
    birds = [a_bird(f"b{n:04d}", f"Bird {n}") for n in range(1, 1102)]
    async with walking(a_store(tmp_path / "many", birds)) as pilot:
        await flock_page(pilot)
        assert len(listed(pilot)) == 1000
        assert "101 more not shown" in words(pilot, "#count")


async def test_flock__enter_opens_the_page_and_escape_comes_back(store):
    async with walking(store) as pilot:
        await flock_page(pilot)
        await type_in(pilot, "pip")
        await pilot.press("down", "enter")
        await arrive(pilot, "BirdScreen")
        await pilot.press("escape")
        await arrive(pilot, "FlockScreen")
        assert pilot.app.screen.query_one("#words", Input).value == "pip"
        await pilot.press("f2")
        await arrive(pilot, "CardScreen")


async def test_flock__none_yet_says_how_to_bring_birds_in(tmp_path):
    async with walking(a_store(tmp_path / "empty", [])) as pilot:
        await flock_page(pilot)
        line = pilot.app.screen.query_one("#birds", RowList).render_line(1).text
        assert "No birds yet" in line


async def test_bird__shows_life_marks_family_and_events(store):
    async with walking(store) as pilot:
        await flock_page(pilot)
        await type_in(pilot, "pip")
        await pilot.press("enter")
        await arrive(pilot, "BirdScreen")
        assert "!! peanuts" in words(pilot, "#life")
        assert "IE TWK / 19 0174" in words(pilot, "#chain")
        assert "401 g" in words(pilot, "#events")
        family = pilot.app.screen.query_one("#family", RowList)
        assert [row.cells[:2] for row in family.rows] == [
            ("sire", "Rook"),
            ("dam", "Wren"),
            ("sibling", "Juno"),
        ]
        family.focus()
        await pilot.press("down", "enter")
        await until(pilot, lambda: "Wren" in words(pilot, "#heading"))


async def test_card__urgent_things_first(store):
    async with walking(store) as pilot:
        screen = await card_page(pilot)
        shown = screen.query_one(CardView).render().plain
        order = ["left wing", "Meloxicam", "peanuts", "Aviary 3", "Una Keogh", "Rook"]
        places = [shown.index(word) for word in order]
        assert places == sorted(places)


async def test_card__a_sighting_is_stored_only_when_confirmed(store, tmp_path):
    photo = tmp_path / "ring.jpg"
    photo.write_bytes(b"a photo")
    seen = Sighting("b0003", "r0003", "IE TWK / 19 017?", (photo,))
    async with walking(store) as pilot:
        await card_page(pilot, seen)
        assert "? Is it Pip?" in words(pilot, "#question")
        assert events(store)[0].kind is EventKind.WEIGHED
        await pilot.press("c")
        await until(pilot, lambda: "is stored" in words(pilot, "#question"))
        await pilot.press("c")
        await pilot.pause()
    first, second = events(store)[:2]
    assert first.kind is EventKind.SIGHTED
    assert first.by == "Nora Byrne"
    assert first.ring == "r0003"
    assert len(first.photos) == 1
    assert second.kind is EventKind.WEIGHED


async def test_card__going_back_stores_nothing(store):
    async with walking(store) as pilot:
        await card_page(pilot, Sighting("b0003", "r0003", "x"))
        await pilot.press("escape")
        await arrive(pilot, "StartScreen")
    assert events(store)[0].kind is EventKind.WEIGHED


async def test_card__what_cannot_be_stored_is_said(store, tmp_path):
    gone = Sighting("b0003", "r0003", "x", (tmp_path / "gone [/x].jpg",))
    async with walking(store) as pilot:
        await card_page(pilot, gone)
        await pilot.press("c")
        await until(pilot, lambda: toasts(pilot) != [])
        assert toasts(pilot)[0][0] == "Sighting not stored"
        assert "gone [/x].jpg" in toasts(pilot)[0][1]
        assert "? Is it Pip?" in words(pilot, "#question")


async def test_card__without_a_ring_read_there_is_nothing_to_confirm(store):
    async with walking(store) as pilot:
        screen = await card_page(pilot)
        assert "c" not in screen.active_bindings
        await pilot.press("c")
        await pilot.pause()
    assert events(store)[0].kind is EventKind.WEIGHED


async def test_note__with_weight_and_date_lands_on_the_page(store):
    async with walking(store) as pilot:
        await card_page(pilot)
        await pilot.press("n")
        screen = await arrive(pilot, "NoteScreen")
        await type_in(pilot, "Sneezes [/x]")
        await pilot.press("tab")
        await type_in(pilot, "398,5 g")
        screen.query_one("#on", Input).value = "2026-01-14"
        await pilot.press("enter")
        await arrive(pilot, "CardScreen")
        assert "Sneezes [/x]" in pilot.app.screen.query_one(CardView).render().plain
    note = events(store)[0]
    assert (note.kind, note.text, note.weight_g) == ("note", "Sneezes [/x]", 398.5)
    assert str(note.on) == "2026-01-14"


@pytest.mark.parametrize(
    ("text", "weight", "on_day", "said"),
    [
        ("", "", "", "says nothing"),
        ("x", "heavy", "", "not a weight"),
        ("x", "0", "", "not a weight"),
        ("x", "", "12/4/2019", "not a date"),
        ("x", "", "2019-02-30", "no such day"),
        ("x", "", "2027", "lies ahead"),
        ("x", HOSTILE, HOSTILE, "not a weight"),
    ],
)
async def test_note__what_is_wrong_is_said_and_nothing_stored(
    store, text, weight, on_day, said
):
    async with walking(store) as pilot:
        await card_page(pilot)
        await pilot.press("n")
        screen = await arrive(pilot, "NoteScreen")
        for name, value in [("text", text), ("weight", weight), ("on", on_day)]:
            screen.query_one(f"#{name}", Input).value = value
        await pilot.press("enter")
        await until(pilot, lambda: said in words(pilot, "#trouble"))
        await pilot.press("escape")
        await arrive(pilot, "CardScreen")
    assert events(store)[0].kind is EventKind.WEIGHED


async def test_check__lists_what_needs_a_look(tmp_path):
    twice = [
        a_bird("b0001", "Rook"),
        a_bird("b0002", "Wren", hatched="2010", sire="b0003"),
        a_bird("b0003", "Pip", hatched="2020"),
        a_ring("r0001", "IE TWK / 12 0003", bird="b0001"),
    ]
    async with walking(a_store(tmp_path / "odd", twice)) as pilot:
        await pilot.press("f5")
        screen = await arrive(pilot, "FindingsScreen")
        rows = screen.query_one("#rows", RowList)
        await until(pilot, lambda: len(rows.rows) > 0)
        assert rows.rows[0].cells[0] == "✗"
        assert words(pilot, "#remedy")
        await pilot.press("enter")
        await arrive(pilot, "BirdScreen")


async def test_check__all_in_order_is_said(store):
    async with walking(store) as pilot:
        await pilot.press("f5")
        screen = await arrive(pilot, "FindingsScreen")
        rows = screen.query_one("#rows", RowList)
        await until(pilot, lambda: "Checking" not in rows.render_line(0).text)
        assert on(pilot, "FindingsScreen")
