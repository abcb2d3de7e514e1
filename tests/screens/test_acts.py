"""The menu of what can be entered about a bird, and the short forms behind it."""

import pytest
from builders import a_bird, a_ring
from screen_walk import a_store, arrive, type_in, until, walking, words

from ledger.domain import EventKind, Put, Status
from ledger.screens import acts
from ledger.screens.bird import BirdScreen
from ledger.store import open_store
from ledger.widgets.form import Form
from ledger.widgets.row_list import RowList


@pytest.fixture
def store(tmp_path):
    return a_store(tmp_path / "ledger")


def kept(store):
    with open_store(store, read_only=True) as ledger:
        return ledger.flock


async def bird_page(pilot, bird_id="b0003"):
    pilot.app.push_screen(BirdScreen(pilot.app.screen.desk, bird_id))
    return await arrive(pilot, "BirdScreen")


async def open_act(pilot, letter, bird_id="b0003"):
    await bird_page(pilot, bird_id)
    await pilot.press("a")
    await arrive(pilot, "ActsScreen")
    await pilot.press(letter)
    await until(
        pilot, lambda: type(pilot.app.screen) not in (BirdScreen, acts.ActsScreen)
    )
    await pilot.pause()
    return pilot.app.screen


def test_acts__have_a_letter_each():
    letters = [act.letter for act in acts.ACTS]
    assert len(letters) == len(set(letters))
    assert all(len(x) == 1 and x.isalpha() and x.islower() for x in letters)


@pytest.mark.parametrize("act", acts.ACTS, ids=lambda act: act.letter)
async def test_acts__each_opens_something_that_escape_leaves(store, act):
    async with walking(store) as pilot:
        await bird_page(pilot)
        desk = pilot.app.screen.desk
        screen = act.opened(desk, "b0003")
        pilot.app.push_screen(screen)
        await until(pilot, lambda: pilot.app.screen is screen)
        await pilot.pause()
        await pilot.press("escape")
        await arrive(pilot, "BirdScreen")
        flock = desk.ledger.flock
        assert len(flock.events) == 4


async def test_acts__offers_what_can_happen_to_this_bird(store):
    async with walking(store) as pilot:
        await bird_page(pilot, "b0002")  # dead
        await pilot.press("a")
        screen = await arrive(pilot, "ActsScreen")
        dead = {row.key for row in screen.query_one("#acts", RowList).rows}
        await pilot.press("d")
        await pilot.pause()
        assert pilot.app.screen is screen
        await pilot.press("n")
        await arrive(pilot, "NoteScreen")
    assert "n" in dead
    assert not dead & {"d", "m", "p", "b"}


async def test_acts__from_the_flock_for_the_bird_one_stands_on(store):
    async with walking(store) as pilot:
        await pilot.press("f3")
        await arrive(pilot, "FlockScreen")
        await type_in(pilot, "pip")
        await pilot.press("f8")
        screen = await arrive(pilot, "ActsScreen")
        assert "Pip" in words(pilot, ".title")
        await pilot.press("escape", "down", "a")
        await arrive(pilot, "ActsScreen")
        assert pilot.app.screen is not screen


async def test_moved__changes_where_it_lives(store):
    async with walking(store) as pilot:
        await open_act(pilot, "m")
        await type_in(pilot, "Aviary 9 [/x]")
        await pilot.press("enter")
        await arrive(pilot, "BirdScreen")
        assert "Aviary 9 [/x]" in words(pilot, "#life")
    assert kept(store).birds["b0003"].location == "Aviary 9 [/x]"


async def test_weighed__what_is_no_weight_is_said(store):
    async with walking(store) as pilot:
        screen = await open_act(pilot, "w")
        await pilot.press("enter")
        await until(pilot, lambda: "No weight" in words(pilot, "#trouble"))
        await type_in(pilot, "heavy")
        await pilot.press("enter")
        await until(pilot, lambda: "not a weight" in words(pilot, "#trouble"))
        screen.query_one(Form).put("weight", "398,5")
        await pilot.press("enter")
        await arrive(pilot, "BirdScreen")
    assert kept(store).events_of("b0003")[0].weight_g == 398.5


async def test_vet__choice_is_turned_by_arrows(store):
    async with walking(store) as pilot:
        await open_act(pilot, "v")
        await type_in(pilot, "Meloxicam")
        await pilot.press("down", "right", "enter")
        await arrive(pilot, "BirdScreen")
    event = kept(store).events_of("b0003")[0]
    assert (event.kind, event.text) == (EventKind.TREATED, "Meloxicam")


async def test_died_and_lost_and_found__change_how_it_stands(store):
    async with walking(store) as pilot:
        await open_act(pilot, "l")
        await pilot.press("enter")
        await arrive(pilot, "BirdScreen")
        assert kept(store).birds["b0003"].status is Status.LOST
        await pilot.press("a")
        await arrive(pilot, "ActsScreen")
        await pilot.press("f")
        await arrive(pilot, "HappenedScreen")
        await pilot.press("enter")
        await arrive(pilot, "BirdScreen")
        assert kept(store).birds["b0003"].status is Status.ALIVE
        await pilot.press("a", "d")
        await arrive(pilot, "HappenedScreen")
        await type_in(pilot, "liver")
        await pilot.press("enter")
        await arrive(pilot, "BirdScreen")
    assert kept(store).birds["b0003"].status is Status.DEAD
    assert kept(store).events_of("b0003")[0].text == "liver"


async def test_ring_on__is_stored_as_worn(store):
    async with walking(store) as pilot:
        screen = await open_act(pilot, "o")
        await type_in(pilot, "IE TWK / 26 0042")
        form = screen.query_one(Form)
        form.put("kind", "split")
        form.put("leg", "right")
        form.put("size", "11.5 mm")
        await pilot.press("enter")
        # Right stands for a sexed cock, and Pip is a hen.
        await arrive(pilot, "AskScreen")
        await pilot.press("2")
        await arrive(pilot, "BirdScreen")
        assert "IE TWK / 26 0042" in words(pilot, "#chain")
    ring = kept(store).rings_of("b0003")[-1]
    assert (ring.kind, ring.leg, ring.size_mm) == ("split", "right", 11.5)


async def test_ring_on__outside_the_species_size_is_warned_of_and_asked_for(store):
    # BArtSchV Anlage 6, column 3: Psittacus erithacus 11.5 mm.
    async with walking(store) as pilot:
        screen = await open_act(pilot, "o")
        await type_in(pilot, "IE TWK / 26 0042")
        screen.query_one(Form).put("size", "9.5")
        await pilot.press("enter")
        await arrive(pilot, "AskScreen")
        assert "2 mm too small" in words(pilot, "#about")
        assert "BArtSchV" in words(pilot, "#about")
        await pilot.press("1")
        assert await arrive(pilot, "RingOnScreen") is screen
        assert len(screen.desk.ledger.flock.rings_of("b0003")) == 1
        await pilot.press("enter")
        await arrive(pilot, "AskScreen")
        await pilot.press("2")
        await arrive(pilot, "BirdScreen")
    assert kept(store).rings_of("b0003")[-1].size_mm == 9.5


async def test_ring_on__offers_the_next_of_the_stock_and_takes_its_size(store):
    with open_store(store) as ledger:
        chick = a_bird("b0777", "Wisp", species="Ara ararauna", hatched="2025-12-28")
        rings = [
            a_ring("r0777", "TWK 24 / 0001", size_mm=14.0),
            a_ring("r0778", "TWK 25 / 0001", size_mm=14.0, colour="violet"),
        ]
        changes = [Put(thing) for thing in (chick, *rings)]
        ledger.commit(changes, author="Nora", what="stock")
    async with walking(store) as pilot:
        screen = await open_act(pilot, "o", "b0777")
        form = screen.query_one(Form)
        assert form.entered()["inscription"] == "TWK 25 / 0001"
        form.put("leg", "left")
        form.put("on", "2026-01-12")
        screen.query_one("#inscription").focus()
        await pilot.press("enter")
        await arrive(pilot, "BirdScreen")
    (ring,) = kept(store).rings_of("b0777")
    assert (ring.id, ring.colour, ring.size_mm) == ("r0778", "violet", 14.0)


async def test_ring_on__a_number_twice_is_refused(store):
    async with walking(store) as pilot:
        await open_act(pilot, "o")
        await type_in(pilot, "IE TWK / 19 0179")
        await pilot.press("enter")
        await arrive(pilot, "AskScreen")
        await pilot.press("2")
        await until(pilot, lambda: "two birds" in words(pilot, "#trouble"))
    assert len(kept(store).rings_of("b0003")) == 1
