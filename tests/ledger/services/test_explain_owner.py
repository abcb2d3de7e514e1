"""What the owner says of the bird, held against its ring; and what was mistyped."""

import datetime as dt
import re
from pathlib import Path

import pytest
from builders import a_date

from ledger import paths
from ledger.domain.chip_code import country_of
from ledger.reference.ring_colours import years_of
from ledger.reference.ring_sizes import ring_size
from ledger.rings.own_schemes import OwnSchemes, read_own_schemes
from ledger.rings.schemes import check_form, schemes
from ledger.services.explain import explain

TODAY = dt.date(2026, 11, 25)


def said(text, **known):
    return explain(text, today=TODAY, own=OwnSchemes(), **known)


def hinted(text, **known):
    return " ".join(said(text, **known).hints)


# --- size and species ---


@pytest.mark.parametrize(
    ("species", "size_mm", "word"),
    # BArtSchV Anlage 6, column 3: 11.5, 14.0, 4.0, 7.5 mm.
    [
        ("Psittacus erithacus", 11.5, "fits"),
        ("Psittacus erithacus", 7.0, "too small"),
        ("Ara ararauna", 14.0, "fits"),
        ("Ara ararauna", 16.0, "too large"),
        ("Agapornis lilianae", 4.0, "fits"),
        ("Agapornis lilianae", 4.5, "too large"),
        ("Poicephalus senegalus", 11.5, "too large"),
    ],
)
def test_size__held_against_the_species_the_owner_names(species, size_mm, word):
    found = hinted("HBQ 21 118", species=species, size_mm=size_mm)
    assert word in found
    assert f"{ring_size(species)[0].smallest_mm:g} mm is published" in found
    if word != "fits":
        assert "Anlage 6" in found


def test_size__two_small_is_a_matter_for_a_vet():
    found = hinted("HBQ 21 118", species="Psittacus erithacus", size_mm=7.0)
    assert "avian vet must see it today" in found


def test_size__too_large_proves_less():
    found = hinted("HBQ 21 118", species="Poicephalus senegalus", size_mm=11.5)
    assert "proves less" in found


def test_size__without_a_species_names_candidates():
    # BArtSchV Anlage 6: 11.5 mm for Psittacus erithacus.
    found = hinted("Z 11,5 G 24 0815")
    assert "Grey Parrot" in found
    assert "published size of" in found


def test_size__measured_against_the_inscription():
    assert "measure it again" in hinted("Z 11,5 G 24 0815", size_mm=9.0)
    assert "measure it again" not in hinted("Z 11,5 G 24 0815", size_mm=11.6)


def test_size__of_a_species_nobody_lists_is_not_judged():
    found = hinted("HBQ 21 118", species="Dodo", size_mm=20.0)
    assert "No published ring size" in found
    assert "too" not in found.split()


def test_species__misspelt_is_asked_for():
    found = hinted("HBQ 21 118", species="Gray Parrott", size_mm=11.5)
    assert "Did you mean" in found
    assert "Grey Parrot" in found


# --- year and age ---


@pytest.mark.parametrize(
    ("hatched", "word"),
    [
        ("2011", "goes together"),
        ("spring 2012", "turn of a year"),
        ("2019-05-01", "8 years after 2011"),
        ("2003", "8 years before 2011"),
    ],
)
def test_hatching__held_against_the_ring_year(hatched, word):
    # stadt-koeln.de: B 2,0 G 11 1234 is a ring of 2011.
    assert word in hinted("B 2,0 G 11 1234", hatched=a_date(hatched))


def test_age__by_a_closed_ring_only():
    assert "about 15 years old" in hinted("B 2,0 G 11 1234")
    assert "years old" not in hinted("B 2,0 O 11 1234")  # O: open, put on at any age
    assert "years old" not in hinted("B 2,0 G 11 1234", closure="split")


def test_quarantine_ring__and_a_young_bird():
    # APHIS, "Bird Leg Band Information": imports ended with the Act of 1992.
    found = hinted("FAB 123", hatched=a_date("2015"))
    assert "before 1992" in found
    assert "do not go together" in found


def test_age__beyond_what_is_on_file():
    # AnAge: Poicephalus senegalus 40 years.
    found = hinted(
        "HBQ 21 118", species="Poicephalus senegalus", hatched=a_date("1960")
    )
    assert "66 years are more than the 40" in found


@pytest.mark.parametrize(
    ("colour", "years"),
    # COM colours, code-knacker.de/vogelringe.htm: six years round.
    [
        ("orange", {2010, 2016, 2022, 2028}),
        ("red", {2012, 2018, 2024, 2030}),
        ("black", {2013, 2019, 2025}),
        ("green", {2014, 2020, 2026}),
        ("violet", {2015, 2021, 2027}),
    ],
)
def test_colour__names_every_year_it_can_be(colour, years):
    listed = {one.year for one in years_of(colour) if "COM" in one.scheme}
    assert years <= listed
    found = hinted("HBQ 118", colour=colour)
    assert all(str(year) in found for year in years)
    assert "a colour is not a year" in found


def test_colour__that_no_scheme_had_in_the_rings_year():
    # COM: 2024 is red, 2022 orange.
    assert "None of these schemes had" in hinted("HBQ 24 118", colour="gold")
    assert "None of these" not in hinted("HBQ 24 118", colour="red")


def test_other_readings__say_why():
    text = said("FAB 123").as_text()
    assert "FAB = flock code, 123 = serial (24%). Then FAB: letters of a" in text
    assert (
        "Then it is US import quarantine" in said("MAX 407", closure="closed").as_text()
    )


# --- closed, split, quarantine ---


def test_seam__speaks_for_or_against_a_kind_of_ring():
    unsure, closed = said("FAB 123"), said("FAB 123", closure="closed")
    assert unsure.parts[0].field == "issuer"
    assert closed.parts[0].field == "flock code"  # quarantine rings have a seam
    assert any("quarantine" in other.parts for other in closed.others)
    assert "first days of life" in closed.proves[0]


def test_seam__of_a_ring_that_says_it_is_closed():
    found = said("B 2,0 G 11 1234", closure="split")
    assert "do not go together" in found.closure
    assert "neither captive breeding nor age" in found.proves[0]


def test_screw_or_rivet__likely_imported_never_proven():
    # APHIS, "Bird Leg Band Information"; riveted official rings in Burgenland:
    # ordinance LBG10000307 section 1(3).
    found = said("HBQ 21 118", closure="quarantine")
    assert "screw or rivet" in found.closure
    assert "likely to have been imported" in found.proves[0]
    assert "does not show it" in found.proves[0]
    assert "years old" not in " ".join(found.hints)
    assert said("FAB 123", closure="quarantine").parts[0].field == "issuer"
    closed = said("B 2,0 G 11 1234", closure="quarantine")
    assert "do not go together" in closed.closure


# --- what was typed ---


@pytest.mark.parametrize(
    ("text", "code"),
    # ISO11784Tools, README and tests: four forms of one code.
    [
        ("999123456789012", "999123456789012"),
        ("999 123 456 789 012", "999123456789012"),
        ("3e7.1cbe991a14", "999123456789012"),
        ("8000F9DCBE991A14", "999123456789012"),
        ("2858997D3B9F0001", "999123456789012"),
    ],
)
def test_chip__typed_as_a_ring(text, code):
    found = said(text)
    assert [(part.field, part.text) for part in found.parts] == [("chip code", code)]
    assert "not of a ring" in found.hints[0]
    assert "for tests" in found.hints[1]
    assert not any("closed ring" in proof for proof in found.proves)


def test_chip__its_country_by_iso_3166():
    assert f"276 is {country_of(276)}" in hinted("276098100000001")
    assert country_of(276) == "Germany"


@pytest.mark.parametrize("text", ["12345678901234", "1234567890123456"])
def test_chip__with_a_digit_too_few_or_too_many(text):
    assert any("a chip's code has 15" in note for note in said(text).notes)


def test_nine_digits__may_be_an_older_chip():
    assert any("scanner" in note for note in said("123456789").notes)


def test_lower_case_and_o_for_0():
    found = said("ie twk 2o oo42")
    assert [part.text for part in found.parts] == ["IE", "TWK", "20", "0042"]
    assert "read as digits" in found.parts[2].says


def test_signs_that_stand_on_no_ring__are_named_and_left_out():
    found = said("TWK ♥ 24 🦜 0173")
    assert "♥ 🦜" in found.notes[0]
    assert [part.text for part in found.parts] == ["TWK", "24", "0173"]


@pytest.mark.parametrize("text", ["", "   ", "🦜♥", "/ / /", "[]", "\x1b"])
def test_nothing_legible__says_so(text):
    found = said(text)
    assert found.parts == ()
    assert "Take another photo" in found.as_text()
    assert found.needs_photo
    assert found.share == 0


def test_500_characters__are_no_inscription():
    found = said("A" * 500)
    assert "500 characters are no inscription" in found.notes[0]
    assert len(found.inscription) < 80
    assert found.certainty.startswith("No way of writing")


def test_many_words__only_the_first_are_read():
    found = said(" ".join(["12"] * 18))
    assert any("18 words" in note for note in found.notes)


def test_markup__is_text():
    assert "[/x] [bold]" in said("[/x] [bold] 24").as_text()


def test_unread_characters__are_kept_apart():
    found = said("QSA 2? 0173*")
    fields = {part.text: part for part in found.parts}
    assert fields["2?"].field == "not all read"
    assert "one of 2020 to 2027" in fields["2?"].says
    assert fields["0173*"].field == "not all read"
    assert found.needs_photo
    assert not any("2?" in other.parts for other in found.others)


# --- whom to ask ---


def test_whom_to_ask__by_country():
    # BArtSchV s.15(6): issuers report inscriptions with recipients to the authority.
    assert any("authority" in ask for ask in said("DE HBQ 24 118").ask)
    assert any("Ireland" in ask for ask in said("IE TWK 19 0174").ask)


# --- the keeper's own schemes ---

HEAD = "scheme,form,kind,bred,country,meaning,ask,source,likely\n"
OWN = (
    'Islands club,ISL <member> <yy>/<serial>,closed,captive,IE,"club ring",the club,,\n'
)
GOOD = OWN.replace("/", " ")


def own(folder, text):
    path = folder / "ring_schemes.csv"
    path.write_text(text, encoding="utf-8")
    return read_own_schemes(path)


def test_own_scheme__is_read_like_the_tables(tmp_path):
    found = own(tmp_path, HEAD + GOOD)
    assert found.troubles == ()
    told = explain("ISL 0042 24 118", today=TODAY, own=found)
    assert told.issuer.startswith("Islands club")
    assert [part.field for part in told.parts] == [
        "issuer", "flock code", "ring year", "serial",
    ]  # fmt: skip
    assert any("the club" in ask for ask in told.ask)


def test_own_scheme__lies_in_the_folder_of_the_program():
    assert explain("ISL 0042 24 118", today=TODAY).issuer == ""
    paths.own_schemes_file().write_text(HEAD + GOOD, encoding="utf-8")
    assert "Islands club" in explain("ISL 0042 24 118", today=TODAY).issuer


@pytest.mark.parametrize(
    ("row", "why"),
    [
        (OWN, "holds /"),
        (GOOD.replace("<yy>", "<year>"), "“<year>” is no part we know"),
        (GOOD.replace("closed", "loose"), "“loose” in “kind”"),
        (GOOD.replace("captive", "wild"), "“wild” in “bred”"),
        (GOOD.replace("IE", "XX"), "“XX” is no country"),
        (GOOD.replace("Islands club", ""), "“scheme” is empty"),
        (GOOD.replace(",,\n", ",,much\n"), "“much” in “likely”"),
        (GOOD.replace("ISL", "isl"), "write capitals"),
        (GOOD.replace("ISL", "<letters>"), "needs how many"),
        (GOOD.replace("\n", ",,,\n"), "more cells than columns"),
        (GOOD.replace("ISL", "<digits:99>"), "no ring has so many"),
    ],
)
def test_own_scheme__a_bad_row_gets_a_sentence_and_the_others_count(tmp_path, row, why):
    found = own(tmp_path, HEAD + row + GOOD)
    (trouble,) = found.troubles
    assert trouble.startswith("ring_schemes.csv, line 2: ")
    assert why in trouble
    assert len(found.schemes) == 1
    assert trouble in explain("ISL 0042 24 118", today=TODAY, own=found).notes


@pytest.mark.parametrize(
    ("text", "why"),
    [
        (b"\xff\xfe", "not UTF-8"),
        (b"name,form\n", "no column “scheme”"),
        (b"", "no col"),
    ],
)
def test_own_schemes__a_file_that_is_none(tmp_path, text, why):
    path = tmp_path / "ring_schemes.csv"
    path.write_bytes(text)
    found = read_own_schemes(path)
    assert why in found.troubles[0]
    assert found.schemes == ()


def test_own_scheme__as_the_readme_shows_it(tmp_path):
    readme = (Path(__file__).parents[3] / "README.md").read_text(encoding="utf-8")
    shown = readme.split("```csv\n")[1].split("```")[0]
    found = own(tmp_path, shown)
    assert found.troubles == ()
    assert explain("ISL 7 24 118", today=TODAY, own=found).parts[0].text == "ISL"
    names = set(re.findall(r"`<(\w+?)(?::\d)?>`", readme))
    assert {f"<{name}>" for name in names} >= set(known_parts())


def known_parts():
    """The parts that a form may name, as the program tells them."""
    with pytest.raises(ValueError, match="known are") as refused:
        check_form("<x>")
    return re.findall(r"<\w+>", str(refused.value).split("known are ")[1])


def test_schemes__every_row_of_the_table_is_good_and_has_a_source():
    assert len(schemes()) > 30
    assert all(scheme.source and scheme.ask for scheme in schemes())
