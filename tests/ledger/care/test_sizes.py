"""Sizes against the German ordinance and a society's specification."""

import pytest

from ledger.care.sizes import (
    LOCAL_RULES,
    advise_size,
    check_size,
    is_size,
    neighbour_sizes,
    same_species,
)
from ledger.domain.bird import Sex
from ledger.domain.people import FlockSettings, OwnSize

NONE_OF_OUR_OWN = FlockSettings()


def own(*sizes):
    return FlockSettings(own_sizes=tuple(OwnSize(*size) for size in sizes))


# BArtSchV Anlage 6, column 3, in mm.
@pytest.mark.parametrize(
    ("species", "size_mm"),
    [
        ("Psittacus erithacus", 11.5),
        ("Grey Parrot", 11.5),
        ("Psittacus erithacus timneh", 9.5),
        ("Ara ararauna", 14.0),
        ("Amazona albifrons", 8.5),
        ("Poicephalus senegalus", 7.5),
    ],
)
def test_advice__is_the_ordinances_size(species, size_mm):
    advice = advise_size(species, Sex.UNKNOWN, NONE_OF_OUR_OWN)
    assert (advice.smallest_mm, advice.largest_mm) == (size_mm, size_mm)
    assert "BArtSchV" in advice.source
    assert not advice.is_own
    assert not advice.doubt


# BArtSchV Anlage 6: Falco peregrinus 1,0 12.0 and 0,1 13.0; Accipiter nisus 7.0, 8.0.
@pytest.mark.parametrize(
    ("species", "sex", "sizes"),
    [
        ("Falco peregrinus", Sex.COCK, (12.0, 12.0)),
        ("Falco peregrinus", Sex.HEN, (13.0, 13.0)),
        ("Falco peregrinus", Sex.UNKNOWN, (12.0, 13.0)),
        ("Accipiter nisus", Sex.HEN, (8.0, 8.0)),
    ],
)
def test_advice__holds_the_sexes_apart_where_the_source_does(species, sex, sizes):
    advice = advise_size(species, sex, NONE_OF_OUR_OWN)
    assert (advice.smallest_mm, advice.largest_mm) == sizes
    assert ("sex is not known" in advice.doubt) is (sex is Sex.UNKNOWN)


def test_advice__where_nobody_gives_a_size_says_so_and_makes_none_up():
    advice = advise_size("Cockatiel", Sex.UNKNOWN, NONE_OF_OUR_OWN)
    assert (advice.smallest_mm, advice.source) == (None, "")
    assert not advice.is_known
    assert advice.said == "No ring size for Cockatiel is published."
    assert "ask an avian vet" in advice.doubt


def test_advice__of_a_value_that_looks_wrong_in_print_says_it():
    assert (
        "looks wrong" in advise_size("Pyrrhura picta", Sex.HEN, FlockSettings()).doubt
    )


def test_advice__the_keepers_own_size_goes_first_and_is_marked():
    advice = advise_size(
        "African Grey", Sex.UNKNOWN, own(("Psittacus erithacus", 10.0))
    )
    assert advice.size_mm == 10.0
    assert advice.is_own
    assert advice.source == "your own size, not a published one"
    assert advice.also == (
        "Bundesartenschutzverordnung (BArtSchV) Anlage 6, column 3 gives 11.5 mm for "
        "Grey Parrot.",
    )


@pytest.mark.parametrize(
    ("sex", "sizes"),
    [(Sex.COCK, (5.4, 5.4)), (Sex.HEN, (5.6, 5.6)), (Sex.UNKNOWN, (5.5, 5.5))],
)
def test_advice__an_own_size_may_be_of_one_sex(sex, sizes):
    settings = own(
        ("Cockatiel", 5.4, "cock"), ("Cockatiel", 5.6, "hen"), ("Cockatiel", 5.5)
    )
    advice = advise_size("Cockatiel", sex, settings)
    assert (advice.smallest_mm, advice.largest_mm) == sizes


def test_check__seven_millimetres_for_a_grey_parrot_are_warned_of():
    # Some web tables give 7 to 8 mm; the ordinance gives 11.5.
    said = check_size("Grey Parrot", Sex.UNKNOWN, 7.0, NONE_OF_OUR_OWN)
    assert said[0] == (
        "A ring of 7 mm is 4.5 mm too small for a Grey Parrot: 11.5 mm by "
        "Bundesartenschutzverordnung (BArtSchV) Anlage 6, column 3."
    )
    assert said[-1] == LOCAL_RULES


def test_check__a_ring_too_large_says_what_may_come_of_it():
    said = check_size("Sun Conure", Sex.HEN, 7.5, NONE_OF_OUR_OWN)
    assert "1 mm too large for a Sun Conure: 6.5 mm" in said[0]
    assert "over the hock, which is dangerous (common practice" in said[1]


def test_check__the_right_size_is_not_spoken_of():
    assert check_size("Ara ararauna", Sex.COCK, 14.0, NONE_OF_OUR_OWN) == ()
    assert check_size("Cockatiel", Sex.COCK, 5.5, own(("Cockatiel", 5.5))) == ()


def test_check__a_size_that_is_not_known_is_warned_of():
    (said,) = check_size("Galah", Sex.COCK, None, NONE_OF_OUR_OWN)
    assert "not entered" in said
    (said,) = check_size("Cockatiel", Sex.COCK, 5.5, NONE_OF_OUR_OWN)
    assert said.startswith("No ring size for Cockatiel is published.")


def test_check__another_source_for_the_same_species_is_told():
    # Budgerigar Society: 4.30 to 4.50 mm, colour budgerigar 3.90 to 4.00 mm.
    assert check_size("Budgerigar", Sex.HEN, 4.4, NONE_OF_OUR_OWN) == ()
    said = check_size("Budgerigar", Sex.HEN, 4.0, NONE_OF_OUR_OWN)
    assert any("3.9 to 4 mm for Budgerigar (colour" in sentence for sentence in said)


def test_is_size__a_ring_may_measure_a_little_off_but_neighbours_stay_apart():
    # World Budgerigar Organisation: 4.30 to 4.50 mm is one size, 4.4 within 2.3 %.
    assert is_size(4.3, 4.4)
    assert is_size(4.5, 4.4)
    assert is_size(10.76, 11.0)
    # BArtSchV Anlage 7 tells 2.7 from 2.8 mm.
    assert not is_size(2.7, 2.8)
    assert not is_size(None, 2.8)


def test_neighbours__are_the_statutes_next_sizes():
    # BArtSchV Anlage 6 gives 7.0, 7.5 and 8.0 mm to parrots, and nothing below 2.0.
    assert neighbour_sizes(7.5) == (7.0, 8.0)
    assert neighbour_sizes(2.0)[0] is None


def test_species__are_the_same_under_any_of_their_names():
    assert same_species("African Grey", "Psittacus erithacus")
    assert same_species("our own sort", "Our  own sort")
    assert not same_species("Galah", "Cockatiel")
