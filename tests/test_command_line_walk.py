"""`flock-ledger walk`: the rounds, one round, the sheet."""

import csv
import datetime as dt
import json

import pytest
from builders import a_bird, a_ring

from ledger.__main__ import main
from ledger.domain import Put
from ledger.services import book, walk, walk_plan
from ledger.store import open_store

NINE = dt.datetime(2026, 5, 2, 9, 0, tzinfo=dt.UTC)


@pytest.fixture
def store(tmp_path):
    folder = tmp_path / "ledger"
    things = (
        a_bird("b0001", "Pip", location="Aviary 2"),
        a_bird("b0002", "Juno", location="Aviary 10"),
        a_ring("r0001", "IE TWK / 19 0174", bird="b0001"),
    )
    with open_store(folder, create=True) as opened:
        opened.commit([Put(thing) for thing in things], author="test", what="set up")
    return folder


@pytest.fixture
def walked(store):
    with book.open_ledger(store) as ledger:
        walk_plan.begin(ledger, NINE, "test")
        walk.see(ledger, "w0001", "Aviary 10", NINE, "test", bird_id="b0001")
        walk.end(ledger, "w0001", NINE, "test")
    return store


def run(capsys, store, *words):
    code = main(["walk", *words, "--store", str(store)])
    said = capsys.readouterr()
    return code, said.out, said.err


def test_walk__none_yet(capsys, store):
    code, said, _ = run(capsys, store)
    assert code == 0
    assert "No round was walked yet" in said


def test_walk__lists_the_rounds(capsys, walked):
    code, said, _ = run(capsys, walked)
    assert code == 0
    assert said.startswith("w0001  2026-05-02  ended: 2 expected: 1 read")
    assert "2 differences, 2 open" in " ".join(said.split())


def test_walk__one_round_with_open_differences_is_something_to_look_at(capsys, walked):
    code, said, _ = run(capsys, walked, "w0001")
    assert code == 1
    assert "wrong aviary: Pip should be in Aviary 2" in said
    assert "not walked: " in said


def test_walk__json_holds_it_all(capsys, walked):
    code, said, _ = run(capsys, walked, "w0001", "--json")
    told = json.loads(said)
    assert code == 1
    assert told["coverage"] == {"expected": 2, "read": 1, "by_sight": 0, "not_seen": 1}
    assert [d["kind"] for d in told["differences"]] == ["wrong aviary", "not walked"]
    assert told["differences"][0]["bird"] == "b0001"
    _, said, _ = run(capsys, walked, "--json")
    assert [each["round"] for each in json.loads(said)["rounds"]] == ["w0001"]


def test_walk__writes_table_and_pdf(capsys, walked, tmp_path):
    table, paper = tmp_path / "r.csv", tmp_path / "r.pdf"
    run(capsys, walked, "w0001", "--csv", str(table), "--pdf", str(paper))
    with table.open(encoding="utf-8") as lines:
        assert {row["bird"] for row in csv.DictReader(lines)} == {"b0001", "b0002"}
    assert paper.read_bytes().startswith(b"%PDF-")


def test_walk__plan_is_the_sheet(capsys, store, tmp_path):
    code, said, _ = run(capsys, store, "--plan")
    assert code == 0
    assert said.index("1. Aviary 2 (1 bird)") < said.index("2. Aviary 10 (1 bird)")
    assert "IE TWK / 19 0174" in said
    code, said, _ = run(capsys, store, "--plan", "--pdf", str(tmp_path / "s.pdf"))
    assert (tmp_path / "s.pdf").read_bytes().startswith(b"%PDF-")
    _, said, _ = run(capsys, store, "--plan", "--json")
    assert json.loads(said)["aviaries"][0] == {"aviary": "Aviary 2", "birds": ["b0001"]}


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (("w0009",), 1),
        (("--csv", "x.csv"), 2),
        (("--plan", "w0001"), 2),
        (("--plan", "--csv", "x.csv"), 2),
    ],
)
def test_walk__wrong_words(capsys, store, words, code):
    told = run(capsys, store, *words)
    assert told[0] == code
    assert told[2]


def test_walk__a_file_that_cannot_be_written(capsys, walked, tmp_path):
    code, _, said = run(
        capsys, walked, "w0001", "--pdf", str(tmp_path / "none" / "r.pdf")
    )
    assert code == 1
    assert "could not be written" in said
