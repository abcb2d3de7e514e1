"""The year's order as series, table, paper and answer, on a real ledger."""

import csv
import datetime as dt
import io

import pytest
from builders import a_bird

from ledger.domain import Pair, Put
from ledger.domain.people import FlockSettings, OwnSize
from ledger.domain.series import RingSeries
from ledger.errors import RuleError, UsageError
from ledger.services import book, ring_order, ring_order_form, stock, stock_list

DAY = dt.date(2026, 11, 25)


@pytest.fixture
def ledger(tmp_path):
    with book.open_ledger(tmp_path / "ledger", create=True) as opened:
        things = [
            FlockSettings(
                name="Tidewrack Aviaries", flock_code="TWK", country="IE",
                own_sizes=(OwnSize("Cockatiel", 5.5),),
            ),
            a_bird("b0001", "Wisp", species="Cockatiel", sex="cock"),
            a_bird("b0002", "Sleet", species="Cockatiel", sex="hen"),
            Pair("p0001", "b0001", "b0002"),
            a_bird("b0003", "Quill", species="Grey Parrot", sex="cock"),
            a_bird("b0004", "Sable", species="Grey Parrot", sex="hen"),
            Pair("p0002", "b0003", "b0004"),
            a_bird("b0005", "Ari", species="Rosy-faced Lovebird", sex="cock"),
            a_bird("b0006", "Una", species="Rosy-faced Lovebird", sex="hen"),
            Pair("p0003", "b0005", "b0006"),
        ]  # fmt: skip
        opened.commit([Put(thing) for thing in things], author="Nora", what="begun")
        yield opened


def test_next_year__turns_in_summer():
    assert ring_order.next_year(dt.date(2026, 6, 30)) == 2026
    assert ring_order.next_year(dt.date(2026, 7, 1)) == 2027


def test_order__proposes_series_whose_serials_run_on_from_size_to_size(ledger):
    order = ring_order.order_for(ledger.flock, 2027, colour="orange")
    serials = [number for series in order.series for number in series.serials]
    assert serials == list(range(1, order.plan.to_order + 1))
    assert {series.colour for series in order.series} == {"orange"}
    by_size = {series.size_mm: series.pattern for series in order.series}
    # Small rings have no room for the country (common practice, no source).
    assert by_size[5.5] == "TWK 27 / {serial}"
    assert by_size[11.5] == "IE TWK / 27 {serial}"


def test_order__keeps_the_layout_and_the_numbers_of_earlier_series(ledger):
    last_year = RingSeries(
        "", "2026 {serial} 11.5 / IE TWK", 2026, 70, 75, 4, 11.5,
    )  # fmt: skip
    ordered = stock.order_series(ledger, last_year, "Nora", dt.date(2026, 1, 9))
    stock.arrive(ledger, ordered.id, dt.date(2026, 2, 3), "Nora")
    order = ring_order.order_for(ledger.flock, 2027)
    series = {it.size_mm: it for it in order.series}
    assert order.series[0].first == 76
    assert series[11.5].pattern == "2027 {serial} 11.5 / IE TWK"
    # Those left over say 2026 and do not count for 2027.
    assert ring_order.on_the_way(ledger.flock, 2027) == {}
    assert ring_order.on_the_way(ledger.flock, 2026) == {11.5: 6}


def test_enter__all_series_at_once_and_then_nothing_is_left_to_order(ledger):
    order = ring_order.order_for(ledger.flock, 2027)
    entered = ring_order.enter_order(ledger, order, "Nora", DAY)
    assert [series.ordered.earliest for series in entered] == [DAY] * len(entered)
    again = ring_order.order_for(ledger.flock, 2027)
    assert again.plan.to_order == 0
    with pytest.raises(RuleError, match="nothing to order for 2027"):
        ring_order.enter_order(ledger, again, "Nora", DAY)
    lines = stock_list.stock_lines(ledger.flock)
    assert stock_list.sums(lines) == {"on the way": order.plan.to_order}
    for series in entered:
        stock.arrive(ledger, series.id, DAY, "Nora")
    lines = stock_list.stock_lines(ledger.flock)
    assert stock_list.sums(lines) == {"in stock": order.plan.to_order}
    assert ring_order.order_for(ledger.flock, 2027).plan.to_order == 0


@pytest.mark.parametrize(("year", "clutches"), [(27, 0), (2027, 13), (2027, -1)])
def test_order__refuses_what_makes_no_sense(ledger, year, clutches):
    with pytest.raises(RuleError):
        ring_order.order_for(ledger.flock, year, clutches_a_pair=clutches)


def test_colours__say_what_the_confederation_gives_and_that_it_is_no_year():
    # COM list on code-knacker.de: 2010 orange, six colours in turn: 2028 is orange,
    # 2027 violet as 2015 and 2021.
    said = ring_order.colour_notes(2027)
    assert "gives 2027 the colour violet" in said[0]
    assert said[-1].startswith("A colour is never one year")


def test_lines__tell_the_sum_the_serials_the_reasons_and_what_has_no_size(ledger):
    order = ring_order.order_for(ledger.flock, 2027)
    said = "\n".join(ring_order_form.order_lines(order))
    assert said.startswith(f"Rings to order for 2027: {order.plan.to_order}.")
    assert "“IE TWK / 27 " in said
    assert "Quill and Sable" in said
    assert "No size for Rosy-faced Lovebird" in said
    assert "A colour is never one year" in said


def test_table__has_a_row_for_each_size_and_the_plain_form_says_the_same(ledger):
    order = ring_order.order_for(ledger.flock, 2027)
    rows = list(csv.DictReader(io.StringIO(ring_order_form.order_as_csv(order))))
    plain = ring_order_form.order_as_plain(order)
    assert [float(row["size_mm"]) for row in rows] == [
        line["size_mm"] for line in plain["lines"]
    ]
    assert sum(int(row["to_order"]) for row in rows) == plain["to_order"]
    assert plain["without_size"][0]["species"] == "Rosy-faced Lovebird"


def test_written__as_the_name_of_the_file_says(ledger, tmp_path):
    order = ring_order.order_for(ledger.flock, 2027)
    starts = {".csv": b"size_mm,", ".pdf": b"%PDF-", ".txt": b"Rings to order"}
    for ending, start in starts.items():
        path = tmp_path / f"order{ending}"
        ring_order_form.write_order(ledger.flock, order, path)
        assert path.read_bytes().startswith(start)
    with pytest.raises(UsageError, match="ends in nothing"):
        ring_order_form.write_order(ledger.flock, order, tmp_path / "order.doc")
    with pytest.raises(UsageError, match="could not be written"):
        ring_order_form.write_order(ledger.flock, order, tmp_path / "no" / "o.csv")


def test_stock_list__accounts_for_every_ring(ledger):
    ordered = stock.order_series(
        ledger,
        RingSeries("", "TWK 27 / {serial}", 2027, 1, 5, 3, 5.5, colour="orange"),
        "Nora",
        DAY,
    )
    rings = stock.arrive(ledger, ordered.id, DAY, "Nora")
    stock.spoil(ledger, rings[0].id, DAY, "Nora", "bent")
    stock.lose(ledger, rings[1].id, DAY, "Nora", "dropped")
    book.put_on_ring(ledger, "b0001", rings[2], DAY, "Nora")
    book.put_on_ring(ledger, "b0002", rings[3], DAY, "Nora")
    book.remove_ring_with_chip(
        ledger, rings[3].id, DAY, "Nora", reason="sore", removed_by="Dr Finn"
    )
    stock.keep(ledger, rings[3].id, "envelope 3", "Nora")
    lines = stock_list.stock_lines(ledger.flock)
    assert stock_list.sums(lines) == {
        "in stock": 1,
        "on bird": 1,
        "removed and kept": 1,
        "spoiled": 1,
        "lost": 1,
    }
    (kept,) = stock_list.matching(lines, "KEPT envelope")
    assert kept.key == rings[3].id
    assert stock_list.sums_in_words(lines).startswith("5 rings: 1 in stock, 1 on bird")
    plain = stock_list.lines_as_plain(lines)
    assert plain["rings"][0]["account"] == "in stock"
    said = list(stock_list.told(lines))
    assert said[1] == "- 5.5 mm, 2027, in stock: 1 (TWK 27 / 005)"
