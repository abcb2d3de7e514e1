"""The ring stock, the year's order and the sizes by keys, at 80 x 24."""

import pytest
from builders import a_bird, a_person, a_ring
from screen_walk import a_store, arrive, until, walking, words
from textual.widgets import Footer

from ledger.domain import Pair, RingState
from ledger.domain.people import FlockSettings
from ledger.screens.own_sizes import OwnSizesScreen
from ledger.screens.ring_order import RingOrderScreen
from ledger.screens.ring_stock import RingStockScreen
from ledger.store import open_store
from ledger.widgets.form import Form
from ledger.widgets.row_list import RowList

THINGS = (
    FlockSettings(name="Tidewrack Aviaries", flock_code="TWK", country="IE"),
    a_person("h0002", "Nora Byrne", role="keeper"),
    a_bird("b0001", "Quill", species="Grey Parrot", sex="cock", hatched="2015"),
    a_bird("b0002", "Sable", species="Grey Parrot", sex="hen", hatched="2014"),
    Pair("p0001", "b0001", "b0002"),
    a_bird("b0003", "Wisp", species="Cockatiel", sex="cock", hatched="2020"),
    a_bird("b0004", "Sleet", species="Cockatiel", sex="hen", hatched="2020"),
    Pair("p0002", "b0003", "b0004"),
    a_ring("r0001", "TWK 25 / [0098]", size_mm=5.5, colour="yellow", leg="unknown"),
    a_ring("r0002", "TWK 25 / 0099", size_mm=5.5, colour="yellow", leg="unknown"),
    a_ring("r0003", "IE TWK / 15 0003", bird="b0001", size_mm=11.5, put_on="2015",
           issuer="Tidewrack Aviaries"),
    a_ring("r0004", "IE TWK / 14 0004", bird="b0002", size_mm=11.5, put_on="2014",
           issuer="Tidewrack Aviaries", state=RingState.REMOVED, removed="2025",
           removed_reason="sore", replaced_by="r0005"),
    a_ring("r0005", "SQ 060", bird="b0002", leg="right", put_on="2025"),
)  # fmt: skip


@pytest.fixture
def store(tmp_path):
    return a_store(tmp_path / "ledger", THINGS)


def kept(store):
    with open_store(store, read_only=True) as ledger:
        return ledger.flock


async def open_page(pilot, screen):
    page = screen(pilot.app.screen.desk)
    pilot.app.push_screen(page)
    await until(pilot, lambda: pilot.app.screen is page and page.is_running)
    await pilot.pause()
    return page


def rows(page, list_id):
    return [row.cells for row in page.query_one(f"#{list_id}", RowList).rows]


async def go_to(pilot, page, list_id, key):
    page.query_one(f"#{list_id}", RowList).select(key)
    await pilot.pause()


@pytest.mark.parametrize("screen", [RingStockScreen, RingOrderScreen, OwnSizesScreen])
async def test_footer__of_each_page_fits_80_columns(store, screen):
    async with walking(store) as pilot:
        page = await open_page(pilot, screen)
        assert page.query_one(Footer).max_scroll_x == 0
        assert page.query_one(Footer).children


@pytest.mark.parametrize("first", [None, "f3"])
async def test_stock__opens_by_key_from_the_start_and_the_flock(store, first):
    async with walking(store) as pilot:
        if first:
            await pilot.press(first)
            await arrive(pilot, "FlockScreen")
        await pilot.press("ctrl+r")
        page = await arrive(pilot, "RingStockScreen")
        assert words(pilot, "#count") == "4 rings: 2 in stock, 1 on bird, 1 removed"
        assert rows(page, "rings")[0][0] == "TWK 25 / [0098]"


async def test_stock__narrows_while_one_types(store):
    async with walking(store) as pilot:
        page = await open_page(pilot, RingStockScreen)
        await pilot.press(*"removed")
        await pilot.pause()
        assert [cells[0] for cells in rows(page, "rings")] == ["IE TWK / 14 0004"]
        await pilot.press(*"xx")
        await pilot.pause()
        assert rows(page, "rings") == []
        assert words(pilot, "#count") == "No rings"


async def test_stock__a_ring_is_spoiled_by_key_and_found_nowhere_in_stock(store):
    async with walking(store) as pilot:
        page = await open_page(pilot, RingStockScreen)
        await pilot.press("f2")
        dialog = await arrive(pilot, "OutDialog")
        await pilot.press("enter")
        await until(pilot, lambda: "not said why" in words(pilot, "#trouble"))
        dialog.query_one(Form).put("why", "bent [b]")
        await pilot.press("enter")
        await arrive(pilot, "RingStockScreen")
        await until(pilot, lambda: "1 spoiled" in words(pilot, "#count"))
        assert page is pilot.app.screen
    ring = kept(store).rings["r0001"]
    assert (ring.state, ring.notes) == (
        "spoiled",
        "Spoiled 2026-01-15: bent [b].",
    )


async def test_stock__a_lost_ring_is_found_again_by_the_same_key(store):
    async with walking(store) as pilot:
        page = await open_page(pilot, RingStockScreen)
        await pilot.press("f2")
        dialog = await arrive(pilot, "OutDialog")
        dialog.query_one(Form).put("what", "lost")
        dialog.query_one(Form).put("why", "litter")
        await pilot.press("enter")
        await arrive(pilot, "RingStockScreen")
        await until(pilot, lambda: "1 lost" in words(pilot, "#count"))
        await go_to(pilot, page, "rings", "r0001")
        await pilot.press("f2")
        await arrive(pilot, "OutDialog")
        await pilot.press("enter")
        await arrive(pilot, "RingStockScreen")
        await until(pilot, lambda: "2 in stock" in words(pilot, "#count"))


async def test_stock__escape_changes_nothing(store):
    async with walking(store) as pilot:
        await open_page(pilot, RingStockScreen)
        await pilot.press("f2")
        dialog = await arrive(pilot, "OutDialog")
        dialog.query_one(Form).put("why", "bent")
        await pilot.press("escape")
        await arrive(pilot, "RingStockScreen")
    assert kept(store).rings["r0001"].state is RingState.IN_STOCK


async def test_stock__a_worn_ring_opens_its_bird_and_is_not_spoiled(store):
    async with walking(store) as pilot:
        page = await open_page(pilot, RingStockScreen)
        await go_to(pilot, page, "rings", "r0003")
        for key in ("f2", "f4", "f5"):
            await pilot.press(key)
            await pilot.pause()
            assert pilot.app.screen is page
        said = [note.message for note in pilot.app._notifications]
        assert any("is not in stock: it is on bird" in note for note in said)
        assert any("did not come off a bird" in note for note in said)
        assert any("no series on its way" in note for note in said)
        page.query_one("#rings", RowList).action_open()
        await arrive(pilot, "BirdScreen")


async def test_stock__says_where_a_removed_ring_is_kept(store):
    async with walking(store) as pilot:
        page = await open_page(pilot, RingStockScreen)
        await go_to(pilot, page, "rings", "r0004")
        await pilot.press("f4")
        dialog = await arrive(pilot, "KeepDialog")
        dialog.query_one(Form).put("where", "envelope 7")
        await pilot.press("enter")
        await arrive(pilot, "RingStockScreen")
        await until(pilot, lambda: "removed and kept" in words(pilot, "#count"))
    assert kept(store).rings["r0004"].kept == "envelope 7"


async def test_stock__a_series_by_hand_comes_and_is_in_stock(store):
    async with walking(store) as pilot:
        page = await open_page(pilot, RingStockScreen)
        await pilot.press("f7")
        dialog = await arrive(pilot, "SeriesDialog")
        dialog.query_one(Form).put("size", "7,5")
        dialog.query_one(Form).put("count", "3")
        await pilot.press("enter")
        await arrive(pilot, "RingStockScreen")
        await until(pilot, lambda: "3 on the way" in words(pilot, "#count"))
        (series,) = pilot.app.screen.desk.ledger.flock.series
        await go_to(pilot, page, "rings", series)
        await pilot.press("f5")
        await arrive(pilot, "ComeDialog")
        await pilot.press("enter")
        await arrive(pilot, "RingStockScreen")
        await until(pilot, lambda: "5 in stock" in words(pilot, "#count"))
    flock = kept(store)
    assert [ring.inscription for ring in flock.rings_in(series)] == [
        "IE TWK / 26 0001",
        "IE TWK / 26 0002",
        "IE TWK / 26 0003",
    ]


async def test_stock__a_number_twice_is_refused_in_the_form(store):
    async with walking(store) as pilot:
        await open_page(pilot, RingStockScreen)
        await pilot.press("f7")
        dialog = await arrive(pilot, "SeriesDialog")
        form = dialog.query_one(Form)
        for name, value in {
            "size": "11.5", "first": "3", "pattern": "IE TWK / 15 {serial}",
        }.items():  # fmt: skip
            form.put(name, value)
        await pilot.press("enter")
        await until(pilot, lambda: "is there already" in words(pilot, "#trouble"))
        assert "No number is used twice" in words(pilot, "#trouble")
    assert not kept(store).series


async def test_order__tells_its_reasons_and_is_entered_after_a_question(store):
    async with walking(store) as pilot:
        page = await open_page(pilot, RingOrderScreen)
        await pilot.press("right")
        await pilot.pause()
        assert "Rings for 2027" in words(pilot, "#heading")
        await go_to(pilot, page, "lines", "11.5")
        assert "Quill and Sable" in words(pilot, "#about")
        assert "BArtSchV" in words(pilot, "#about")
        assert "A colour is never one year" in words(pilot, "#about")
        assert rows(page, "lines")[-1][-1] == "Cockatiel: no size"
        to_order = page._order.plan.to_order
        await pilot.press("e")
        dialog = await arrive(pilot, "EnterOrder")
        dialog.query_one(Form).put("colour", "red")
        await pilot.press("enter")
        await arrive(pilot, "RingOrderScreen")
        await until(pilot, lambda: page._order.plan.to_order == 0)
        said = [note.message for note in pilot.app._notifications]
        # COM colours: red in 2012, 2018, 2024 and 2030 (code-knacker.de).
        assert any("rings of 2012, 2018, 2024, 2030, not of 2027" in it for it in said)
    flock = kept(store)
    assert sum(len(series.serials) for series in flock.series.values()) == to_order
    assert {series.colour for series in flock.series.values()} == {"red"}


async def test_order__is_written_beside_the_ledger(store):
    async with walking(store) as pilot:
        await open_page(pilot, RingOrderScreen)
        await pilot.press("p", "w")
        await pilot.pause()
    assert (store / "ring-order-2026.pdf").read_bytes().startswith(b"%PDF-")
    assert (store / "ring-order-2026.csv").read_text(encoding="utf-8").count("\n") > 1


async def test_order__reckons_with_more_clutches_by_key(store):
    async with walking(store) as pilot:
        page = await open_page(pilot, RingOrderScreen)
        one = page._order.plan.to_order
        await pilot.press("c", "c")
        await pilot.pause()
        assert page._order.plan.to_order > one
        assert "clutches of a pair: 2" in words(pilot, "#heading")


async def test_sizes__an_own_size_is_set_marked_and_taken_back(store):
    async with walking(store) as pilot:
        page = await open_page(pilot, OwnSizesScreen)
        assert rows(page, "sizes") == [
            ("Cockatiel", "", "", "none", "2"),
            ("Grey Parrot", "", "11.5", "published", "2"),
        ]
        await go_to(pilot, page, "sizes", "unknown Cockatiel")
        await pilot.press("enter")
        dialog = await arrive(pilot, "SizeDialog")
        dialog.query_one(Form).put("size", "5.5")
        await pilot.press("enter")
        await arrive(pilot, "OwnSizesScreen")
        await until(pilot, lambda: rows(page, "sizes")[0][3] == "yours")
        assert "your own size, not a published one" in words(pilot, "#about")
        await pilot.press("enter")
        dialog = await arrive(pilot, "SizeDialog")
        dialog.query_one(Form).put("size", "")
        await pilot.press("enter")
        await arrive(pilot, "OwnSizesScreen")
        await until(pilot, lambda: rows(page, "sizes")[0][3] == "none")


async def test_sizes__one_that_is_not_what_is_published_is_said_so(store):
    async with walking(store) as pilot:
        page = await open_page(pilot, OwnSizesScreen)
        await go_to(pilot, page, "sizes", "unknown Grey Parrot")
        await pilot.press("enter")
        dialog = await arrive(pilot, "SizeDialog")
        dialog.query_one(Form).put("size", "9.5")
        await pilot.press("enter")
        await arrive(pilot, "OwnSizesScreen")
        said = [note.message for note in pilot.app._notifications]
        assert any("too small for a Grey Parrot: 11.5 mm by" in note for note in said)
    assert kept(store).settings.own_sizes[0].size_mm == 9.5


async def test_sizes__of_a_species_that_is_not_listed(store):
    async with walking(store) as pilot:
        page = await open_page(pilot, OwnSizesScreen)
        await pilot.press("n")
        dialog = await arrive(pilot, "SizeDialog")
        dialog.query_one(Form).put("size", "4.5")
        await pilot.press("enter")
        await until(pilot, lambda: "No species is named" in words(pilot, "#trouble"))
        dialog.query_one(Form).put("species", "Rosy-faced Lovebird")
        await pilot.press("enter")
        await arrive(pilot, "OwnSizesScreen")
        await until(pilot, lambda: len(rows(page, "sizes")) == 3)


async def test_fit__is_told_while_one_enters_measures_and_signs(store):
    # 60 to 65 % of the inner diameter: Splittgerber and Clarke (2006, abstract).
    async with walking(store) as pilot:
        await open_page(pilot, OwnSizesScreen)
        await pilot.press("f")
        dialog = await arrive(pilot, "FitDialog")
        form = dialog.query_one(Form)
        form.put("leg", "3.0")
        await until(pilot, lambda: "4.62 to 5.00 mm" in words(pilot, "#fit"))
        form.put("ring", "4")
        await until(pilot, lambda: "fills 75%" in words(pilot, "#fit"))
        form.put("ring", "400")
        await until(pilot, lambda: "✗" in words(pilot, "#fit"))
        form.put("sign", "rides above the hock")
        await until(pilot, lambda: "too large, dangerous" in words(pilot, "#fit"))
        assert "Do not pull it down or cut it at home" in words(pilot, "#fit")
        form.put("sign", "will not pass the foot")
        await until(pilot, lambda: "too small" in words(pilot, "#fit"))
        await pilot.press("escape")
        await arrive(pilot, "OwnSizesScreen")
