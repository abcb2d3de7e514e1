"""Today, ring checks, trial rings and tasks, by keys."""

import pytest
from builders import a_bird, a_date, a_ring, an_event
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
from textual.widgets import Footer, Input

from ledger.app import LedgerApp
from ledger.domain import Clutch, Egg, EventKind, Pair, RingState, Task, TaskKind
from ledger.screens.acts import ACTS
from ledger.settings import Settings
from ledger.widgets.form import Form
from ledger.widgets.row_list import RowList

CHICK = a_bird(
    "b0010", "Sprat", species="Psittacus erithacus", hatched="2026-01-01",
    location="Nest 1",
)  # fmt: skip
THINGS = (
    *FLOCK,
    CHICK,
    a_ring("r0010", "IE TWK / 26 0010", size_mm=11.0, leg="unknown"),
    a_ring("r0011", "IE TWK / 26 0011", size_mm=11.5, leg="unknown"),
    an_event("e0010", "b0001", EventKind.RING_CHECKED, "2025-12-01"),
    an_event("e0011", "b0004", EventKind.RING_CHECKED, "2025-12-01"),
    Task("t0001", "b0004", TaskKind.FOLLOW_UP, a_date("2026-01-14"), HOSTILE),
)


@pytest.fixture
def folder(tmp_path):
    return a_store(tmp_path / "ledger", THINGS)


async def open_today(pilot):
    await pilot.press("f6")
    page = await arrive(pilot, "TodayScreen")
    await until(pilot, lambda: not page.is_computing)
    await pilot.pause()
    return page


def rows(pilot):
    shown = pilot.app.screen.query_one("#due", RowList)
    return [" ".join(row.cells[i] for i in (2, 3)) for row in shown._rows]


def flock(pilot):
    return pilot.app.screen.desk.ledger.flock


async def back_on_today(pilot):
    page = await arrive(pilot, "TodayScreen")
    await until(pilot, lambda: not page.is_computing)
    await pilot.pause()


async def test_today__lists_what_is_due_and_why(folder):
    async with walking(folder) as pilot:
        await open_today(pilot)
        assert rows(pilot) == ["ring check Pip", "follow up Juno", "ring a chick Sprat"]
        await pilot.press("down")
        await pilot.pause()
        assert HOSTILE in words(pilot, "#why")
        assert "Aviary 1" in words(pilot, "#why")


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_today__footer_fits(folder, size):
    async with walking(folder, size=size) as pilot:
        page = await open_today(pilot)
        assert page.query_one(Footer).max_scroll_x == 0


async def test_today__letters_narrow_the_list_wherever_one_is(folder):
    async with walking(folder) as pilot:
        page = await open_today(pilot)
        await type_in(pilot, "juno")
        assert page.query_one("#words", Input).value == "juno"
        assert rows(pilot) == ["follow up Juno"]
        await type_in(pilot, "x")
        assert rows(pilot) == []
        await pilot.press("enter")
        await pilot.pause()
        assert on(pilot, "TodayScreen")


async def test_today__all_well_takes_two_keys(folder):
    async with walking(folder) as pilot:
        await open_today(pilot)
        await type_in(pilot, "pip")
        await pilot.press("enter", "w")
        await back_on_today(pilot)
        newest = flock(pilot).events_of("b0003")[0]
        assert newest.finding == "leg under the ring: all well"
        assert newest.by == "Nora Byrne"
        assert rows(pilot) == []


async def test_today__a_sore_alerts_and_a_vet_ends_it(folder):
    async with walking(folder) as pilot:
        await open_today(pilot)
        await type_in(pilot, "pip")
        await pilot.press("enter", "g")
        dialog = await arrive(pilot, "LegTroubleScreen")
        assert "An avian vet today" in str(dialog.query_one("#todo").content)
        await type_in(pilot, "thick")
        await pilot.press("enter")
        await back_on_today(pilot)
        assert rows(pilot) == ["see an avian vet Pip"]
        assert any("Una Keogh: +353 1 555 0100" in text for _, text in toasts(pilot))
        await pilot.press("f2")
        await arrive(pilot, "PutOffScreen")
        await type_in(pilot, "no time")
        await pilot.press("enter")
        await pilot.pause()
        assert "Pip cannot wait" in words(pilot, "#trouble")
        await pilot.press("escape", "f3")
        await arrive(pilot, "BirdScreen")
        assert "swelling" in words(pilot, "#life")
        await pilot.press("escape")
        await back_on_today(pilot)
        await pilot.press("enter")
        await arrive(pilot, "DoneScreen")
        await pilot.press("enter")
        await pilot.pause()
        assert "not said what the vet found" in words(pilot, "#trouble")
        await type_in(pilot, "Ring turns again")
        await pilot.press("enter")
        await back_on_today(pilot)
        assert rows(pilot) == []
        assert flock(pilot).tasks["t0002"].done


async def test_today__a_chick_gets_its_ring(folder):
    async with walking(folder) as pilot:
        await open_today(pilot)
        await type_in(pilot, "ring a chick")
        assert rows(pilot) == ["ring a chick Sprat"]
        await pilot.press("enter")
        await arrive(pilot, "RingChickScreen")
        await pilot.press("enter")
        await back_on_today(pilot)
        assert [r.id for r in flock(pilot).rings_of("b0010")] == ["r0011"]
        assert rows(pilot) == []


async def test_today__eggs_lead_to_their_clutch(tmp_path):
    things = (
        *FLOCK,
        Pair("p0001", "b0001", "b0003", location="Aviary 3"),
        Clutch(
            "k0001", "p0001", 1, a_date("2026-01-05"), (Egg(1, a_date("2026-01-05")),)
        ),
    )
    async with walking(a_store(tmp_path / "nest", things)) as pilot:
        await open_today(pilot)
        await type_in(pilot, "candle")
        assert rows(pilot) == ["candle Rook x Pip"]
        await pilot.press("enter")
        await arrive(pilot, "ClutchScreen")


async def test_today__waits_with_a_reason(folder):
    async with walking(folder) as pilot:
        await open_today(pilot)
        await type_in(pilot, "pip")
        await pilot.press("f2")
        await arrive(pilot, "PutOffScreen")
        await pilot.press("enter")
        await pilot.pause()
        assert "No reason is given" in words(pilot, "#trouble")
        await type_in(pilot, "moults")
        await pilot.press("enter")
        await back_on_today(pilot)
        assert rows(pilot) == []
        await pilot.press("f4")
        await pilot.pause()
        assert rows(pilot) == ["ring check Pip"]
        assert "put off until 2026-01-22: moults" in words(pilot, "#why")


async def test_today__a_task_set_by_hand_comes(folder):
    async with walking(folder) as pilot:
        await open_today(pilot)
        await type_in(pilot, "juno")
        await pilot.press("f7")
        await arrive(pilot, "TaskScreen")
        await type_in(pilot, "look again")
        pilot.app.screen.query_one(Form).put("due", "today")
        await pilot.press("enter")
        await back_on_today(pilot)
        assert rows(pilot) == ["follow up Juno", "follow up Juno"]
        assert flock(pilot).tasks["t0002"].text == "look again"


async def test_today__is_printed_beside_the_ledger(folder):
    async with walking(folder) as pilot:
        await open_today(pilot)
        await pilot.press("f8")
        await pilot.pause()
        assert (folder / "round-2026-01-15.pdf").read_bytes().startswith(b"%PDF")


async def test_today__read_only_stores_nothing_and_says_so(folder):
    async with walking(folder), walking(folder) as pilot:
        await pilot.press("enter")  # open it here to read only
        await arrive(pilot, "StartScreen")
        await open_today(pilot)
        await type_in(pilot, "pip")
        await pilot.press("enter", "w")
        await pilot.pause()
        assert on(pilot, "RingCheckScreen")
        assert "reading only" in words(pilot, "#trouble")


async def test_today__escape_leaves_each_question_without_storing(folder):
    async with walking(folder) as pilot:
        await open_today(pilot)
        await type_in(pilot, "pip")
        before = flock(pilot)
        for keys in (("enter",), ("f2",), ("f7",), ("enter", "s")):
            await pilot.press(*keys)
            await pilot.pause()
            while not on(pilot, "TodayScreen"):
                await pilot.press("escape")
                await pilot.pause()
        assert flock(pilot) is before


async def test_trial__both_on_checked_decided_and_off(folder):
    async with walking(folder) as pilot:
        await open_act(pilot, "b0010", "t")
        form = pilot.app.screen.query_one(Form)
        proposed = form.entered()
        assert (proposed["left"], proposed["right"]) == (
            "IE TWK / 26 0011", "IE TWK / 26 0010",
        )  # fmt: skip
        form.put("check", "14")
        await pilot.press("enter")
        await arrive(pilot, "BirdScreen")
        worn = flock(pilot).rings_of("b0010")
        assert [(str(r.leg), r.trial) for r in worn] == [
            ("right", True),
            ("left", True),
        ]
        await pilot.press("escape")
        await until(pilot, lambda: on(pilot, "StartScreen"))
        await open_today(pilot)
        await type_in(pilot, "fit check")
        assert rows(pilot) == ["fit check Sprat"]
        await pilot.press("enter")
        await arrive(pilot, "FitScreen")
        await pilot.press("right")
        pilot.app.screen.query_one(Form).put("by", "Una Keogh")
        await pilot.press("enter")
        await pilot.pause()
        assert "comes off later, and yet it is said who" in words(pilot, "#trouble")
        pilot.app.screen.query_one(Form).put("by", "")
        pilot.app.screen.query_one(Form).put("leg", "8")
        await pilot.press("enter")
        await pilot.pause()
        assert "fills 73% of the ring (11 mm): tight" in words(pilot, "#trouble")
        await pilot.press("enter")  # 11 mm stays, the other comes off later
        await back_on_today(pilot)
        await pilot.press(*["backspace"] * len("fit check"))
        await type_in(pilot, "sprat come off")
        assert rows(pilot) == ["trial ring to come off Sprat"]
        await pilot.press("enter")
        await arrive(pilot, "TakeOffScreen")
        form = pilot.app.screen.query_one(Form)
        form.put("kept", "drawer")
        await pilot.press("enter")
        await pilot.pause()
        assert "only leave the bird with a name" in words(pilot, "#trouble")
        form.put("by", "Una Keogh")
        await pilot.press("enter")
        await back_on_today(pilot)
        off = flock(pilot).rings["r0011"]
        assert (off.state, off.kept, off.replaced_by) == (
            RingState.REMOVED, "drawer", "r0010",
        )  # fmt: skip


async def test_trial__warns_once_and_stores_when_told_again(folder):
    async with walking(folder) as pilot:
        await open_act(pilot, "b0010", "t")
        form = pilot.app.screen.query_one(Form)
        form.put("left", "IE TWK / 24 0001")
        form.put("left-size", "11")
        form.put("right", "IE TWK / 24 0002")
        form.put("right-size", "11.5")
        await pilot.press("enter")
        await pilot.pause()
        assert "a closed ring tells the year of hatching" in words(pilot, "#trouble")
        assert flock(pilot).rings_of("b0010") == ()
        await pilot.press("enter")
        await arrive(pilot, "BirdScreen")
        assert len(flock(pilot).rings_of("b0010")) == 2


async def test_trial__both_kinds_of_decision_that_decide_nothing(folder):
    async with walking(folder) as pilot:
        await open_act(pilot, "b0010", "t")
        await pilot.press("enter")
        await arrive(pilot, "BirdScreen")
        for decision, kind in (
            ("again", TaskKind.FIT_CHECK),
            ("neither", TaskKind.SEE_VET),
        ):
            await pilot.press("a", "t")
            await arrive(pilot, "FitScreen")
            form = pilot.app.screen.query_one(Form)
            form.put("decision", decision)
            form.put("text", "both turn")
            await pilot.press("enter")
            await arrive(pilot, "BirdScreen")
            tasks = [t.kind for t in flock(pilot).tasks_of("b0010") if not t.done]
            assert kind in tasks


async def open_act(pilot, bird_id, letter):
    from ledger.screens.bird import BirdScreen

    pilot.app.push_screen(BirdScreen(pilot.app.screen.desk, bird_id))
    await arrive(pilot, "BirdScreen")
    await pilot.press("a", letter)
    await until(
        pilot, lambda: not on(pilot, "ActsScreen") and not on(pilot, "BirdScreen")
    )
    await pilot.pause()


def test_acts__each_has_a_letter_of_its_own():
    letters = [act.letter for act in ACTS]
    assert len(set(letters)) == len(letters)


# --- looks ---


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
@pytest.mark.parametrize("keys", ["", "enter", "enter g", "f2", "f7"])
def test_looks(folder, snap_compare, size, keys):
    app = LedgerApp(folder, settings=Settings(keeper="Nora Byrne"), now=lambda: NOW)

    async def walk(pilot):
        await until(pilot, lambda: len(app.screen_stack) > 1)
        await open_today(pilot)
        pilot.app.cursor_blink = False
        await pilot.press("home", *keys.split())
        await pilot.pause()

    assert snap_compare(app, terminal_size=size, run_before=walk)


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
@pytest.mark.parametrize("name", ["TrialScreen", "FitScreen"])
def test_looks_of_trial(folder, snap_compare, size, name):
    app = LedgerApp(folder, settings=Settings(keeper="Nora Byrne"), now=lambda: NOW)

    async def walk(pilot):
        await until(pilot, lambda: len(app.screen_stack) > 1)
        pilot.app.cursor_blink = False
        await open_act(pilot, "b0010", "t")
        if name == "FitScreen":
            await pilot.press("enter")
            await arrive(pilot, "BirdScreen")
            app.clear_notifications()
            await pilot.press("a", "t")
            await arrive(pilot, name)
        await pilot.pause()

    assert snap_compare(app, terminal_size=size, run_before=walk)
