"""The ring stock, on a real ledger in a folder."""

import datetime as dt

import pytest
from builders import a_bird, a_ring

from ledger.domain import Kind, Put, RingKind, RingState
from ledger.domain.people import FlockSettings
from ledger.domain.series import RingSeries
from ledger.errors import NotFoundError, RuleError
from ledger.services import book, stock

DAY = dt.date(2026, 2, 3)


@pytest.fixture
def ledger(tmp_path):
    with book.open_ledger(tmp_path / "ledger", create=True) as opened:
        settings = FlockSettings(name="Tidewrack Aviaries", flock_code="TWK")
        opened.commit([Put(settings)], author="Nora", what="begun")
        yield opened


def a_series(**fields):
    fields = {
        "pattern": "IE TWK / 26 {serial}",
        "ring_year": 2026,
        "first": 107,
        "last": 110,
        "digits": 4,
        "size_mm": 7.5,
        "colour": "violet",
        **fields,
    }
    return RingSeries("", **fields)


@pytest.fixture
def come(ledger):
    ordered = stock.order_series(ledger, a_series(), "Nora", dt.date(2026, 1, 9))
    return stock.arrive(ledger, ordered.id, DAY, "Nora", batch="L 88")


def test_arrive__makes_each_ring_in_stock_with_its_series(ledger, come):
    (series,) = ledger.flock.series.values()
    assert [ring.inscription for ring in come] == [
        "IE TWK / 26 0107",
        "IE TWK / 26 0108",
        "IE TWK / 26 0109",
        "IE TWK / 26 0110",
    ]
    assert ledger.flock.rings_in(series.id) == come == ledger.flock.rings_in_stock()
    first = come[0]
    assert (first.kind, first.size_mm, first.colour) == (RingKind.CLOSED, 7.5, "violet")
    assert first.issuer == series.issuer == "Tidewrack Aviaries"
    assert (str(series.ordered), str(series.arrived), series.batch) == (
        "2026-01-09",
        "2026-02-03",
        "L 88",
    )


def test_arrive__twice_is_refused(ledger, come):
    with pytest.raises(RuleError, match="is in stock already"):
        stock.arrive(ledger, come[0].series, DAY, "Nora")
    with pytest.raises(NotFoundError, match="no ring series"):
        stock.arrive(ledger, "s9999", DAY, "Nora")


def test_order__leaves_the_stock_as_it_is(ledger):
    stock.order_series(ledger, a_series(), "Nora", DAY)
    assert ledger.flock.rings_in_stock() == ()


@pytest.mark.usefixtures("come")
@pytest.mark.parametrize(
    "again",
    [
        {"first": 110, "last": 112},
        {"first": 100, "last": 107},
        {"first": 109, "last": 109, "size_mm": 9.5},
        {"first": 110, "last": 111, "pattern": "IE TWK 26 / {serial}"},
    ],
)
def test_order__no_number_twice(ledger, again):
    with pytest.raises(RuleError, match="is there already") as refused:
        stock.order_series(ledger, a_series(**again), "Nora", DAY)
    assert "No number is used twice" in refused.value.hint
    assert len(ledger.flock.series) == 1


def test_order__nor_one_that_is_still_on_its_way(ledger):
    stock.order_series(ledger, a_series(), "Nora", DAY)
    with pytest.raises(RuleError, match="is in another series"):
        stock.order_series(ledger, a_series(first=110, last=120), "Nora", DAY)


def test_order__nor_one_that_was_removed_long_ago(ledger):
    old = a_ring(
        "", "IE TWK / 26 0108", state=RingState.REMOVED, removed_reason="tight",
        issuer="Tidewrack Aviaries",
    )  # fmt: skip
    id_ = ledger.flock.next_id(Kind.RING)
    ledger.commit([Put(a_ring(id_, old.inscription, state=RingState.REMOVED,
                              removed_reason="tight", issuer=old.issuer))],
                  author="Nora", what="an old ring")  # fmt: skip
    with pytest.raises(RuleError, match="is there already: it is removed"):
        stock.order_series(ledger, a_series(), "Nora", DAY)


@pytest.mark.usefixtures("come")
def test_order__another_issuer_may_have_the_same_number(ledger):
    other = a_series(issuer="Seven Strands Parrot Circle")
    assert stock.order_series(ledger, other, "Nora", DAY).issuer == other.issuer


@pytest.mark.parametrize(
    ("fields", "says"),
    [
        ({"pattern": "IE TWK / 26"}, "does not say where the serial stands"),
        ({"first": 5, "last": 4}, "has no rings"),
        ({"last": 90000}, "more than 1,000"),
        ({"size_mm": None}, "no size"),
        ({"size_mm": 110.0}, "no size"),
    ],
)
def test_order__refuses_what_makes_no_sense(ledger, fields, says):
    with pytest.raises(RuleError, match=says):
        stock.order_series(ledger, a_series(**fields), "Nora", DAY)


def test_next_serial__the_lowest_of_the_size_that_is_free(ledger, come):
    assert stock.next_serial(ledger.flock, 7.5) == come[0]
    stock.spoil(ledger, come[0].id, DAY, "Nora", "bent when opened")
    assert stock.next_serial(ledger.flock, 7.5).id == come[1].id


@pytest.mark.usefixtures("come")
def test_next_serial__none_of_another_size_kind_or_year(ledger):
    assert stock.next_serial(ledger.flock, 8.0) is None
    assert stock.next_serial(ledger.flock, 7.5, RingKind.SPLIT) is None
    assert stock.next_serial(ledger.flock, 7.5, year=2025) is None
    assert stock.next_serial(ledger.flock, 7.5, year=2026) is not None


def test_next_serial__rings_without_a_series_tell_their_year_by_what_they_say(ledger):
    left = a_ring("r0001", "TWK 25 / 0098", bird=None, size_mm=5.5)
    ledger.commit([Put(left)], author="Nora", what="left over")
    assert stock.next_serial(ledger.flock, 5.5, year=2025) == left
    assert stock.next_serial(ledger.flock, 5.5, year=2026) is None


def test_spoiled_and_lost__stay_in_the_ledger_with_the_reason(ledger, come):
    spoiled = stock.spoil(ledger, come[0].id, DAY, "Nora", "bent when opened")
    lost = stock.lose(ledger, come[1].id, DAY, "Nora", "fell into the litter.")
    assert (spoiled.state, spoiled.notes) == (
        RingState.SPOILED,
        "Spoiled 2026-02-03: bent when opened.",
    )
    assert (lost.state, lost.notes) == (
        RingState.LOST,
        "Lost 2026-02-03: fell into the litter.",
    )
    assert len(ledger.flock.rings_in_stock()) == 2


def test_found_again__goes_back_into_stock(ledger, come):
    stock.lose(ledger, come[1].id, DAY, "Nora", "fell into the litter")
    assert stock.found_again(ledger, come[1].id, DAY, "Nora").state == "in stock"
    with pytest.raises(RuleError, match="is not lost"):
        stock.found_again(ledger, come[1].id, DAY, "Nora")


def test_leaving_stock__needs_a_reason_and_a_ring_that_is_there(ledger, come):
    with pytest.raises(RuleError, match="not said why"):
        stock.spoil(ledger, come[0].id, DAY, "Nora", " ")
    stock.spoil(ledger, come[0].id, DAY, "Nora", "bent")
    with pytest.raises(RuleError, match="is not in stock: it is spoiled"):
        stock.lose(ledger, come[0].id, DAY, "Nora", "gone")


def test_leaving_stock__a_worn_ring_comes_off_on_the_birds_page(ledger, come):
    bird = book.register_bird(ledger, a_bird("", hatched="2026-01-20"), "Nora")
    book.put_on_ring(ledger, bird.id, come[0], DAY, "Nora")
    with pytest.raises(RuleError, match="it is on bird") as refused:
        stock.lose(ledger, come[0].id, DAY, "Nora", "gone")
    assert "bird's page" in refused.value.hint


def test_keep__says_where_a_removed_ring_lies(ledger, come):
    bird = book.register_bird(ledger, a_bird("", hatched="2026-01-20"), "Nora")
    book.put_on_ring(ledger, bird.id, come[0], DAY, "Nora")
    book.remove_ring_with_chip(
        ledger, come[0].id, DAY, "Nora", reason="swollen", removed_by="Dr Finn"
    )
    kept = stock.keep(ledger, come[0].id, "envelope 7", "Nora")
    assert (kept.state, kept.kept) == (RingState.REMOVED, "envelope 7")
    with pytest.raises(RuleError, match="did not come off a bird"):
        stock.keep(ledger, come[1].id, "envelope 8", "Nora")
    with pytest.raises(RuleError, match="not said where"):
        stock.keep(ledger, come[0].id, "", "Nora")
