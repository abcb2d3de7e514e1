"""Grades of a look under a ring, and what each asks for."""

import pytest

from ledger.care.leg_findings import (
    FOOT_GRADES,
    LEG_VERDICTS,
    Found,
    LegFinding,
    found,
    verdict,
)

TODAY_WITH_A_VET = {
    LegFinding.SORE,
    LegFinding.BLOOD,
    LegFinding.SWELLING,
    LegFinding.STUCK,
    LegFinding.ABOVE_HOCK,
    LegFinding.LAME,
}
"""What vets' pages call an emergency: swelling below a ring (canarytales.blogspot.com),
constriction (greenbayvets.co.uk), a ring above the hock (poultryscience.in); broken
skin and lameness: common practice, no source."""


@pytest.mark.parametrize("leg", [None, *LegFinding])
@pytest.mark.parametrize("foot", [0, *FOOT_GRADES])
def test_finding__comes_back_from_its_text(leg, foot):
    what = Found(leg, foot)
    kept = found(what.as_finding)
    assert kept == (what if leg or foot else None)


def test_finding__keeps_a_measure_beside_the_grades():
    what = Found(LegFinding.WELL, 0, 7.25)
    assert what.as_finding == "leg under the ring: all well; leg in mm: 7.25"
    assert found(what.as_finding) == what
    assert what.is_well
    assert found("stays: 7.5 mm, left leg; leg in mm: 5") == Found(leg_mm=5.0)


@pytest.mark.parametrize("text", ["", "sits well", "bumblefoot 1-7: 8", "leg: blood"])
def test_finding__of_another_scale_is_none(text):
    assert found(text) is None


def test_finding__names_its_scale():
    # Bumblefoot is graded 1 to 7 (treeoflifeexotics.vet): a grade without its scale
    # could be one of Remple's five.
    kept = Found(LegFinding.SWELLING, 2).as_finding
    assert kept == "leg under the ring: swelling; bumblefoot 1-7: 2"


def test_foot_grades__are_the_seven_stages():
    # treeoflifeexotics.vet; beautyofbirds.com has seven as well.
    assert list(FOOT_GRADES) == [1, 2, 3, 4, 5, 6, 7]
    assert "ulcer" in FOOT_GRADES[3]
    assert "bone" in FOOT_GRADES[7]


@pytest.mark.parametrize("leg", LegFinding)
def test_verdict__sends_to_a_vet_today_what_cannot_wait(leg):
    asked = verdict(Found(leg))
    assert (asked.vet_within_days == 0) is (leg in TODAY_WITH_A_VET)


@pytest.mark.parametrize("leg", sorted(TODAY_WITH_A_VET | {LegFinding.RED}))
def test_verdict__never_has_a_ring_taken_off_at_home(leg):
    said = LEG_VERDICTS[leg].said
    assert "do not turn, cut or take it off at home" in said
    assert "local rules" in said


@pytest.mark.parametrize("foot", FOOT_GRADES)
def test_verdict__of_an_ulcer_is_today(foot):
    # From stage 3 on there is an ulcer, pain, a lame bird (treeoflifeexotics.vet).
    asked = verdict(Found(LegFinding.WELL, foot))
    assert asked.is_bad
    assert (asked.vet_within_days == 0) is (foot >= 3)


def test_verdict__takes_the_more_pressing_of_leg_and_foot():
    assert verdict(Found(LegFinding.SWELLING, 1)).vet_within_days == 0
    assert verdict(Found(LegFinding.DEAD_SKIN, 5)).vet_within_days == 0
    assert verdict(Found(LegFinding.RED, 1)).vet_within_days == 3


def test_verdict__names_a_source_for_all_but_well():
    for leg, asked in LEG_VERDICTS.items():
        assert bool(asked.source) is (leg is not LegFinding.WELL)
