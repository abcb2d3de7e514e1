"""Family tree, mates, variety: walked by keys, and how they look."""

import threading
from types import SimpleNamespace

import pytest
from builders import a_bird, a_flock
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

from ledger.app import LedgerApp
from ledger.domain.change import Put
from ledger.screens.mates import MatesScreen
from ledger.screens.season import SeasonScreen
from ledger.screens.tree import TreeScreen
from ledger.screens.variety import VarietyScreen
from ledger.services.lineage_table import Lineage
from ledger.services.lineage_tree import ancestors_drawn
from ledger.settings import Settings
from ledger.store import open_store
from ledger.widgets.row_list import RowList

GREY = "Psittacus erithacus"
THINGS = (
    *FLOCK,
    a_bird(
        "b0010",
        "Ash",
        sex="cock",
        species=GREY,
        hatched="2018",
        sire="b0001",
        dam="b0002",
    ),
    a_bird("b0011", "Bryony", sex="hen", species=GREY, hatched="2018"),
    a_bird("b0012", HOSTILE, sex="hen", species=GREY, hatched="2018", sire="b0001"),
    a_bird(
        "b0013",
        "Ivy",
        sex="hen",
        species=GREY,
        hatched="2021",
        sire="b0010",
        dam="b0003",
    ),
)


@pytest.fixture
def store(tmp_path):
    return a_store(tmp_path / "ledger", THINGS)


def listed(pilot, which):
    return [row.cells for row in pilot.app.screen.query_one(which, RowList).rows]


def kept(store):
    with open_store(store, read_only=True) as opened:
        return opened.flock


async def settled(pilot, name):
    screen = await arrive(pilot, name)
    await until(pilot, lambda: not screen.is_computing)
    await pilot.pause()
    return screen


async def page(pilot, screen, name):
    pilot.app.push_screen(screen)
    return await settled(pilot, name)


@pytest.fixture
def leash(monkeypatch):
    """Holds whatever computes mates, the season or variety until it is let go."""
    gate, going = threading.Event(), threading.Event()
    make = Lineage.once

    def held(lineage, asked, job):
        going.set()
        gate.wait(30)
        return make(lineage, asked, job)

    monkeypatch.setattr(Lineage, "once", held)
    yield SimpleNamespace(gate=gate, going=going)
    gate.set()


async def test_tree__shows_ancestors_gaps_and_inbreeding(store):
    async with walking(store) as pilot:
        desk = pilot.app.screen.desk
        await page(pilot, TreeScreen(desk, "b0013"), "TreeScreen")
        rows = listed(pilot, "#ancestors")
        assert rows[0][:2] == ("Ivy", "0.2500")
        assert rows[1][0] == "├─ sire Ash"
        assert any("? not known" in row[0] for row in rows)
        # Both parents of Ivy are young of Rook: there it stands a second time.
        assert [row[0].endswith("Rook =") for row in rows].count(True) == 1


async def test_tree__is_walked_up_and_back(store):
    async with walking(store) as pilot:
        desk = pilot.app.screen.desk
        screen = await page(pilot, TreeScreen(desk, "b0013"), "TreeScreen")
        await pilot.press("down", "enter")
        await until(pilot, lambda: screen.bird_id == "b0010")
        assert [row[0] for row in listed(pilot, "#young")] == ["Ivy"]
        await pilot.press("tab", "enter")
        await until(pilot, lambda: screen.bird_id == "b0013")
        await pilot.press("escape", "escape")
        await until(pilot, lambda: screen.bird_id == "b0013")
        await pilot.press("escape")
        await until(pilot, lambda: not on(pilot, "TreeScreen"))


async def test_tree__leads_to_mates_and_page_and_is_printed(store):
    async with walking(store) as pilot:
        desk = pilot.app.screen.desk
        await page(pilot, TreeScreen(desk, "b0010"), "TreeScreen")
        await pilot.press("m")
        await settled(pilot, "MatesScreen")
        await pilot.press("escape", "b")
        await arrive(pilot, "BirdScreen")
        await pilot.press("t")
        await arrive(pilot, "TreeScreen")
        await pilot.press("p")
        await until(pilot, lambda: bool(toasts(pilot)))
        assert (store / "family-tree-b0010.pdf").read_bytes().startswith(b"%PDF")


async def test_mates__are_ranked_and_told_about(store):
    async with walking(store) as pilot:
        desk = pilot.app.screen.desk
        await page(pilot, MatesScreen(desk, "b0010"), "MatesScreen")
        rows = listed(pilot, "#mates")
        assert rows[0][1:3] == ("Bryony", "0.0000")
        assert {row[1]: row[0] for row in rows}["Pip"] == "!"
        await pilot.press("end")
        await pilot.pause()
        assert "your limit is 0.03125" in words(pilot, "#about")
        await pilot.press("t")
        await arrive(pilot, "TreeScreen")


async def test_mates__a_pair_is_entered(store):
    async with walking(store) as pilot:
        desk = pilot.app.screen.desk
        await page(pilot, MatesScreen(desk, "b0010"), "MatesScreen")
        await pilot.press("enter")
        await arrive(pilot, "PairDialog")
        await pilot.press("enter")
        await until(pilot, lambda: bool(toasts(pilot)))
        assert toasts(pilot)[0][0] == "Stored"
    (pair,) = kept(store).pairs.values()
    assert (pair.cock, pair.hen) == ("b0010", "b0011")


async def test_mates__over_the_limit_only_with_a_reason(store):
    async with walking(store) as pilot:
        desk = pilot.app.screen.desk
        await page(pilot, MatesScreen(desk, "b0010"), "MatesScreen")
        await pilot.press("end", "enter")
        await arrive(pilot, "PairDialog")
        await pilot.press("enter")
        await until(pilot, lambda: bool(toasts(pilot)))
        assert toasts(pilot)[0][0] == "Pair not entered"
        assert not desk.ledger.flock.pairs
        await pilot.press("enter")
        await arrive(pilot, "PairDialog")
        await type_in(pilot, "last")
        await pilot.press("enter")
        await until(pilot, lambda: bool(desk.ledger.flock.pairs))
    (pair,) = kept(store).pairs.values()
    assert pair.notes.endswith("Reason: last")


async def test_mates__escape_enters_nothing(store):
    async with walking(store) as pilot:
        desk = pilot.app.screen.desk
        await page(pilot, MatesScreen(desk, "b0010"), "MatesScreen")
        await pilot.press("enter")
        await arrive(pilot, "PairDialog")
        await pilot.press("escape")
        await settled(pilot, "MatesScreen")
        assert not desk.ledger.flock.pairs


async def test_mates__are_ranked_beside_the_page_and_escape_stops_it(store, leash):
    async with walking(store) as pilot:
        screen = MatesScreen(pilot.app.screen.desk, "b0010")
        pilot.app.push_screen(screen)
        await arrive(pilot, "MatesScreen")
        await until(pilot, leash.going.is_set)
        assert words(pilot, "#computing").startswith("Ranking mates for Ash")
        await pilot.press("down", "escape")
        assert on(pilot, "MatesScreen")
        assert words(pilot, "#computing") == "Stopped."
        leash.gate.set()
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        assert listed(pilot, "#mates") == []
        await pilot.press("a")
        await settled(pilot, "MatesScreen")
        assert len(listed(pilot, "#mates")) == 4
        await pilot.press("escape")
        await until(pilot, lambda: not on(pilot, "MatesScreen"))


async def test_mates__an_answer_that_comes_after_leaving_is_dropped(store, leash):
    async with walking(store) as pilot:
        pilot.app.push_screen(MatesScreen(pilot.app.screen.desk, "b0010"))
        await arrive(pilot, "MatesScreen")
        await until(pilot, leash.going.is_set)
        await pilot.press("escape", "escape")
        await until(pilot, lambda: not on(pilot, "MatesScreen"))
        leash.gate.set()
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        assert on(pilot, "StartScreen")


async def test_mates__draw_how_both_descend_from_common_ancestors(store):
    async with walking(store, size=(120, 40)) as pilot:
        desk = pilot.app.screen.desk
        await page(pilot, MatesScreen(desk, "b0010"), "MatesScreen")
        await pilot.press("end")
        await pilot.pause()
        about = words(pilot, "#about")
        assert "Rook x Wren ─┬─ Ash ── Ivy\n               └─ Ash" in about


async def test_mates__contradicting_parents_are_told(tmp_path):
    things = (
        a_bird("b0001", "Rook", sex="cock", sire="b0002"),
        a_bird("b0002", "Crow", sex="cock", sire="b0001"),
    )
    with open_store(tmp_path / "loop", create=True) as store:
        store.commit([Put(thing) for thing in things], author="test", what="set up")
    async with walking(tmp_path / "loop") as pilot:
        desk = pilot.app.screen.desk
        await page(pilot, MatesScreen(desk, "b0001"), "MatesScreen")
        assert "its own ancestor" in words(pilot, "#computing")
        assert toasts(pilot)[0][0] == "Not computed"


async def test_mates__of_a_dead_bird_says_why_not(store):
    async with walking(store) as pilot:
        desk = pilot.app.screen.desk
        await page(pilot, TreeScreen(desk, "b0002"), "TreeScreen")
        await pilot.press("m")
        await until(pilot, lambda: bool(toasts(pilot)))
        assert "dead" in toasts(pilot)[0][1]
        assert on(pilot, "TreeScreen")


async def test_variety__from_the_flock_by_key(store):
    async with walking(store) as pilot:
        await pilot.press("f3")
        await arrive(pilot, "FlockScreen")
        await pilot.press("f6")
        await settled(pilot, "VarietyScreen")
        rows = listed(pilot, "#species")
        assert rows[-1][0] == "all"
        assert "Rook" in words(pilot, "#founders")
        assert "GD" in words(pilot, "#numbers")


async def test_variety__of_an_empty_flock(tmp_path):
    async with walking(a_store(tmp_path / "empty", [])) as pilot:
        await page(pilot, VarietyScreen(pilot.app.screen.desk), "VarietyScreen")
        assert listed(pilot, "#species") == []


def test_tree__of_twenty_generations_of_full_sibs_stays_as_deep_as_asked():
    birds = [a_bird("c0", "c0", sex="cock"), a_bird("h0", "h0", sex="hen")]
    for i in range(1, 21):
        parents = {"sire": f"c{i - 1}", "dam": f"h{i - 1}"}
        birds.append(a_bird(f"c{i}", f"c{i}", sex="cock", **parents))
        birds.append(a_bird(f"h{i}", f"h{i}", sex="hen", **parents))
    drawn = ancestors_drawn(a_flock(*birds), "c20", 4)
    assert len(drawn) == 2**5 - 1
    assert drawn[0].inbreeding < 1


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
@pytest.mark.parametrize(
    "make",
    [
        lambda desk: TreeScreen(desk, "b0013"),
        lambda desk: MatesScreen(desk, "b0010"),
        lambda desk: VarietyScreen(desk),
        lambda desk: SeasonScreen(desk),
    ],
    ids=["tree", "mates", "variety", "season"],
)
def test_looks(store, snap_compare, size, make):
    app = LedgerApp(store, settings=Settings(keeper="Nora Byrne"), now=lambda: NOW)

    async def walk(pilot):
        await until(pilot, lambda: len(app.screen_stack) > 1)
        screen = make(app.screen.desk)
        app.push_screen(screen)
        await until(pilot, lambda: app.screen is screen)
        await pilot.pause()
        await until(pilot, lambda: not screen.is_computing)
        await pilot.pause()
        await pilot.pause()

    assert snap_compare(app, terminal_size=size, run_before=walk)
