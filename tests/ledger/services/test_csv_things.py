"""Tables of rings, events and pairs: in, out, every bad cell by line and column."""

import pytest
from builders import TODAY, a_bird, a_ring

from ledger.domain import EventKind, Kind, Put, RingState
from ledger.errors import ImportFailedError, LedgerError, UsageError
from ledger.services import book, headings
from ledger.services.csv_things import KINDS, columns_of, export_things, import_things
from ledger.services.exchange import import_csv


@pytest.fixture
def ledger(tmp_path):
    with book.open_ledger(tmp_path / "ledger", create=True) as ledger:
        things = [
            a_bird("b0001", "Bran", sex="cock", hatched="2011"),
            a_bird("b0002", "Mebh", sex="hen", hatched="2012"),
            a_ring("r0001", "IE TWK 11 0001", bird="b0001"),
        ]
        ledger.commit([Put(t) for t in things], author="Nora", what="begin")
        yield ledger


@pytest.fixture
def take_in(ledger, tmp_path):
    def take(kind, text, **options):
        path = tmp_path / "table.csv"
        path.write_text(text, encoding="utf-8")
        return import_things(ledger, kind, path, today=TODAY, **options)

    return take


def cells(result):
    return [(cell.line, cell.column) for cell in result.bad]


def test_events__birds_and_rings_by_what_they_are_called(ledger, take_in):
    result = take_in(
        Kind.EVENT,
        "bird,kind,on,weight_g,text,ring\n"
        'Bran,Weighed,2020-05-01,"912,5",Bright,IE TWK 11 0001\n'
        "IE TWK 11 0001,note,spring 2021,,Moulting,\n"
        "b0002,note,2021,,,\n",
    )
    assert (result.rows, result.added, result.stored, result.bad) == (3, 3, True, ())
    newest, weighed = ledger.flock.events_of("b0001")
    assert (weighed.kind, weighed.weight_g) == (EventKind.WEIGHED, 912.5)
    assert weighed.ring == "r0001"
    assert newest.text == "Moulting"


def test_events__every_bad_cell_is_told_and_nothing_stored(ledger, take_in):
    text = (
        "id,bird,kind,on,weight_g\n"
        ",Nobody,weighed,2020,heavy\n"
        ",Bran,danced,2020-13,\n"
        ",Bran,note,2099,\n"
        ",Mebh,,2020,\n"
        "e0050,Mebh,note,2020,\n"
        "e0050,Mebh,note,2021,\n"
        ",Bran,note,2005,\n"
    )
    before = ledger.flock
    result = take_in(Kind.EVENT, text)
    assert set(cells(result)) >= {
        (2, "bird"),
        (2, "weight_g"),
        (3, "kind"),
        (3, "on"),
        (4, "on"),
        (5, "kind"),
        (7, "id"),
    }
    assert any(cell.line == 8 for cell in result.bad)  # before it hatched
    assert not result.stored
    assert ledger.flock is before
    assert all(cell.reason.endswith(".") for cell in result.bad)
    result = take_in(Kind.EVENT, text, skip_bad=True)
    assert (result.stored, result.added) == (True, 1)
    assert list(ledger.flock.events) == ["e0050"]


def test_rings__doubles_and_lookalikes_are_named(ledger, take_in):
    result = take_in(
        Kind.RING,
        "inscription,kind,leg,bird,state\n"
        "IE TWK 11 0001,closed,left,Mebh,on bird\n"
        "IE TWK 11 OOO1,closed,,,in stock\n",
        skip_bad=True,
    )
    assert [cell.line for cell in result.bad] == [2]
    assert [cell.line for cell in result.warnings] == [3]
    assert "taken for each other" in result.warnings[0].reason


def test_pairs__dry_run_stores_nothing(ledger, take_in):
    before = ledger.flock
    text = "cock,hen,formed\nBran,Mebh,2018\n"
    result = take_in(Kind.PAIR, text, dry_run=True)
    assert (result.added, result.stored) == (1, False)
    assert ledger.flock is before
    take_in(Kind.PAIR, text)
    (pair,) = ledger.flock.pairs.values()
    assert (pair.cock, pair.hen, str(pair.formed)) == ("b0001", "b0002", "2018")


@pytest.mark.parametrize("kind", KINDS)
def test_export__comes_back_equal(ledger, take_in, tmp_path, kind):
    take_in(Kind.PAIR, "cock,hen\nBran,Mebh\n")
    take_in(
        Kind.EVENT,
        'bird,kind,on,text,weight_g\nBran,note,2020,"a; ""b""",\n'
        "Mebh,weighed,2021-02,,900.25\n",
    )
    path = tmp_path / "out.csv"
    assert export_things(ledger.flock, kind, path) == len(ledger.flock.all_of(kind))
    with book.open_ledger(tmp_path / "other", create=True) as other:
        birds = [Put(bird) for bird in ledger.flock.birds.values()]
        rings = [Put(ring) for ring in ledger.flock.rings.values()]
        other.commit(
            birds if kind is Kind.RING else birds + rings, author="N", what="birds"
        )
        result = import_things(other, kind, path, today=TODAY)
        assert result.bad == ()
        assert dict(other.flock.all_of(kind)) == dict(ledger.flock.all_of(kind))


def test_columns__one_that_has_no_place_is_refused(take_in):
    with pytest.raises(ImportFailedError, match="“mood”") as refused:
        take_in(Kind.EVENT, "bird,kind,on,mood\nBran,note,2020,good\n")
    assert "weight_g" in refused.value.hint
    with pytest.raises(ImportFailedError, match="no column"):
        take_in(Kind.PAIR, "a,b\n1,2\n")
    assert columns_of(Kind.PAIR)[:3] == ("id", "cock", "hen")


# --- headings of one's own ---


def test_headings__told_once_and_remembered(ledger, tmp_path):
    path = tmp_path / "mine.csv"
    path.write_text("Vogel,Ring Nr.\nFinn,IE TWK 20 0009\n", encoding="utf-8")
    names = headings.remember(headings.parse(["Vogel=name", "Ring Nr.= Ring"]))
    assert headings.remembered() == names == {"vogel": "name", "ring_nr.": "ring"}
    result = import_csv(ledger, path, today=TODAY, names=headings.remembered())
    assert result.bad == ()
    (finn,) = ledger.flock.birds_named("Finn")
    assert ledger.flock.rings_of(finn.id)[0].inscription == "IE TWK 20 0009"


def test_rings__columns_may_be_called_as_in_a_table_of_birds(ledger, tmp_path):
    file = tmp_path / "rings.csv"
    file.write_text(
        "Ring no;ring_leg;wearer\nIE TWK / 26 900;left;Bran\n", encoding="utf-8"
    )
    names = {"ring_no": "ring", "wearer": "bird"}  # as remembered from birds
    result = import_things(ledger, Kind.RING, file, today=TODAY, names=names)
    assert (result.added, result.bad) == (1, ())
    ring = list(ledger.flock.rings.values())[-1]
    assert (ring.inscription, str(ring.leg)) == ("IE TWK / 26 900", "left")
    assert ledger.flock.birds[ring.bird].name == "Bran"
    assert ring.state is RingState.ON_BIRD  # the table says on which


@pytest.mark.parametrize("words", ["ring", "=ring", "Ring no="])
def test_headings__what_is_no_pair_is_refused(words):
    with pytest.raises(UsageError, match="names no heading") as refused:
        headings.parse([words])
    assert refused.value.hint


def test_headings__a_spoilt_file_says_so():
    headings.remember({"a": "name"})
    headings.headings_file().write_text("{")
    with pytest.raises(LedgerError, match="cannot be read"):
        headings.remembered()
