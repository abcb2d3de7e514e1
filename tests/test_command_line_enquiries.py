"""Commands about strangers' rings: explain, enquiries, guide."""

import json

import pypdfium2
import pytest
from builders import a_bird, a_date, a_ring

from ledger.__main__ import main
from ledger.domain import Enquiry, FlockSettings, Put
from ledger.services import book, enquiries, enquiry_bird

DONE, LOOK, USAGE = 0, 1, 2


def run(capsys, *words):
    code = main([str(word) for word in words])
    out, err = capsys.readouterr()
    return code, out, err


def run_json(capsys, *words):
    code, out, _ = run(capsys, *words, "--json")
    return code, json.loads(out)


# --- explain ---


def test_explain__holds_the_owners_words_against_the_ring(capsys):
    # BArtSchV Anlage 6: 11.5 mm for Psittacus erithacus.
    words = ["explain", "--text", "HBQ 21 118", "--species", "Grey Parrot"]
    code, out, _ = run(capsys, *words, "--size", "7,0 mm", "--hatched", "2009")
    assert code == DONE
    flat = " ".join(out.split())
    assert "7 mm is too small for this species: 11.5 mm is published" in flat
    assert "said to have hatched in 2009" in flat


def test_explain__a_seam_and_a_colour(capsys):
    words = ["explain", "--text", "FAB 123", "--closure", "closed", "--colour", "red"]
    code, answer = run_json(capsys, *words)
    assert code == DONE
    assert answer["parts"][0]["field"] == "flock code"
    assert any("a colour is not a year" in hint for hint in answer["hints"])


def test_explain_json__keeps_its_fields(capsys):
    _, answer = run_json(capsys, "explain", "--text", "NL VOLM / 2017 2604")
    assert set(answer) >= {
        "inscription", "share", "parts", "issuer", "other_readings", "closure",
        "hints", "proves", "proves_not", "ask", "cautions", "sources",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("option", "value", "why"),
    [
        ("--size", "seven", "is not a size in mm"),
        ("--size", "400", "is not a size in mm"),
        ("--hatched", "12.4.2019", "12.4.2019"),
        ("--hatched", "2999", "lies ahead"),
    ],
)
def test_explain__wrong_words_get_a_sentence(capsys, option, value, why):
    code, out, err = run(capsys, "explain", "--text", "HBQ 21", option, value)
    assert code == USAGE
    assert out == ""
    assert why in err


# --- enquiries ---


@pytest.fixture
def store(tmp_path):
    folder = tmp_path / "ledger"
    with book.open_ledger(folder, create=True) as ledger:
        things = [
            FlockSettings(name="Tidewrack Aviaries"),
            a_bird("b0003", "Pip", location="Aviary 3"),
            a_ring("r0003", "IE TWK / 19 0174", bird="b0003"),
        ]
        ledger.commit([Put(thing) for thing in things], author="test", what="set up")
        asked = Enquiry(
            "", a_date("2026-01-10"), "Orla [/x]", "o@example.org", "Whose?",
            "IE TWK / 19 0174",
        )  # fmt: skip
        new = enquiries.open_enquiry(ledger, asked, "Nora")
        enquiry_bird.link_bird(ledger, new.id, "b0003", a_date("2026-01-11"), "Nora")
    return folder


def test_enquiries__listed_for_a_person_and_for_a_program(capsys, store):
    code, out, _ = run(capsys, "enquiries", "--store", store)
    assert code == LOOK  # one waits for an answer
    flat = " ".join(out.split())
    assert "q0001 2026-01-10 ours: decide on contact: Orla [/x] asks about" in flat
    assert "1 wait for an answer" in flat
    code, answer = run_json(capsys, "enquiries", "--store", store)
    (one,) = answer["enquiries"]
    assert (one["id"], one["bird"], one["contact"]) == ("q0001", "b0003", "undecided")


def test_enquiries__none(capsys, tmp_path):
    with book.open_ledger(tmp_path / "l", create=True):
        pass
    code, out, _ = run(capsys, "enquiries", "--store", tmp_path / "l")
    assert code == DONE
    assert "0 enquiries" in out


def test_enquiries__one_with_what_its_ring_tells(capsys, store):
    code, out, _ = run(capsys, "enquiries", "Q0001", "--store", store)
    assert code == DONE
    assert "One of ours: Pip (b0003); contact undecided" in out
    assert "What it proves" in out


@pytest.mark.parametrize("name", ["answer.pdf", "answer.txt"])
def test_enquiries__a_letter_without_a_word_of_ours(capsys, store, tmp_path, name):
    path = tmp_path / name
    code, _, _ = run(capsys, "enquiries", "q0001", "--letter", path, "--store", store)
    assert code == DONE
    if name.endswith("txt"):
        text = path.read_text(encoding="utf-8")
    else:
        with pypdfium2.PdfDocument(path) as pdf:
            text = "".join(page.get_textpage().get_text_bounded() for page in pdf)
    assert "Orla [/x]" in text
    assert not [word for word in ("Pip", "Tidewrack", "Aviary 3") if word in text]


def test_enquiries__wrong_words(capsys, store, tmp_path):
    code, _, err = run(capsys, "enquiries", "--letter", tmp_path / "a.pdf")
    assert code == USAGE
    assert "needs the enquiry" in err
    code, _, err = run(capsys, "enquiries", "q0009", "--store", store)
    assert code == LOOK
    assert "There is no enquiry q0009" in err


def test_enquiries__changes_nothing(capsys, store):
    before = {path: path.read_bytes() for path in store.iterdir() if path.is_file()}
    run(capsys, "enquiries", "q0001", "--store", store)
    assert {path: path.read_bytes() for path in before} == before


# --- guide ---


def test_guide__said_and_printed(capsys, tmp_path):
    code, out, _ = run(capsys, "guide")
    assert code == DONE
    assert "Three photos round" in out
    path = tmp_path / "guide.pdf"
    code, answer = run_json(capsys, "guide", "--pdf", path)
    assert code == DONE
    assert path.read_bytes().startswith(b"%PDF")
    assert len(answer["steps"]) == 6


def test_guide__nowhere_to_write(capsys, tmp_path):
    code, _, err = run(capsys, "guide", "--pdf", tmp_path / "no" / "guide.pdf")
    assert code == LOOK
    assert "could not be written" in err
