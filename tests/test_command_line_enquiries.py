"""Commands about strangers' rings: explain, enquiries, guide."""

import json

import pytest

from ledger.__main__ import main

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
