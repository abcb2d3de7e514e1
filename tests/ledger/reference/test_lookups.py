"""Lookups against values that public bodies and handbooks print."""

import pytest

from ledger.errors import NotFoundError
from ledger.reference import (
    breeding_figures,
    colours_of,
    handbook_weight,
    longevity,
    ring_size,
    scientific_name,
    series_size,
    years_of,
)

# BArtSchV (German federal ordinance on species protection) of 16 February 2005,
# Anlage 6, column 3: inner diameters in mm.
ANLAGE_6 = {
    "Psittacus erithacus": 11.5,
    "Psittacus erithacus timneh": 9.5,
    "Ara ararauna": 14.0,
    "Ara chloroptera": 15.0,
    "Ara macao": 14.0,
    "Ara militaris": 13.0,
    "Anodorhynchus hyacinthinus": 16.0,
    "Diopsittaca nobilis": 7.5,
    "Amazona aestiva": 11.0,
    "Amazona albifrons": 8.5,
    "Amazona imperialis": 13.0,
    "Amazona xantholora": 7.5,
    "Cacatua galerita": 14.0,
    "Cacatua goffini": 9.5,
    "Cacatua moluccensis": 14.0,
    "Eolophus roseicapillus": 9.5,
    "Probosciger aterrimus": 16.0,
    "Poicephalus senegalus": 7.5,
    "Agapornis lilianae": 4.0,
    "Neophema chrysogaster": 3.8,
    "Aratinga solstitialis": 6.5,
    "Pyrrhura perlata": 5.0,
    "Psittacula cyanocephala": 5.5,
    "Eos bornea": 6.5,
    "Carduelis carduelis": 2.5,
    "Pyrrhula pyrrhula": 2.8,
    "Turdus merula": 4.5,
    "Garrulus glandarius": 5.0,
    "Tyto alba": 10.0,
    "Strix aluco": 12.0,
}
# The same column where it gives a size for each sex (1,0 and 0,1).
ANLAGE_6_BY_SEX = {
    "Falco peregrinus": (12.0, 13.0),
    "Falco cherrug": (13.0, 14.0),
    "Accipiter nisus": (7.0, 8.0),
    "Accipiter gentilis": (12.0, 14.0),
    "Bubo bubo": (16.0, 22.0),
    "Haliaeetus albicilla": (24.0, 26.0),
}


@pytest.mark.parametrize("species", ANLAGE_6)
def test_ring_size__is_that_of_the_ordinance(species):
    (size,) = ring_size(species)
    assert size.smallest_mm == size.largest_mm == ANLAGE_6[species]
    assert "BArtSchV" in size.source


@pytest.mark.parametrize("species", ANLAGE_6_BY_SEX)
def test_ring_size__gives_each_sex_its_own(species):
    (size,) = ring_size(species)
    assert (size.cock_mm, size.hen_mm) == ANLAGE_6_BY_SEX[species]


def test_ring_size__may_be_a_range():
    # BArtSchV Anlage 6: Sturnus roseus 4,0 - 4,5.
    (size,) = ring_size("Sturnus roseus")
    assert (size.smallest_mm, size.largest_mm) == (4.0, 4.5)


def test_ring_size__of_a_budgerigar_is_the_societys():
    # Budgerigar Society ring specification since 2009: inner 4.30 to 4.50 mm;
    # colour budgerigar 3.90 to 4.00 mm.
    sizes = [(s.smallest_mm, s.largest_mm) for s in ring_size("Budgerigar")]
    assert sizes[:2] == [(4.3, 4.5), (3.9, 4.0)]


def test_ring_size__says_how_far_a_ring_is_off():
    # 7.0 mm for a grey parrot, as some web tables have it, against 11.5 mm in law.
    (grey,) = ring_size("Grey Parrot")
    assert grey.off_by_mm(7.0) == -4.5
    assert grey.off_by_mm(11.5) == 0.0
    assert grey.off_by_mm(12.0) == 0.5


@pytest.mark.parametrize("species", ["Trichoglossus haematodus", "Pyrrhura picta"])
def test_ring_size__tells_the_two_that_look_wrong_in_print(species):
    (size,) = ring_size(species)
    assert size.doubt


@pytest.mark.parametrize("species", ["Cockatiel", "Rosy-faced Lovebird", "unicorn"])
def test_ring_size__of_a_bird_that_no_table_lists_is_none(species):
    # The ordinance leaves out the birds that are not specially protected.
    assert ring_size(species) == ()


@pytest.mark.parametrize(
    ("words", "species"),
    [
        ("grey parrot", "Psittacus erithacus"),
        ("African Grey", "Psittacus erithacus"),
        ("Grey Parrot (Psittacus erithacus)", "Psittacus erithacus"),
        ("PSITTACUS ERITHACUS", "Psittacus erithacus"),
        ("Galah", "Eolophus roseicapillus"),
        ("Eolophus roseicapilla", "Eolophus roseicapillus"),
        ("Major Mitchells Cockatoo", "Cacatua leadbeateri"),
        ("Turquoise fronted Amazon", "Amazona aestiva"),
    ],
)
def test_ring_size__is_found_by_any_of_its_names(words, species):
    (size,) = ring_size(words)
    assert size.scientific_name == species


def test_scientific_name__says_what_sounds_like_it():
    assert scientific_name("Hahn's Macaw") == "Diopsittaca nobilis"
    with pytest.raises(NotFoundError, match="Gray Parot") as caught:
        scientific_name("Gray Parot")
    assert "Grey Parrot" in caught.value.hint
    with pytest.raises(NotFoundError) as caught:
        scientific_name("zzzz")
    assert caught.value.hint == "Try its scientific name."


# BTO, "Biometric Data / Ring Sizes"; Burgenland ordinance LBG10000307 s. 1(3).
def test_series_size__of_a_letter_depends_on_the_scheme():
    sizes = {size.scheme[:3]: size.inner_diameter_mm for size in series_size("d")}
    assert sizes == {"BTO": 5.25, "Bur": 6.0}
    sizes = {size.scheme[:3]: size.inner_diameter_mm for size in series_size("A")}
    assert sizes == {"BTO": 2.3, "Bur": 4.0}


@pytest.mark.parametrize(
    ("ordinal", "mm"),
    enumerate([2.0, 2.3, 2.5, 2.7, 2.8, 3.0, 3.2, 3.3, 3.5, 3.8]),
)
def test_series_size__of_an_ordinal_is_that_of_anlage_7(ordinal, mm):
    # BArtSchV Anlage 7: 2.0 to 3.8 mm are coded by the ordinals 0 to 9.
    (size,) = series_size(str(ordinal))
    assert size.inner_diameter_mm == mm


def test_series_size__may_be_a_letter_whose_size_is_not_printed():
    # Parrot Society UK: "3 CAGS 20 V", V used for African Grey, no diameter given.
    (size,) = series_size("V")
    assert size.inner_diameter_mm is None


def test_years_of__a_colour_are_several():
    # COM colour list: red in 2012, 2018, 2024, 2030; dark blue in 2011, 2017 ...
    com = [c.year for c in years_of("Red") if c.scheme.startswith("COM")]
    assert com == [2012, 2018, 2024, 2030]
    com = [c.year for c in years_of("blue") if c.scheme.startswith("COM")]
    assert com == [2011, 2017, 2023, 2029]
    assert years_of("") == ()


def test_colours_of__a_year_differ_between_schemes():
    # 2014: COM green (RAL 6026); Budgerigar Society pastel green (RAL 6019).
    colours = {c.scheme[:3]: (c.colour, c.ral) for c in colours_of(2014)}
    assert colours == {"COM": ("Green", "6026"), "WBO": ("Pastel green", "6019")}


# Dunning 2008 through EltonTraits 1.0.
@pytest.mark.parametrize(
    ("species", "mean_g"),
    [
        ("Psittacus erithacus", 333),
        ("Ara ararauna", 1125),
        ("Amazona aestiva", 451),
        ("Cockatiel", 94.6),
        ("Melopsittacus undulatus", 29),
        ("Poicephalus senegalus", 147),
        ("Peach-faced Lovebird", 53.8),
    ],
)
def test_handbook_weight__is_the_handbooks(species, mean_g):
    assert handbook_weight(species).mean_g == mean_g


def test_handbook_weight__and_longevity_of_an_unlisted_bird_are_none():
    assert handbook_weight("unicorn") is None
    assert longevity("unicorn") is None
    assert breeding_figures("unicorn") == ()


def test_breeding_figures__keep_sources_that_disagree():
    # Psittacula krameri fledging: Amniote database 45.5 days, HBW cell 84 days.
    figures = breeding_figures("Psittacula krameri")
    assert {f.fledging_days for f in figures} == {45.5, 84.0}


def test_breeding_figures__are_those_of_the_handbooks():
    # Incubation of the budgerigar: 18 days in HBW, Amniote database and AnAge.
    assert {f.incubation_days for f in breeding_figures("Budgerigar")} == {18.0}
    # HBW: 4 to 6 eggs; the Amniote database gives the mean.
    eggs = {(f.fewest_eggs, f.most_eggs) for f in breeding_figures("Budgerigar")}
    assert eggs == {(5.0, 5.0), (4.0, 6.0)}
    # Cacatua leadbeateri is fed for 3 months after fledging (HBW).
    fed = {f.fed_after_fledging_months for f in breeding_figures("Pink Cockatoo")}
    assert fed == {3.0}


def test_breeding_figures__include_rows_that_print_no_english_name():
    assert breeding_figures("Galah") == breeding_figures("Eolophus roseicapilla")


def test_longevity__names_sample_and_quality():
    # AnAge: Psittacus erithacus 49.7 years in captivity.
    grey = longevity("Grey Parrot")
    assert (grey.longest_years, grey.origin) == (49.7, "captivity")
    assert "CC BY 3.0" in grey.source
