"""The commands about rings that are not on a bird yet."""

import json

import pytest
from builders import a_bird, a_ring

from ledger.__main__ import main
from ledger.domain import Pair, Put
from ledger.domain.people import FlockSettings
from ledger.store import open_store

DONE, LOOK, USAGE = 0, 1, 2


@pytest.fixture
def store(tmp_path):
    things = [
        FlockSettings(name="Tidewrack Aviaries", flock_code="TWK", country="IE"),
        a_bird("b0001", "Quill", species="Grey Parrot", sex="cock"),
        a_bird("b0002", "Sable", species="Grey Parrot", sex="hen"),
        Pair("p0001", "b0001", "b0002"),
        a_ring("r0001", "TWK 25 / 0098", size_mm=5.5, colour="yellow"),
        a_ring("r0002", "2023 0074 11.5 / IE TWK", bird="b0002", size_mm=11.5,
               issuer="Tidewrack Aviaries"),
    ]  # fmt: skip
    with open_store(tmp_path / "ledger", create=True) as opened:
        opened.commit([Put(thing) for thing in things], author="Nora", what="begun")
    return tmp_path / "ledger"


def run(capsys, *words):
    exit_code = main([str(word) for word in words])
    out, err = capsys.readouterr()
    return exit_code, out, err


def test_rings__tells_what_is_to_hand(capsys, store):
    exit_code, out, _ = run(capsys, "rings", "--store", store)
    assert exit_code == DONE
    assert out.splitlines() == [
        "2 rings: 1 in stock, 1 on bird.",
        "- 5.5 mm, 2025, in stock: 1 (TWK 25 / 0098)",
    ]


def test_rings__narrowed_by_words_and_as_json(capsys, store):
    exit_code, out, _ = run(capsys, "rings", "11.5", "bird", "--json", "--store", store)
    (ring,) = json.loads(out)["rings"]
    assert exit_code == DONE
    assert (ring["id"], ring["account"], ring["where"]) == ("r0002", "on bird", "Sable")
    assert run(capsys, "rings", "unicorn", "--store", store)[0] == LOOK


def test_order__tells_each_number_with_its_reason(capsys, store):
    exit_code, out, _ = run(capsys, "order", "--year", "2027", "--store", store)
    assert exit_code == DONE
    assert "11.5 mm: order" in out
    assert "Quill and Sable" in out
    assert "BArtSchV" in out


def test_order__as_json_and_to_a_file(capsys, store, tmp_path):
    paper = tmp_path / "order.pdf"
    exit_code, out, _ = run(
        capsys, "order", "--year", "2027", "--to", paper, "--json", "--store", store
    )
    answer = json.loads(out)
    assert exit_code == DONE
    assert answer["year"] == 2027
    assert answer["to_order"] == sum(line["to_order"] for line in answer["lines"]) > 0
    assert paper.read_bytes().startswith(b"%PDF-")


def test_order__a_species_without_a_size_must_be_looked_at(capsys, store):
    things = [
        a_bird("b0003", "Wisp", species="Cockatiel", sex="cock"),
        a_bird("b0004", "Sleet", species="Cockatiel", sex="hen"),
        Pair("p0002", "b0003", "b0004"),
    ]
    with open_store(store) as opened:
        opened.commit([Put(thing) for thing in things], author="Nora", what="more")
    exit_code, out, _ = run(capsys, "order", "--year", "2027", "--store", store)
    assert exit_code == LOOK
    assert "No size for Cockatiel" in out


def test_order__entered_once_and_not_twice(capsys, store):
    words = ("order", "--year", "2027", "--enter", "--store", store)
    exit_code, out, _ = run(capsys, *words)
    assert exit_code == DONE
    assert "Entered as ordered:" in out
    exit_code, _, err = run(capsys, *words)
    assert exit_code == LOOK
    assert "nothing to order for 2027" in err
    _, out, _ = run(capsys, "rings", "way", "--store", store)
    assert "on the way" in out


def test_order__wrong_words(capsys, store):
    store = ("--store", store)
    assert run(capsys, "order", "--clutches", "-1", *store)[0] == USAGE
    assert run(capsys, "order", "--year", "27", *store)[0] == LOOK
