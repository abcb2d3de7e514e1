"""The nests, a clutch and a curve: walked by keys, and how they look."""

import pytest
from builders import TODAY, a_bird, a_date, an_event
from screen_walk import (
    FLOCK,
    HOSTILE,
    NOW,
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

from ledger.app import LedgerApp
from ledger.domain import (
    Clutch,
    Egg,
    EggFate,
    EventKind,
    FlockSettings,
    OwnSize,
    Pair,
    Ring,
    RingKind,
    RingState,
)
from ledger.screens.bird import BirdScreen
from ledger.screens.clutch import ClutchScreen
from ledger.screens.nest import NestScreen
from ledger.screens.ring_chick import RingChickScreen
from ledger.screens.weights import WeightsScreen
from ledger.settings import Settings
from ledger.store import open_store
from ledger.widgets.row_list import RowList

SIZES = [(80, 24), (120, 40)]
THINGS = (
    *(it for it in FLOCK if not isinstance(it, FlockSettings)),
    FlockSettings(
        name="Tidewrack Aviaries",
        keeper="h0002",
        vet="h0001",
        own_sizes=(OwnSize("Cockatiel", 5.5),),
    ),
    a_bird("b0020", "Fen", sex="cock", species="Cockatiel", location="Meadow 1"),
    a_bird("b0021", "Lark", sex="hen", species="Cockatiel", location="Meadow 1"),
    a_bird("b0022", HOSTILE, sex="hen", species="Galah", location="Dune 2"),
    a_bird("b0030", "Bit", species="Cockatiel", hatched="2026-01-06",
           sire="b0020", dam="b0021", location="Meadow 1"),
    a_bird("b0031", "Late", species="Cockatiel", hatched="2025-12-12",
           sire="b0020", dam="b0021", location="Meadow 1"),
    Pair("p0001", "b0020", "b0021", formed=a_date("2025-10-01")),
    Pair("p0002", "b0001", "b0022", formed=a_date("2025-10-01"), location="Dune 2"),
    Clutch(
        "k0001",
        "p0001",
        laid=a_date("2025-12-15"),
        eggs=(
            Egg(1, a_date("2025-12-16"), EggFate.HATCHED, a_date("2026-01-06"),
                "b0030"),
            Egg(2, a_date("2025-12-26"), EggFate.FERTILE, candled=a_date("2026-01-03")),
            Egg(3, a_date("2026-01-07"), notes=HOSTILE),
        ),
    ),
    Ring("r0050", "IE TWK / 26 0014", RingKind.CLOSED, "blue", 5.5),
    Ring("r0051", "IE TWK / 26 0015", RingKind.CLOSED, "blue", 5.5),
    Ring("r0052", "TWK S 3", RingKind.SPLIT, "", 5.5),
    an_event("e0030", "b0030", EventKind.WEIGHED, "2026-01-06", weight_g=4.6),
    an_event("e0031", "b0030", EventKind.WEIGHED, "2026-01-09", weight_g=11.5),
    an_event("e0032", "b0030", EventKind.WEIGHED, "2026-01-12", weight_g=26.0),
    an_event("e0033", "b0030", EventKind.WEIGHED, "2026-01-14", weight_g=41.0),
)  # fmt: skip


@pytest.fixture
def store(tmp_path):
    return a_store(tmp_path / "ledger", THINGS)


def kept(store):
    with open_store(store, read_only=True) as opened:
        return opened.flock


def rows(pilot, which):
    return [row.cells for row in pilot.app.screen.query_one(which, RowList).rows]


async def nests(pilot):
    await pilot.press("ctrl+n")
    await arrive(pilot, "NestScreen")


async def clutch(pilot, *keys):
    await nests(pilot)
    await pilot.press("down", "enter")
    await arrive(pilot, "ClutchScreen")
    await pilot.press(*keys)
    await pilot.pause()


async def put(pilot, name, text):
    """Write a text into a line of the form in place of what stands there."""
    line = pilot.app.screen.query_one(f"#{name}", Input)
    line.focus()
    line.value = ""
    await pilot.pause()
    await type_in(pilot, text)


async def stored(pilot, name="ClutchScreen"):
    await pilot.press("enter")
    await arrive(pilot, name)


async def test_life__egg_hatched_weighed_ringed_fledged_weaned_by_keys(store):
    async with walking(store) as pilot:
        await clutch(pilot, "l")
        await arrive(pilot, "NestForm")
        await stored(pilot)
        await pilot.press("end", "c")
        await arrive(pilot, "NestForm")
        await stored(pilot)
        assert rows(pilot, "#eggs")[3][3] == "fertile"
        await pilot.press("up", "up", "h")  # egg 2, laid three weeks ago
        await arrive(pilot, "NestForm")
        await type_in(pilot, "Dot")
        await put(pilot, "weight", "4.4")
        await stored(pilot)
        assert rows(pilot, "#eggs")[1][3:5] == ("hatched", "Dot")
        await pilot.press("home", "w")
        await arrive(pilot, "HappenedScreen")
        await type_in(pilot, "46")
        await stored(pilot)
        assert rows(pilot, "#eggs")[0][7] == "46 g +5.0/d"
        await pilot.press("r")
        await arrive(pilot, "RingChickScreen")
        assert "open until 2026-01-18" in words(pilot, "#said")
        await stored(pilot)
        await pilot.press("f")
        await arrive(pilot, "HappenedScreen")
        await stored(pilot)
        assert rows(pilot, "#eggs")[0][3] == "fledged"
        await pilot.press("n")
        await arrive(pilot, "HappenedScreen")
        await stored(pilot)
        assert rows(pilot, "#eggs")[0][3] == "weaned"
    flock = kept(store)
    assert len(flock.clutches["k0001"].eggs) == 4
    (dot,) = flock.birds_named("Dot")
    assert (dot.sire, dot.dam, dot.location) == ("b0020", "b0021", "Meadow 1")
    ring = flock.rings["r0050"]
    assert (ring.state, ring.bird) == (RingState.ON_BIRD, "b0030")
    kinds = [str(event.kind) for event in flock.events_of("b0030")][:4]
    assert kinds == ["weaned", "fledged", "ring put on", "weighed"]


async def test_nest__lists_pairs_by_aviary_with_what_is_due(store):
    async with walking(store) as pilot:
        await nests(pilot)
        dune, meadow = rows(pilot, "#nests")
        assert dune[1:3] == ("Dune 2", f"Rook and {HOSTILE}")
        assert meadow[0] == "!"
        assert meadow[4] == "^●o"
        assert "+" in meadow[5]
        await pilot.press("down")
        await pilot.pause()
        assert "Bit has no ring: 9 days old; open until 2026-01-18" in words(
            pilot, "#due"
        )


async def test_nest__a_pair_without_eggs_begins_a_clutch(store):
    async with walking(store) as pilot:
        await nests(pilot)
        await pilot.press("enter")
        await arrive(pilot, "NestForm")
        await stored(pilot, "NestScreen")
        assert rows(pilot, "#nests")[0][4] == "o"
    assert len(kept(store).clutches_of("p0002")) == 1


async def test_nest__parts_a_pair(store):
    async with walking(store) as pilot:
        await nests(pilot)
        await pilot.press("p")
        await arrive(pilot, "NestForm")
        await stored(pilot, "NestScreen")
        assert len(rows(pilot, "#nests")) == 1
    assert str(kept(store).pairs["p0002"].parted) == str(TODAY)


async def test_clutch__escape_leaves_every_form_and_stores_nothing(store):
    before = kept(store)
    async with walking(store) as pilot:
        await clutch(pilot)
        for key in "lwrfndgochx":
            if key == "c":  # of an egg that has not hatched
                await pilot.press("down")
            await pilot.press(key)
            await until(pilot, lambda: not on(pilot, "ClutchScreen"))
            await pilot.pause()
            await pilot.press("escape")
            await arrive(pilot, "ClutchScreen")
        await pilot.press("escape")
        await arrive(pilot, "NestScreen")
        await pilot.press("escape")
        await arrive(pilot, "StartScreen")
    assert kept(store) == before


async def test_clutch__an_act_on_the_wrong_line_is_said(store):
    async with walking(store) as pilot:
        await clutch(pilot, "h", "c")
        assert [said for _, said in toasts(pilot)] == ["Egg 1 has hatched."] * 2
        await pilot.press("down", "w", "r")
        await pilot.pause()
        assert on(pilot, "ClutchScreen")
        assert "Egg 2 has no chick." in toasts(pilot)[-1][1]


async def test_clutch__an_egg_that_would_hatch_before_it_was_laid_is_refused(store):
    async with walking(store) as pilot:
        await clutch(pilot, "end", "h")
        await arrive(pilot, "NestForm")
        await put(pilot, "on", "2026-01-01")
        await pilot.press("enter")
        await pilot.pause()
        assert "before it was laid" in words(pilot, "#trouble")
        assert on(pilot, "NestForm")
    assert len(kept(store).birds) == len(kept(a_copy(store)).birds)


def a_copy(store):
    """The ledger as it was set up."""
    return a_store(store.parent / "other", THINGS)


async def test_clutch__enter_opens_the_chicks_page(store):
    async with walking(store) as pilot:
        await clutch(pilot, "enter")
        await arrive(pilot, "BirdScreen")


async def test_weigh__a_loss_is_told_and_comes_first_in_the_nests(store):
    async with walking(store) as pilot:
        await clutch(pilot, "w")
        await arrive(pilot, "HappenedScreen")
        await type_in(pilot, "39")
        await stored(pilot)
        assert any("2 g less than on 2026-01-14" in said for _, said in toasts(pilot))
        await pilot.press("g")
        await arrive(pilot, "WeightsScreen")
        assert "avian vet" in words(pilot, "#loss")
        assert rows(pilot, "#weights")[0] == ("2026-01-15", "9", "39", "▼ -2.0")


async def test_ring__too_large_is_warned_of_and_stored_on_the_second_enter(store):
    async with walking(store) as pilot:
        await clutch(pilot, "r")
        await arrive(pilot, "RingChickScreen")
        await put(pilot, "inscription", "ABC 7")
        await put(pilot, "size", "7.5")
        await pilot.press("enter")
        await pilot.pause()
        assert "2 mm too large" in words(pilot, "#trouble")
        assert len(kept(store).rings_of("b0030")) == 0
        await stored(pilot)
    (ring,) = kept(store).rings_of("b0030")
    assert (ring.inscription, ring.size_mm) == ("ABC 7", 7.5)


async def late_chick(pilot):
    desk = pilot.app.screen.desk
    pilot.app.push_screen(RingChickScreen(desk, "b0031"))
    await arrive(pilot, "RingChickScreen")


async def test_ring__missed_days_offer_split_and_say_what_it_proves_no_more(store):
    async with walking(store) as pilot:
        await late_chick(pilot)
        assert "neither proves any more" in words(pilot, "#said")
        assert pilot.app.screen.query_one("#inscription", Input).value == "TWK S 3"
        await pilot.press("enter")
        await arrive(pilot, "StartScreen")
    assert kept(store).rings["r0052"].bird == "b0031"


async def test_ring__closed_after_its_days_needs_a_word_on_how(store):
    async with walking(store) as pilot:
        await late_chick(pilot)
        await pilot.press("down", "right")
        await pilot.pause()
        line = pilot.app.screen.query_one("#inscription", Input)
        assert line.value == "" or line.value == "IE TWK / 26 0014"
        await put(pilot, "inscription", "IE TWK / 26 0014")
        await pilot.press("enter")
        await pilot.pause()
        assert "missed" in words(pilot, "#trouble")
        assert "say how" in words(pilot, "#trouble")
        await put(pilot, "although", "A runt; it slipped on.")
        await pilot.press("enter")
        await pilot.pause()
        assert "Enter once more" in words(pilot, "#trouble")
        await pilot.press("enter")
        await arrive(pilot, "StartScreen")
    ring = kept(store).rings["r0050"]
    assert ring.bird == "b0031"
    assert ring.notes == "Put on after its days. A runt; it slipped on."


async def test_own_days__are_kept_and_hold_at_once(store):
    async with walking(store) as pilot:
        await clutch(pilot, "o")
        await arrive(pilot, "OwnDaysScreen")
        await put(pilot, "first", "11")
        await put(pilot, "last", "9")
        await pilot.press("enter")
        await pilot.pause()
        assert "Day 11 comes after day 9" in words(pilot, "#trouble")
        await put(pilot, "last", "13")
        await stored(pilot)
        assert "not yet: opens 2026-01-17" in words(pilot, "#about")
    (own,) = kept(store).settings.own_windows
    assert (own.species, own.first_day, own.last_day) == ("Cockatiel", 11, 13)


async def test_bird_page__offers_what_a_chick_goes_through(store):
    async with walking(store) as pilot:
        desk = pilot.app.screen.desk
        pilot.app.push_screen(BirdScreen(desk, "b0030"))
        await arrive(pilot, "BirdScreen")
        await pilot.press("a")
        await arrive(pilot, "ActsScreen")
        letters = [cells[0] for cells in rows(pilot, "#acts")]
        assert {"C", "E", "U", "G"} <= set(letters)
        await pilot.press("g")
        await arrive(pilot, "WeightsScreen")


@pytest.mark.parametrize("bird_id", ["b0003", "b0004", "b0031"])
async def test_weights__of_a_grown_bird_and_of_one_never_weighed(store, bird_id):
    # Pip weighs more than the handbook's mean of 333 g (Dunning 2008).
    async with walking(store) as pilot:
        pilot.app.push_screen(WeightsScreen(pilot.app.screen.desk, bird_id))
        await arrive(pilot, "WeightsScreen")
        weighed = len(rows(pilot, "#weights"))
        assert weighed == {"b0003": 2}.get(bird_id, 0)


@pytest.fixture
def look(store, snap_compare):
    """Compare a page with the picture that was kept of it."""

    def compare(size, page, *keys):
        app = LedgerApp(store, settings=Settings(keeper="Nora Byrne"), now=lambda: NOW)

        async def before(pilot):
            await until(pilot, lambda: len(app.screen_stack) > 1)
            await pilot.pause()
            app.push_screen(page(app.screen.desk))
            await until(pilot, lambda: len(app.screen_stack) > 2)
            await pilot.pause()
            await pilot.press(*keys)
            app.cursor_blink = False
            await pilot.pause()

        return snap_compare(app, terminal_size=size, run_before=before)

    return compare


@pytest.mark.parametrize("size", SIZES)
def test_nests__look(look, size):
    assert look(size, NestScreen, "down")


@pytest.mark.parametrize("size", SIZES)
def test_clutch__looks(look, size):
    assert look(size, lambda desk: ClutchScreen(desk, "k0001"))


@pytest.mark.parametrize("size", SIZES)
def test_weights__look(look, size):
    assert look(size, lambda desk: WeightsScreen(desk, "b0030"))


@pytest.mark.parametrize("size", SIZES)
def test_ring_of_a_late_chick__looks(look, size):
    assert look(size, lambda desk: RingChickScreen(desk, "b0031"))
