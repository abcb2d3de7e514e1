"""Birds in from CSV: every bad row named, all or none; and out again."""

import json

import pytest
from builders import TODAY, a_bird, a_chip, a_date, a_ring
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from ledger.domain import (
    Bird,
    Flock,
    Leg,
    PartialDate,
    Put,
    RingKind,
    RingState,
    Sex,
    Status,
)
from ledger.errors import ImportFailedError, LedgerError, NotFoundError
from ledger.services import book, exchange
from ledger.services.csv_rows import COLUMNS
from ledger.store import CHANGES, FILE_NAME


@pytest.fixture
def ledger(tmp_path):
    with book.open_ledger(tmp_path / "ledger", create=True) as opened:
        yield opened


@pytest.fixture
def take_in(ledger, tmp_path):
    def do(text, **options):
        path = tmp_path / "birds.csv"
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
        return exchange.import_csv(ledger, path, today=TODAY, **options)

    return do


def named(result):
    return [(cell.line, cell.column) for cell in result.bad]


WHOLE = """\
bird,name,species,sex,hatched,sire,dam,status,location,ring,ring_kind,ring_leg,\
ring_colour,ring_size_mm,chip
b0003,Kit,Ara ararauna,m,spring 2019,b0001,B0002,alive,Aviary 3,IE TWK / 19 0007,\
closed,left,blue,10.5,372 098 100 000 003
b0001,Sam,Ara ararauna,cock,2009,,,placed,,TWK 1,Split,R,,"7,5",
b0002,Ada,Ara ararauna,Female,2009-04,,,dead,,,,,,,
"""


def test_import__every_column(ledger, take_in):
    result = take_in(WHOLE)
    assert (result.rows, result.added, result.stored, result.bad) == (3, 3, True, ())
    flock = ledger.flock
    kit = flock.birds["b0003"]
    assert kit == Bird(
        "b0003",
        "Kit",
        "Ara ararauna",
        Sex.COCK,
        a_date("spring 2019"),
        "b0001",
        "b0002",
        status=Status.ALIVE,
        location="Aviary 3",
    )
    assert (flock.birds["b0001"].status, flock.birds["b0002"].status) == (
        Status.PLACED,
        Status.DEAD,
    )
    (ring,) = flock.rings_of("b0003")
    assert (ring.inscription, ring.kind, ring.leg, ring.colour, ring.size_mm) == (
        "IE TWK / 19 0007",
        RingKind.CLOSED,
        Leg.LEFT,
        "blue",
        10.5,
    )
    assert ring.state is RingState.ON_BIRD
    assert flock.rings_of("b0001")[0].size_mm == 7.5
    assert flock.chips_of("b0003")[0].code == "372 098 100 000 003"


def test_import__is_one_act_in_the_list_of_changes(ledger, take_in):
    take_in(WHOLE)
    ledger.close()
    changes = json.loads((ledger.folder / FILE_NAME).read_bytes())[CHANGES]
    assert [change["what"] for change in changes.values()] == ["3 birds from birds.csv"]


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("\ufeffname,sex\nPip,hen\n", "byte order mark"),
        ("name;sex\r\nPip;hen\r\n", "semicolons, as spreadsheets on the continent"),
        ("name\tsex\nPip\then\n", "tabs"),
        ("Sex , NAME\nhen, Pip \n\n ,\n", "any order, case, blank rows"),
        ('"name","sex"\n"Pip","hen"', "quoted, no last newline"),
        ("name,sex,dam\nPip,hen\n", "empty cells at the end left out"),
    ],
)
def test_import__forms_of_csv(ledger, take_in, text, why):
    assert take_in(text).added == 1, why
    (bird,) = ledger.flock.birds.values()
    assert (bird.name, bird.sex) == ("Pip", Sex.HEN)


def test_import__unknown_columns_are_kept_as_notes(ledger, take_in):
    take_in("name,notes,colour form,feed\nPip,Loud.,blue,\nJo,,,seed\n")
    notes = [bird.notes for bird in ledger.flock.birds.values()]
    assert notes == ["Loud.\ncolour_form: blue", "feed: seed"]


def test_import__ids_of_another_making_are_replaced_and_noted(ledger, take_in):
    take_in("bird,name,sire\nAV-2,Kit,av-1\nAV-1,Sam,\nb0007,Own,\n")
    birds = {bird.name: bird for bird in ledger.flock.birds.values()}
    assert birds["Own"].id == "b0007"
    assert birds["Kit"].sire == birds["Sam"].id
    assert birds["Sam"].notes == "bird: AV-1"
    assert {birds["Kit"].id, birds["Sam"].id} == {"b0008", "b0009"}


def test_import__parents_by_name_ring_or_chip_of_file_and_ledger(ledger, take_in):
    ledger.commit(
        [
            Put(a_bird("b0001", "Sam")),
            Put(a_bird("b0002", "Ada")),
            Put(a_ring(bird="b0001")),
            Put(a_chip(bird="b0002")),
        ],
        author="Nora",
        what="parents",
    )
    take_in(
        "name,ring,sire,dam\nKit,K 1,IE TWK 19 0007,372098100000001\n"
        "Lou,,sam,K1\nMay,,,Lou\n"
    )
    birds = {bird.name: bird for bird in ledger.flock.birds.values()}
    assert (birds["Kit"].sire, birds["Kit"].dam) == ("b0001", "b0002")
    assert (birds["Lou"].sire, birds["Lou"].dam) == ("b0001", birds["Kit"].id)
    assert birds["May"].dam == birds["Lou"].id


IN_LEDGER = (
    a_bird("b0001", "Sam", sex="cock", hatched="2010"),
    a_bird("b0002", "Ada", sex="hen", hatched="2010"),
    a_ring("r0001", "IE TWK / 10 0001", bird="b0001"),
    a_chip("c0001", "900000000000001", bird="b0001"),
)
BAD = {
    "wrong date": ("name,hatched\nKit,12.4.2019", "hatched", "is not a date"),
    "no such day": ("name,hatched\nKit,2019-02-30", "hatched", "no such day"),
    "future": ("name,hatched\nKit,2026-01-16", "hatched", "in the future"),
    "sex": ("name,sex\nKit,boy", "sex", "“boy” is not one of: unknown, cock, hen."),
    "status": ("name,status\nKit,sold", "status", "alive, placed, dead, lost."),
    "ring kind": ("name,ring,ring_kind\nKit,X,open", "ring_kind", "not one of"),
    "leg": ("name,ring,ring_leg\nKit,X,both", "ring_leg", "not one of"),
    "size": ("name,ring,ring_size_mm\nKit,X,10mm", "ring_size_mm", "not a size"),
    "size 0": ("name,ring,ring_size_mm\nKit,X,0", "ring_size_mm", "not a size"),
    "leg without ring": ("name,ring,ring_leg\nKit,,left", "ring", "but no ring"),
    "sire not found": ("name,sire\nKit,Nobody", "sire", "neither in the file nor"),
    "sire is a hen": ("name,sire\nKit,Ada", "sire", "which is a hen"),
    "dam is a cock": ("name,dam\nKit,b0001", "dam", "which is a cock"),
    "older than its sire": ("name,hatched,sire\nKit,2009,Sam", "sire", "only 2010"),
    "own sire": ("bird,name,sire\nk,Kit,k", "sire", "Kit is its own ancestor"),
    "ring in ledger": (
        "name,ring\nKit,IE TWK / 10 0001",
        "ring",
        "entered for two birds: Sam and Kit",
    ),
    "chip in ledger": (
        "name,chip\nKit,900 000 000 000 001",
        "chip",
        "entered twice: for Sam and Kit",
    ),
    "id in ledger": ("bird,name\nB0001,Kit", "bird", "b0001 is in the ledger already"),
    "too many cells": ("name,sex\nKit,hen,,x", "", "2 cells more than"),
    "nobody": ("name,species,ring\n,Ara,", "bird", "says which bird it is"),
}


@pytest.mark.parametrize("name", BAD)
@pytest.mark.parametrize("dry_run", [True, False])
def test_import__a_bad_row_is_named_and_nothing_stored(ledger, take_in, name, dry_run):
    ledger.commit([Put(t) for t in IN_LEDGER], author="Nora", what="before")
    before = (ledger.folder / FILE_NAME).read_bytes()
    text, column, said = BAD[name]
    heading, row = text.split("\n")
    # A good row before the bad one, with a line end inside a cell: lines still count.
    cells = heading.split(",")
    good = ",".join('"Go\nod"' if cell == "name" else "" for cell in cells)
    result = take_in(f"{heading}\n{good}\n{row}\n", dry_run=dry_run)
    assert named(result) == [(4, column)]
    assert said in result.bad[0].reason
    assert result.bad[0].reason.endswith(".")
    assert (result.stored, result.added) == (False, 0)
    assert (ledger.folder / FILE_NAME).read_bytes() == before


@pytest.mark.parametrize("name", BAD)
def test_import__skip_bad_takes_the_others(ledger, take_in, name):
    ledger.commit([Put(t) for t in IN_LEDGER], author="Nora", what="before")
    heading, row = BAD[name][0].split("\n")
    good = ",".join("Good" if cell == "name" else "" for cell in heading.split(","))
    result = take_in(f"{heading}\n{row}\n{good}\n", skip_bad=True)
    assert (result.added, result.stored) == (1, True)
    assert named(result) == [(2, BAD[name][1])]
    assert [b.name for b in ledger.flock.birds.values()][2:] == ["Good"]


def test_import__a_loop_names_every_row_of_it(take_in):
    result = take_in("bird,name,sire\na,Ann,b\nx,Xen,\nb,Ben,c\nc,Cid,a\n")
    assert named(result) == [(2, "sire"), (4, "sire"), (5, "sire")]
    assert "See lines 4, 5." in result.bad[0].reason


@pytest.mark.parametrize(
    ("text", "column"),
    [
        ("name,ring\nA,TWK 1\nB,twk  1\n", "ring"),
        ("name,chip\nA,900000000000001\nB,900 000 000 000 001\n", "chip"),
        ("bird,name\nb0001,A\nB0001,B\n", "bird"),
    ],
)
def test_import__twice_in_the_file_makes_both_rows_bad(ledger, take_in, text, column):
    # Which of the two is right, nobody can tell from here.
    result = take_in(text, skip_bad=True)
    assert named(result) == [(2, column), (3, column)]
    assert "ine 3" in result.bad[0].reason
    assert ledger.flock == Flock.of()


def test_import__several_of_a_name_cannot_be_a_parent(take_in):
    result = take_in("name,sire\nSam,\nSam,\nKit,Sam\n")
    assert named(result) == [(4, "sire")]
    assert "may be one of 2 birds" in result.bad[0].reason


def test_import__skip_bad_skips_young_of_skipped_birds_and_says_so(ledger, take_in):
    result = take_in(
        "bird,name,hatched,sire,dam\nb0003,Grandchild,2020,,b0002\n"
        "b0002,Child,2015,b0001,\nb0001,Old,some day,,\nb0004,Other,,,\n",
        skip_bad=True,
    )
    assert sorted((c.line, c.column, c.reason) for c in result.bad)[:2] == [
        (2, "dam", "Its dam, in line 3, is skipped."),
        (3, "sire", "Its sire, in line 4, is skipped."),
    ]
    assert list(ledger.flock.birds) == ["b0004"]


def test_import__skip_bad_keeps_young_of_birds_that_are_there_already(ledger, take_in):
    take_in("bird,name\nb0001,Sam\n")
    result = take_in("bird,name,sire\nb0001,Sam,\nb0002,Kit,b0001\n", skip_bad=True)
    assert named(result) == [(2, "bird")]
    assert ledger.flock.birds["b0002"].sire == "b0001"


def test_import__near_duplicate_rings_are_a_warning(ledger, take_in):
    ledger.commit([Put(t) for t in IN_LEDGER], author="Nora", what="before")
    result = take_in("name,ring\nKit,IE TWK / 1O OOO1\nLou,Q 1 / 2\nMay,Q / 12\n")
    assert result.stored
    assert [(w.line, w.column) for w in result.warnings] == [(2, "ring"), (4, "ring")]
    assert "IE TWK / 10 0001" in result.warnings[0].reason


def test_import__dry_run_says_what_would_be(ledger, take_in):
    result = take_in(WHOLE, dry_run=True)
    assert (result.added, result.stored) == (3, False)
    assert ledger.flock == Flock.of()


def test_import__a_heading_row_alone_adds_nothing(ledger, take_in):
    result = take_in("bird,name\n")
    assert (result.rows, result.added, result.stored) == (0, 0, False)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "is empty"),
        ("\n\n", "is empty"),
        ("Kit,hen,2019\n", "no column that names a bird"),
        ("name,sex,Name\nKit,hen,Kit\n", "two columns called “name”"),
        ('name,sex\nKit,"hen\nLou,cock\n', "quotation marks"),
        ("name\nM\u00fcller\n".encode("latin-1"), "not UTF-8 text: see line 2"),
        ("name\nKit\n".encode("utf-16"), "not UTF-8 text: it is UTF-16"),
    ],
)
def test_import__a_file_that_is_none_is_refused_whole(ledger, take_in, text, said):
    with pytest.raises(ImportFailedError, match=said) as refused:
        take_in(text)
    assert refused.value.hint
    assert ledger.flock == Flock.of()


def test_import__a_cell_as_long_as_a_book(take_in):
    with pytest.raises(ImportFailedError, match="line 2"):
        take_in(f"name\n{'x' * 200_000}\n")


def test_import__missing_file(ledger, tmp_path):
    with pytest.raises(NotFoundError, match="cannot be read"):
        exchange.import_csv(ledger, tmp_path / "no [x].csv", today=TODAY)


def test_export__comes_back_by_import(ledger, take_in, tmp_path):
    take_in(WHOLE)
    ledger.commit(
        [Put(a_bird("b0004", 'Q"uo, te', notes="a\nb; c", dam="b0002"))],
        author="Nora",
        what="one more",
    )
    out = tmp_path / "out.csv"
    assert exchange.export_csv(ledger.flock, out) == 4
    with book.open_ledger(tmp_path / "second", create=True) as second:
        result = exchange.import_csv(second, out, today=TODAY)
        assert result.bad == ()
        assert second.flock.birds == ledger.flock.birds
        again = tmp_path / "again.csv"
        exchange.export_csv(second.flock, again)
    assert again.read_bytes() == out.read_bytes()


_words = st.text(
    st.characters(codec="utf-8", exclude_categories=["Cc", "Cs", "Zs", "Zl", "Zp"]),
    min_size=1,
    max_size=8,
)


@settings(
    suppress_health_check=[HealthCheck.function_scoped_fixture],
    max_examples=40,
    deadline=None,
)
@given(
    st.lists(
        st.tuples(
            _words,
            st.sampled_from(Sex),
            st.sampled_from(Status),
            st.one_of(st.none(), st.dates(max_value=TODAY).map(PartialDate.of)),
        ),
        max_size=6,
    )
)
def test_export__any_birds_come_back(tmp_path_factory, rows):
    folder = tmp_path_factory.mktemp("round")
    birds = [
        Bird(f"b{n:04d}", name, sex=sex, status=status, hatched=hatched)
        for n, (name, sex, status, hatched) in enumerate(rows, 1)
    ]
    exchange.export_csv(Flock.of(birds), folder / "out.csv")
    with book.open_ledger(folder / "ledger", create=True) as ledger:
        exchange.import_csv(ledger, folder / "out.csv", today=TODAY)
        assert list(ledger.flock.birds.values()) == birds


def test_export__the_ring_it_wears_not_the_one_that_came_off(tmp_path):
    flock = Flock.of(
        [
            a_bird(),
            a_ring("r0001", "OLD", bird="b0001", state=RingState.REMOVED),
            a_ring("r0002", "NEW", bird="b0001"),
        ]
    )
    exchange.export_csv(flock, tmp_path / "out.csv")
    text = (tmp_path / "out.csv").read_text(encoding="utf-8")
    assert text.splitlines()[0] == ",".join(COLUMNS)
    assert ",NEW,closed,left,,," in text
    assert "OLD" not in text


def test_export__a_disk_that_fails_leaves_the_old_file(tmp_path, monkeypatch):
    out = tmp_path / "out.csv"
    out.write_text("mine")

    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", full)
    with pytest.raises(LedgerError, match="No space left"):
        exchange.export_csv(Flock.of([a_bird()]), out)
    assert [path.name for path in tmp_path.iterdir()] == ["out.csv"]
    assert out.read_text() == "mine"
