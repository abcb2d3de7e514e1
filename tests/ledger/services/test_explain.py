"""What is said of a stranger's ring, and that nothing false is said with certainty."""

import datetime as dt
import json

import pytest

from ledger.services.explain import explain
from ocr.reading import Glyph, Line, PhotoReading, Reading

TODAY = dt.date(2026, 1, 15)


def said(text, **known):
    return explain(text, today=TODAY, **known)


def test_german_ring_is_explained_part_by_part():
    # stadt-koeln.de, "Kennzeichnung von Voegeln und Saeugetieren".
    found = said("B 2,0 G 11 1234")
    assert [part.field for part in found.parts] == [
        "issuer", "size", "closed or open", "ring year", "serial",
    ]  # fmt: skip
    assert "BNA" in found.issuer
    assert "closed" in found.closure
    assert any("authority" in line for line in found.ask)
    assert any("stadt-koeln.de" in source for source in found.sources)


def test_quarantine_ring__imported_if_it_is_one():
    # APHIS, "Bird Leg Band Information".
    found = said("FAB 123")
    assert any("import" in line for line in found.proves)
    assert not any("bred in captivity, if" in line for line in found.proves)
    assert any("4 years" in line for line in found.ask)
    assert any("flock code" in other.parts for other in found.others)


def test_colour__candidate_years_never_one():
    # COM colour list, code-knacker.de/vogelringe.htm.
    hints = " ".join(said("HBQ 118", colour="red").hints)
    assert all(year in hints for year in ("2012", "2018", "2024", "2030"))
    assert "not a year" in hints


def test_size_against_species():
    # BArtSchV Anlage 6: 11.5 mm for Psittacus erithacus.
    small = said("HBQ 21 118 7.0", species="Psittacus erithacus").hints
    right = said("HBQ 21 118 11.5", species="Psittacus erithacus").hints
    assert any("too small" in hint for hint in small)
    assert any("fits this species" in hint for hint in right)


def test_size_letter__by_scheme():
    # bto.org ring sizes; Burgenland ordinance LBG10000307 section 1(3).
    hints = " ".join(said("HBQ 21 118 D").hints)
    assert "5.25 mm at BTO" in hints
    assert "6 mm at Burgenland" in hints


@pytest.mark.parametrize("text", ["HBQ 21 118", "", "### ---", "372098100000001"])
def test_always_said(text):
    found = said(text)
    assert any("avian vet" in line for line in found.cautions)
    assert any("no register of all rings" in line for line in found.proves_not)
    assert any("by colour alone" in line for line in found.proves_not)
    assert found.ask


def test_chip_number_typed_as_a_ring():
    assert any("chip" in hint for hint in said("372 098100000001").hints)


def test_split_ring_proves_no_breeding():
    glyphs = tuple(Glyph(sign, 0.99) for sign in "HBQ21118")
    lines = (Line(glyphs),)
    reading = Reading((PhotoReading("a.jpg", True),), lines, closure="split")
    found = said(reading)
    assert any("neither" in line for line in found.proves)
    assert "seam" in found.closure


def test_other_readings_of_a_part_are_named():
    parts = {part.text: part for part in said("HBQ 23 17").parts}
    assert any("serial" in other for other in parts["23"].also)


def test_json_and_text_hold_the_same():
    found = said("NL VOLM / 2017 2604", colour="gold")
    plain = found.as_json()
    assert json.loads(json.dumps(plain)) == plain
    text = found.as_text()
    for key in ("hints", "proves", "proves_not", "ask", "cautions"):
        assert all(sentence in text for sentence in plain[key])
