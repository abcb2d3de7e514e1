"""The season's pairs, the limits, and doubts about parents: walked by keys."""

import pytest
from builders import a_bird
from screen_walk import (
    FLOCK,
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
from test_lineage_screens import kept, listed, page, settled
from textual.widgets import Footer, Input

from ledger.lineage import season_question
from ledger.screens.bird import BirdScreen
from ledger.screens.mates import MatesScreen
from ledger.screens.season import SeasonScreen
from ledger.screens.tree import TreeScreen

GREY = "Psittacus erithacus"


def a_grey(bird_id, name, sex, **fields):
    return a_bird(bird_id, name, sex=sex, species=GREY, hatched="2018", **fields)


THINGS = (
    *FLOCK,
    a_grey("b0010", "Ash", "cock", sire="b0001"),
    a_grey("b0011", "Bryony", "hen"),
    a_grey("b0012", HOSTILE, "hen", sire="b0001"),
    a_grey("b0013", "Elder", "cock"),
)


@pytest.fixture
def store(tmp_path):
    return a_store(tmp_path / "ledger", THINGS)


async def season(pilot):
    screen = SeasonScreen(pilot.app.screen.desk)
    return await page(pilot, screen, "SeasonScreen")


async def fill(pilot, **fields):
    for name, text in fields.items():
        field = pilot.app.screen.query_one(f"#{name}", Input)
        field.focus()
        field.value = text
    await pilot.press("enter")


async def test_season__from_the_flock_by_key_and_by_name(store):
    async with walking(store) as pilot:
        await pilot.press("f3")
        await arrive(pilot, "FlockScreen")
        await pilot.press("f7")
        await settled(pilot, "SeasonScreen")
        (row,) = listed(pilot, "#species")
        assert row[:2] == (GREY, "2")
        assert row[-1] == "least"
        assert pilot.app.screen.query_one(Footer).max_scroll_x == 0


async def test_season__tells_what_other_pairs_cost_and_who_is_left(store):
    async with walking(store, size=(120, 40)) as pilot:
        await season(pilot)
        assert "Instead, least F only: kinship" in words(pilot, "#about")
        await pilot.press("tab")
        await pilot.pause()
        about = words(pilot, "#about")
        assert " x " in about.splitlines()[0]
        assert "Another mate for one of the two" in about


async def test_season__looks_for_other_mates_where_plans_cannot_be_counted_out(
    store, monkeypatch
):
    monkeypatch.setattr(season_question, "COUNTED_AT_MOST", 0)
    async with walking(store, size=(120, 40)) as pilot:
        screen = await season(pilot)
        await pilot.press("tab")
        await until(pilot, lambda: not screen.is_computing)
        await pilot.pause()
        assert "at most" in words(pilot, "#about")


async def test_season__a_pair_is_entered_and_the_rest_planned_anew(store):
    async with walking(store) as pilot:
        await season(pilot)
        await pilot.press("enter", "enter")
        await arrive(pilot, "PairDialog")
        await pilot.press("enter")
        await until(pilot, lambda: bool(kept(store).pairs))
        await settled(pilot, "SeasonScreen")
        (row,) = listed(pilot, "#species")
        assert row[1] == "1"
        assert len(listed(pilot, "#pairs")) == 1
    assert toasts(pilot)[0][0] == "Stored"


async def test_season__limits_are_stored_and_wishes_only_heeded(store):
    async with walking(store) as pilot:
        await season(pilot)
        await pilot.press("l")
        await arrive(pilot, "LimitsDialog")
        await fill(pilot, inbreeding="12.5 %", youngest="1", pairs="1", brood="3")
        await settled(pilot, "SeasonScreen")
        assert len(listed(pilot, "#pairs")) == 1
        assert "F of young at most 0.125" in words(pilot, "#heading")
    settings = kept(store).settings
    assert (settings.highest_inbreeding, settings.youngest_years) == (0.125, 1.0)


@pytest.mark.parametrize(
    ("field", "text", "said"),
    [
        ("inbreeding", "2", "“2” is no F"),
        ("inbreeding", "", "is no F"),
        ("youngest", "old", "no age in years"),
        ("pairs", "0", "no number of them"),
        ("brood", "x", "no number of them"),
    ],
)
async def test_limits__that_are_none_are_said_and_not_stored(store, field, text, said):
    async with walking(store) as pilot:
        await season(pilot)
        await pilot.press("l")
        await arrive(pilot, "LimitsDialog")
        await fill(pilot, **{field: text})
        await pilot.pause()
        assert said in words(pilot, "#trouble")
        await pilot.press("escape")
        await settled(pilot, "SeasonScreen")
    assert kept(store).settings.highest_inbreeding is None


async def test_mates__keep_to_the_limits_set_there(store):
    async with walking(store) as pilot:
        desk = pilot.app.screen.desk
        await page(pilot, MatesScreen(desk, "b0010"), "MatesScreen")
        await pilot.press("l")
        await arrive(pilot, "LimitsDialog")
        assert not pilot.app.screen.query("#pairs")
        await fill(pilot, inbreeding="1/4")
        await settled(pilot, "MatesScreen")
        assert {row[0] for row in listed(pilot, "#mates")} == {""}
        assert "F at most 0.25" in words(pilot, "#heading")


async def test_season__with_no_pair_within_the_limits(tmp_path):
    things = (
        a_grey("b0001", "Wren", "hen"),
        a_grey("b0002", "Ash", "cock", dam="b0001"),
    )
    store = a_store(tmp_path / "close", things)
    async with walking(store) as pilot:
        await season(pilot)
        assert listed(pilot, "#species") == [(GREY, "0", "", "", "", "", "")]
        assert "Without a mate: Wren, Ash" in words(pilot, "#about")


async def test_season__of_an_empty_flock(tmp_path):
    async with walking(a_store(tmp_path / "empty", [])) as pilot:
        await season(pilot)
        assert listed(pilot, "#species") == []
        await pilot.press("enter", "t", "m", "a")
        await settled(pilot, "SeasonScreen")


async def test_parents__in_doubt_are_entered_and_shown(store):
    async with walking(store) as pilot:
        desk = pilot.app.screen.desk
        pilot.app.push_screen(BirdScreen(desk, "b0011"))
        await arrive(pilot, "BirdScreen")
        await pilot.press("p")
        await arrive(pilot, "ParentsScreen")
        await fill(pilot, sire="Rook 75%, Ash 25%")
        await until(pilot, lambda: on(pilot, "BirdScreen"))
        await pilot.pause()
        family = [row[:2] for row in listed(pilot, "#family")]
        assert family[:2] == [("sire?", "Rook"), ("sire?", "Ash")]
        await page(pilot, TreeScreen(desk, "b0011"), "TreeScreen")
        rows = [row[0] for row in listed(pilot, "#ancestors")]
        assert any("in doubt: Rook 75%, Ash 25%" in row for row in rows)
        assert "In doubt, the sire of Bryony" in words(pilot, "#computing")
        await page(pilot, MatesScreen(desk, "b0010"), "MatesScreen")
        assert "In doubt, the sire of Bryony" in words(pilot, "#about")
    assert dict(kept(store).birds["b0011"].sire_may_be) == {
        "b0001": 0.75,
        "b0010": 0.25,
    }


async def test_parents__of_the_bird_one_stands_on_in_the_tree(store):
    async with walking(store) as pilot:
        desk = pilot.app.screen.desk
        await page(pilot, TreeScreen(desk, "b0010"), "TreeScreen")
        await pilot.press("down", "d")
        await arrive(pilot, "ParentsScreen")
        assert "Parents of Rook" in words(pilot, ".title")
        await fill(pilot, kin="Elder half sibling")
        await settled(pilot, "TreeScreen")
        await pilot.pause()
        assert "Founders that are kin" in words(pilot, "#computing")


async def test_parents__that_cannot_be_are_said_and_not_stored(store):
    async with walking(store) as pilot:
        pilot.app.push_screen(BirdScreen(pilot.app.screen.desk, "b0011"))
        await arrive(pilot, "BirdScreen")
        await pilot.press("p")
        await arrive(pilot, "ParentsScreen")
        await fill(pilot, sire="Wren")
        await pilot.pause()
        assert "which is a hen" in words(pilot, "#trouble")
        await type_in(pilot, "x")
        await pilot.press("escape")
        await until(pilot, lambda: on(pilot, "BirdScreen"))
    assert kept(store).birds["b0011"].sire is None
