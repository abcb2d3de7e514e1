"""The command `paper`, as another program meets it."""

import json

import pypdfium2
import pytest
from builders import a_bird, a_date, a_ring

from ledger.__main__ import main
from ledger.domain.change import Put
from ledger.services import book
from ledger.services.removal import RemovalDraft, take_off
from ledger.store import open_store

DONE, LOOK, USAGE = 0, 1, 2


@pytest.fixture
def store(tmp_path):
    folder = tmp_path / "ledger"
    things = [
        a_bird("b0001", "Žofie", hatched="2019", species="Psittacus erithacus"),
        a_ring("r0001", "IE TWK / 19 0174", bird="b0001", put_on="2019"),
        a_bird("b0002", "Juno", hatched="2019"),
        a_ring("r0002", "IE TWK / 19 0179", bird="b0002", put_on="2019"),
    ]
    with open_store(folder, create=True) as opened:
        opened.commit([Put(thing) for thing in things], author="test", what="set up")
    draft = RemovalDraft(
        "b0001",
        a_date("2026-01-10"),
        "r0001",
        reason="leg swollen",
        vet="Una Keogh",
        weight_g=410.0,
        chip="372098100000001",
        site="left pectoral muscle",
        scan="372098100000001",
        rule="BArtSchV",
    )
    with book.open_ledger(folder) as ledger:
        take_off(ledger, draft, "Nora Byrne")
    return folder


def run(capsys, *words):
    exit_code = main([str(word) for word in words])
    out, err = capsys.readouterr()
    return exit_code, out, err


def test_paper__of_what_was_done_last(capsys, store):
    code, out, _ = run(capsys, "paper", "Žofie", "--store", store)
    assert code == DONE
    assert "RING REMOVED: ŽOFIE" in out
    assert max(map(len, out.splitlines())) <= 80


def test_paper__by_the_old_ring_as_json(capsys, store):
    words = ("paper", "IE TWK 19 0174", "--of", "placement", "--json")
    code, out, _ = run(capsys, *words, "--store", store)
    answer = json.loads(out)
    assert code == DONE
    assert (answer["paper"], answer["bird"], answer["pdf"]) == (
        "placement",
        "b0001",
        None,
    )
    titles = [part["title"] for part in answer["parts"]]
    assert "Identity chain" in titles
    assert answer["identity_text"].startswith("FLOCK LEDGER b0001\nŽofie")


def test_paper__as_pdf_reads_its_letters_back(capsys, store, tmp_path):
    path = tmp_path / "paper.pdf"
    code, out, _ = run(capsys, "paper", "b0001", "--pdf", path, "--store", store)
    assert code == DONE
    assert str(path) in out
    with pypdfium2.PdfDocument(path) as pdf:
        page = pdf[0]
        text = page.get_textpage()
        said = text.get_text_bounded()
        text.close()
        page.close()
    assert "Ring removed: Žofie" in said


def test_paper__of_a_bird_that_kept_its_ring(capsys, store):
    code, _, err = run(capsys, "paper", "Juno", "--of", "removal", "--store", store)
    assert code == LOOK
    assert "No ring came off Juno" in err
    code, out, _ = run(capsys, "paper", "Juno", "--store", store)
    assert code == DONE
    assert "JUNO GOES TO A NEW HOME" in out


def test_paper__of_something_else_is_no_paper(capsys, store):
    code, _, err = run(capsys, "paper", "Juno", "--of", "sale", "--store", store)
    assert code == USAGE
    assert "sale" in err
