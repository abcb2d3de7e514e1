"""Text of a ring to its fields, against published inscriptions and ISO 3166."""

import pycountry
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.reference.ring_series import series_size
from ledger.rings.countries import countries_written
from ledger.rings.fields import Field, full_years
from ledger.rings.inscription import read_inscription

YEAR = 2025


def best(text):
    return read_inscription(text, year_now=YEAR)[0]


def test_bna_ring__as_the_city_of_cologne_prints_it():
    # stadt-koeln.de, "Kennzeichnung von Voegeln und Saeugetieren": issuer BNA, 2.0 mm,
    # closed, 2011, number 1234.
    found = best("B 2,0 G 11 1234")
    assert found.issuer == "BNA (Germany)"
    assert (found.size_mm, found.closure) == (2.0, "closed")
    assert (found.ring_year, found.serial) == (2011, "1234")


def test_uk_parrot_ring__as_the_parrot_society_prints_it():
    # theparrotsocietyuk.org, parrot rings: 3rd bird of CAGS in 2020, size V.
    found = best("3 CAGS 20 V")
    assert (found.serial, found.flock_code) == ("3", "CAGS")
    assert (found.ring_year, found.size_code) == (2020, "V")
    assert found.size_mm is None  # the page does not give the diameter of V


def test_us_quarantine_ring__florida_before_1992():
    # APHIS, "Bird Leg Band Information": three letters and three digits, F Florida;
    # FAB 123 as an example: mystinwolf.tripod.com (hobby page).
    found = best("FAB 123")
    assert found.scheme.kind == "quarantine"
    assert "Florida" in found.scheme.meaning
    assert found.ring_years == ()
    others = read_inscription("FAB 123", year_now=YEAR)[1:]
    assert any(reading.flock_code == "FAB" for reading in others)


@pytest.mark.parametrize(
    ("first_letter", "state"),
    # APHIS, "Bird Leg Band Information"; T and H: petcha.com (hobby page).
    [
        ("C", "California"),
        ("O", "California"),
        ("M", "Michigan"),
        ("I", "Illinois"),
        ("L", "Louisiana"),
        ("N", "New York"),
        ("T", "Texas"),
        ("H", "Hawaii"),
    ],
)
def test_us_quarantine_ring__state_by_first_letter(first_letter, state):
    assert state in best(f"{first_letter}QK 407").scheme.meaning


def test_us_federal_station():
    # APHIS, "Bird Leg Band Information": USDA; USDAM Miami: petcha.com (hobby page).
    assert best("USDAM 123").issuer == "US federal quarantine"


@pytest.mark.parametrize(
    ("text", "code", "year", "serial"),
    # forums.budgiebreeders.asn.au faq 1006 (hobby page): the last digit of the year.
    [
        ("IBS XX -6 350", "XX", 2006, "350"),
        ("PR -5 394", "PR", 2005, "394"),
        ("PR 1W -8 021", "1W", 2008, "021"),
    ],
)
def test_budgerigar_ring__one_digit_of_the_year(text, code, year, serial):
    found = best(text)
    assert (found.flock_code, found.serial) == (code, serial)
    assert year in found.ring_years
    assert found.ring_year is None  # one digit never fixes the year
    assert all(str(y)[-1] == str(year)[-1] for y in found.ring_years)


def test_eu_entry__country_by_iso_3166_and_serial():
    # Delegated Regulation (EU) 2020/692 Art. 53: 2- or 3-letter ISO 3166 code of the
    # country where first marked, and a unique serial number.
    for text in ("NL 0123456", "NLD 0123456"):
        found = best(text)
        assert (found.country, found.serial) == ("NL", "0123456")


@pytest.mark.parametrize(
    ("ordinal", "size_mm"),
    # BArtSchV Anlage 7: ordinals of the small sizes.
    enumerate([2.0, 2.3, 2.5, 2.7, 2.8, 3.0, 3.2, 3.3, 3.5, 3.8]),
)
def test_german_ordinals(ordinal, size_mm):
    found = best(f"Z {ordinal} G 15 1077")
    assert (found.size_mm, found.closure, found.ring_year) == (size_mm, "closed", 2015)
    # Anlage 7 names issuer, open or closed, year, size and serial, in this order.
    assert best(f"B O 15 {ordinal} 1077").size_mm == size_mm


def test_german_hybrid_ring():
    # BArtSchV Anlage 7: HY is added for raptor hybrids.
    assert best("B 13.0 G 14 0031 HY").issuer == "German raptor hybrid"


@pytest.mark.parametrize(
    ("letter", "size_mm"), [("A", 4), ("D", 6), ("1G", 7), ("1F", 30)]
)
def test_burgenland_letters(letter, size_mm):
    # Burgenland ordinance LBG10000307 section 1(3), gesetzefinden.at.
    assert best(f"B-WAA {letter} 1234").size_mm == size_mm


def test_size_letter__nothing_without_its_scheme():
    # D is 5.25 mm at the BTO (bto.org, ring sizes) and 6 mm in Burgenland.
    sizes = {s.scheme[:3]: s.inner_diameter_mm for s in series_size("D")}
    assert sizes["BTO"] == 5.25
    assert sizes["Bur"] == 6.0
    assert best("HBQ 21 118 D").size_mm is None


def test_every_iso_country_is_known():
    for country in pycountry.countries:
        for letters in (country.alpha_2, country.alpha_3):
            assert countries_written(letters)[0].alpha_2 == country.alpha_2


def test_nothing_is_a_country_that_iso_does_not_list():
    iso = {c.alpha_2 for c in pycountry.countries}
    for a in "ABCDEFGHIJKLMNOPQRSTUVWXYZ":
        for b in "ABCDEFGHIJKLMNOPQRSTUVWXYZ":
            found = [c for c in countries_written(a + b) if c.how == "two letters"]
            assert bool(found) == (a + b in iso)


@pytest.mark.parametrize(
    ("short", "alpha_2"), [("D", "DE"), ("GB", "GB"), ("NL", "NL"), ("B", "BE")]
)
def test_short_forms_of_the_trade(short, alpha_2):
    # D on German federation rings: de.zxc.wiki, "Zuechterring"; the others from memory.
    assert alpha_2 in [c.alpha_2 for c in countries_written(short)]


@pytest.mark.parametrize(
    "text",
    [
        "IE TWK 21 0042",
        "0042 IE TWK 21",
        "21 IE 0042 TWK",
        "IE / TWK / 21 / 0042",
        "IE TWK / 2021 0042",
        "TWK21 / IE 0042",
    ],
)
def test_fields_in_any_order_and_lines(text):
    found = best(text)
    assert (found.country, found.flock_code) == ("IE", "TWK")
    assert (found.ring_year, found.serial) == (2021, "0042")


def test_ambiguous_split__both_kept():
    found = read_inscription("HBQ 23 17", year_now=YEAR)
    assert {(r.ring_year, r.serial) for r in found} >= {(2023, "17"), (2017, "23")}


def test_o_and_i_are_taken_for_digits_in_a_serial():
    found = best("ie twk 21 oo4I")
    assert (found.ring_year, found.serial) == (2021, "0041")


def test_known_flock_code_outweighs_a_country():
    plain = read_inscription("PE 21 0042", year_now=YEAR)
    known = read_inscription("PE 21 0042", year_now=YEAR, flock_codes=frozenset({"PE"}))
    assert known[0].flock_code == "PE"
    assert {"PE"} == {r.country for r in plain if r.country}


def test_years_of_one_two_and_four_digits():
    assert full_years("98", YEAR) == (1998,)
    assert full_years("26", YEAR) == (2026,)  # sold before the year begins
    assert full_years("27", YEAR) == ()
    assert full_years("1949", YEAR) == ()
    assert full_years("2031", YEAR) == ()


def test_nothing_in_nothing_out():
    assert read_inscription(" / ", year_now=YEAR) == ()


@given(
    st.lists(
        st.text("ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789.-", min_size=1, max_size=7),
        max_size=7,
    )
)
def test_any_text_is_read_or_left__never_invented(words):
    text = " ".join(words)
    found = read_inscription(text, year_now=YEAR)
    assert sum(r.score for r in found) <= 1 + 1e-9
    assert list(found) == sorted(found, key=lambda r: -r.score)
    written = "".join(filter(str.isalnum, text)).translate(str.maketrans("OI", "01"))
    for reading in found:
        for part in reading.parts:
            signs = "".join(filter(str.isalnum, part.text))
            assert signs.translate(str.maketrans("OI", "01")) in written


@given(st.sampled_from(["IE TWK 21 0042", "B 2,0 G 11 1234", "3 CAGS 20 V"]), st.data())
def test_case_and_spacing_do_not_matter(text, data):
    words = [
        data.draw(st.sampled_from([word, word.lower(), f" {word} "]))
        for word in text.split()
    ]
    found = read_inscription("  ".join(words), year_now=YEAR)
    assert found == read_inscription(text, year_now=YEAR)


def test_fields_never_twice():
    for reading in read_inscription("21 22 23 0042 0043 IE GB TWK", year_now=YEAR):
        fields = [part.field for part in reading.parts]
        for field in (Field.SERIAL, Field.RING_YEAR, Field.COUNTRY):
            assert fields.count(field) <= 1
