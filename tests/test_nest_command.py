"""`flock-ledger nest` as another program meets it."""

import datetime as dt
import json

import pytest
from builders import a_bird, a_date

from ledger.__main__ import main
from ledger.domain import Clutch, Egg, Pair, Put
from ledger.store import open_store

DONE, LOOK = 0, 1


@pytest.fixture
def a_nest(tmp_path):
    """A ledger with one cockatiel's egg, laid so many days ago."""

    def make(days):
        laid = a_date(str(dt.datetime.now().astimezone().date() - dt.timedelta(days)))
        things = (
            a_bird("b0001", "Rook", sex="cock", species="Cockatiel"),
            a_bird("b0002", "Wren", sex="hen", species="Cockatiel", location="M 1"),
            Pair("p0001", "b0001", "b0002"),
            Clutch("k0001", "p0001", laid=laid, eggs=(Egg(1, laid),)),
        )
        with open_store(tmp_path / "ledger", create=True) as store:
            store.commit([Put(it) for it in things], author="test", what="set up")
        return tmp_path / "ledger"

    return make


def run(capsys, *words):
    exit_code = main([str(word) for word in words])
    return exit_code, capsys.readouterr().out


def test_nest__tells_what_is_due_with_its_source(capsys, a_nest):
    # 20 to 20.5 days of incubation (Amniote database; Handbook): day 19 to 24.
    exit_code, out = run(capsys, "nest", "--store", a_nest(21))
    assert exit_code == DONE
    assert out.startswith("M 1\n")
    assert "!  hatch expected: Egg 1 is expected to hatch" in out
    assert "Amniote" in out


def test_nest__something_late_ends_with_1(capsys, a_nest):
    exit_code, out = run(capsys, "nest", "--store", a_nest(30))
    assert exit_code == LOOK
    assert "6 days over" in " ".join(out.split())


def test_nest__json(capsys, a_nest):
    exit_code, out = run(capsys, "nest", "--store", a_nest(30), "--json")
    assert exit_code == LOOK
    (duty,) = json.loads(out)["due"]
    assert (duty["what"], duty["urgency"], duty["egg"]) == ("hatch overdue", "late", 1)


def test_nest__nothing_due(capsys, a_nest):
    exit_code, out = run(capsys, "nest", "--store", a_nest(2))
    assert exit_code == DONE
    assert out.startswith("Nothing is due in the nests")
