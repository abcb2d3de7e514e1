"""Mending findings, taking changes back and going back to a backup, by key."""

import pytest
from builders import a_bird, a_ring
from screen_walk import a_store, arrive, on, toasts, type_in, until, walking, words
from textual.command import CommandPalette
from textual.widgets import Footer, Input, OptionList

from ledger.services import book
from ledger.store import open_store
from ledger.widgets.row_list import RowList

ODD = [
    a_bird("b0001", "Rook", sex="cock", hatched="2010"),
    a_bird("b0002", "Kit", hatched="2020", sire="b0099"),
    a_ring("r0001", "IE TWK / 12 0003", bird="b0001"),
    a_ring("r0002", "IE TWK / 20 0004", bird="b0002"),
    a_ring("r0003", "IE TWK / 2O 0004"),
]
"""A sire that is nobody, and two rings easily taken for each other."""


@pytest.fixture
def store(tmp_path):
    return a_store(tmp_path / "odd", ODD)


def kept(store):
    with open_store(store, read_only=True) as ledger:
        return ledger.flock


async def page(pilot, *keys, name):
    await pilot.press(*keys)
    return await arrive(pilot, name)


async def findings(pilot):
    screen = await page(pilot, "f5", name="FindingsScreen")
    rows = screen.query_one("#rows", RowList)
    await until(pilot, lambda: len(rows.rows) == 2)
    return rows


async def filled(pilot, selector):
    rows = pilot.app.screen.query_one(selector, RowList)
    await until(pilot, lambda: bool(rows.rows))
    return rows


async def test_mend__says_the_word_that_is_asked_for(store):
    async with walking(store) as pilot:
        rows = await findings(pilot)
        await page(pilot, "m", name="MendScreen")
        assert pilot.app.screen.query_one(Footer).max_scroll_x == 0
        await pilot.press("enter")
        await until(pilot, lambda: pilot.app.screen.query_one(Input).has_focus)
        await type_in(pilot, "Nobody")
        await pilot.press("enter")
        await until(pilot, lambda: "Nobody" in words(pilot, "#trouble"))
        pilot.app.screen.query_one(Input).value = "Rook"
        await pilot.press("enter")
        await arrive(pilot, "FindingsScreen")
        await until(pilot, lambda: len(rows.rows) == 1)
    assert kept(store).birds["b0002"].sire == "b0001"


async def test_mend__a_ready_way_is_gone_at_the_second_enter(store):
    async with walking(store) as pilot:
        rows = await findings(pilot)
        await page(pilot, "m", name="MendScreen")
        await pilot.press("down", "enter")
        await until(pilot, lambda: "once more" in words(pilot, "#how"))
        assert kept(store).birds["b0002"].sire == "b0099"
        await pilot.press("enter")
        await arrive(pilot, "FindingsScreen")
        await until(pilot, lambda: len(rows.rows) == 1)
    assert kept(store).birds["b0002"].sire is None


async def test_mend__escape_changes_nothing(store):
    before = (store / "ledger.json").read_bytes()
    async with walking(store) as pilot:
        await findings(pilot)
        await page(pilot, "m", name="MendScreen")
        await pilot.press("down", "enter")
        await page(pilot, "escape", name="FindingsScreen")
    assert (store / "ledger.json").read_bytes() == before


async def test_check__a_ring_leads_to_its_bird_or_else_to_the_ways(store):
    async with walking(store) as pilot:
        await findings(pilot)
        await pilot.press("down")  # about r0003, which is on no bird
        await page(pilot, "enter", name="MendScreen")
        await pilot.press("end", "enter", "enter")  # it is so
        await arrive(pilot, "FindingsScreen")
        await until(
            pilot,
            lambda: len(pilot.app.screen.query_one("#rows", RowList).rows) == 1,
        )
    assert len(kept(store).settings.accepted) == 1


async def test_changes__taken_back_by_key_and_done_again(store):
    with book.open_ledger(store) as ledger:
        book.change_bird(ledger, a_bird("b0001", "Raven"), "Max", "Rook renamed")
    async with walking(store) as pilot:
        await findings(pilot)
        await page(pilot, "h", name="ChangesScreen")
        rows = await filled(pilot, "#changes")
        assert rows.rows[0].cells[2:] == ("Max", "Rook renamed")
        assert "changed Rook" in words(pilot, "#about")
        await page(pilot, "u", name="ConfirmScreen")
        await pilot.press("down", "enter")  # leave it
        await arrive(pilot, "ChangesScreen")
        assert kept(store).birds["b0001"].name == "Raven"
        await page(pilot, "u", name="ConfirmScreen")
        await page(pilot, "enter", name="ChangesScreen")
        await until(pilot, lambda: len(rows.rows) == 3)
        assert kept(store).birds["b0001"].name == "Rook"
        assert [row.tone for row in rows.rows] == ["", "muted", ""]
        await pilot.press("home")
        await page(pilot, "u", name="ConfirmScreen")
        await page(pilot, "enter", name="ChangesScreen")
        await until(pilot, lambda: len(rows.rows) == 4)
    assert kept(store).birds["b0001"].name == "Raven"


async def test_changes__of_one_bird_on_its_page(store):
    with book.open_ledger(store) as ledger:
        book.change_bird(ledger, a_bird("b0001", "Raven"), "Max", "Rook renamed")
    async with walking(store) as pilot:
        await findings(pilot)
        await page(pilot, "enter", name="BirdScreen")  # Kit
        await page(pilot, "h", name="ChangesScreen")
        rows = await filled(pilot, "#changes")
        assert [row.cells[3] for row in rows.rows] == ["set up"]
        assert "Kit" in words(pilot, "#heading")


async def test_backups__made_looked_into_and_gone_back_to(store):
    async with walking(store) as pilot:
        await findings(pilot)
        screen = await page(pilot, "b", name="BackupsScreen")
        rows = screen.query_one("#backups", RowList)
        assert not rows.rows
        await pilot.press("n")
        await until(pilot, lambda: len(rows.rows) == 1)
        ledger = screen.desk.ledger
        await pilot.press("enter")
        await until(pilot, lambda: "Nothing to do" in [t for t, _ in toasts(pilot)])
        book.change_bird(ledger, a_bird("b0001", "Raven"), "Max", "Rook renamed")
        await page(pilot, "enter", name="ConfirmScreen")
        said = pilot.app.screen.query_one("#what").children[0].text
        assert "Birds that change back: Raven (b0001)" in said
        await page(pilot, "escape", name="BackupsScreen")
        assert kept(store).birds["b0001"].name == "Raven"
        await page(pilot, "enter", name="ConfirmScreen")
        await page(pilot, "enter", name="BackupsScreen")
        await until(pilot, lambda: len(rows.rows) == 2)
    assert kept(store).birds["b0001"].name == "Rook"


async def test_backups__one_that_is_not_whole_is_told(store):
    async with walking(store) as pilot:
        await findings(pilot)
        screen = await page(pilot, "b", name="BackupsScreen")
        await pilot.press("n")
        rows = await filled(pilot, "#backups")
        (backup,) = (store / "backups").iterdir()
        backup.write_bytes(backup.read_bytes()[:-30])
        await pilot.press("enter")
        await until(pilot, lambda: bool(words(pilot, "#computing")))
        await until(pilot, lambda: "Escape stops" not in words(pilot, "#computing"))
        assert screen.is_current
        assert backup.name in words(pilot, "#computing")
        assert len(rows.rows) == 1


async def test_read_only__mends_and_makes_nothing(store):
    with open_store(store):
        async with walking(store) as pilot:
            await arrive(pilot, "ChoiceScreen")
            await page(pilot, "enter", name="StartScreen")
            await findings(pilot)
            await page(pilot, "m", name="MendScreen")
            await pilot.press("down", "enter", "enter")
            await until(pilot, lambda: "reading only" in words(pilot, "#trouble"))
            await page(pilot, "escape", name="FindingsScreen")
            await page(pilot, "b", name="BackupsScreen")
            await pilot.press("n")
            await until(pilot, lambda: "No backup made" in str(toasts(pilot)))
            assert on(pilot, "BackupsScreen")
    assert not (store / "backups").exists()


@pytest.mark.parametrize(
    ("said", "name"),
    [("backups of", "BackupsScreen"), ("what was", "ChangesScreen")],
)
async def test_palette__leads_there_from_any_page(store, said, name):
    async with walking(store) as pilot:
        await pilot.press("ctrl+p")
        await until(pilot, lambda: isinstance(pilot.app.screen, CommandPalette))
        options = pilot.app.screen.query_one(OptionList)
        await type_in(pilot, said)
        await until(pilot, lambda: options.option_count == 1)
        await page(pilot, "enter", name=name)
        await page(pilot, "escape", name="StartScreen")
