"""The fit rule against the published shares, and what is said of a bad fit."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.care.fit import FIT_SIGNS, Fit, FitSign, check_fit, fitting_sizes
from ledger.errors import RuleError

# Splittgerber and Clarke (Journal of Field Ornithology 2006, abstract): the tarsus at
# mid-length fills 60 to 65 % of the ring's inner diameter. 3.0 / .65 and 3.0 / .60;
# 7.0 / .65 and 7.0 / .60.
BY_THE_RULE = {3.0: (4.62, 5.00), 7.0: (10.77, 11.67)}


@pytest.mark.parametrize("leg_mm", BY_THE_RULE)
def test_fitting_sizes__are_those_of_the_rule(leg_mm):
    sizes = fitting_sizes(leg_mm)
    assert tuple(round(size, 2) for size in sizes) == BY_THE_RULE[leg_mm]


@pytest.mark.parametrize(
    ("leg_mm", "inner_mm", "fit"),
    [
        (6.0, 10.0, Fit.RIGHT),
        (6.5, 10.0, Fit.RIGHT),
        (6.6, 10.0, Fit.TIGHT),
        (5.9, 10.0, Fit.LOOSE),
        (10.0, 10.0, Fit.TIGHT),
    ],
)
def test_fit__by_the_share_that_the_leg_fills(leg_mm, inner_mm, fit):
    assert check_fit(leg_mm, inner_mm).fit is fit


def test_fit__says_the_numbers_the_meaning_and_the_source():
    check = check_fit(7.0, 10.0)
    assert check.said[0] == (
        "The leg (7 mm) fills 70% of the ring (10 mm): tight. For this leg the rule "
        "gives 10.77 to 11.67 mm."
    )
    assert "do not take it off yourself" in check.said[1]
    assert "Splittgerber and Clarke" in check.said[-1]


def test_fit__a_leg_as_thick_as_the_ring_is_for_a_vet_today():
    assert "avian vet today" in check_fit(8.0, 8.0).said[1]


@given(st.floats(1, 30))
def test_fit__a_ring_within_the_fitting_sizes_fits(leg_mm):
    for inner_mm in fitting_sizes(leg_mm):
        assert check_fit(leg_mm, inner_mm).fit is Fit.RIGHT


@pytest.mark.parametrize("size_mm", [0, -1, 70])
def test_fit__refuses_what_is_no_measure(size_mm):
    with pytest.raises(RuleError, match="No leg"):
        check_fit(size_mm, 7.0)
    with pytest.raises(RuleError, match="No ring"):
        check_fit(7.0, size_mm)


def test_signs__above_the_hock_is_too_large_and_for_a_vet():
    # Common practice, no source: what breeders and vets say of such a ring.
    sign = FIT_SIGNS[FitSign.ABOVE_HOCK]
    assert sign.means == "too large, dangerous"
    assert sign.is_danger
    assert "avian vet, who takes it off" in sign.said
    assert "common practice" in sign.source


def test_signs__what_will_not_pass_the_foot_is_too_small():
    # Common practice, no source.
    sign = FIT_SIGNS[FitSign.NOT_OVER_FOOT]
    assert sign.means == "too small"
    assert "Never force it" in sign.said
    assert "common practice" in sign.source


def test_signs__every_one_has_its_words_and_source():
    assert set(FIT_SIGNS) == set(FitSign)
    assert all(trouble.said and trouble.source for trouble in FIT_SIGNS.values())
