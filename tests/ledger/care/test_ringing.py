"""The days in which chicks are ringed, against what is said in print."""

import datetime as dt

import pytest
from builders import a_bird

from ledger.care.ringing import WindowState, ringing_window, window_of
from ledger.domain import OwnWindow

HATCHED = dt.date(2026, 5, 1)

# Published ages at ringing, in days, with where they stand.
PUBLISHED = {
    # Bird Scene, autumn 2019, p. 13: 5 to 8; bcsa.com.au: 7 to 10.
    "Budgerigar": (5, 10),
    # timbrado.com/anilladox (hobby page): 7 to 8.
    "Serinus canaria": (7, 8),
    # pulpbits.net: 14 to 21; goldtentoasis.com: about 14 (hobby pages).
    "Grey Parrot": (14, 21),
    # Vet Times, 7 July 2014: captive-bred birds in general under 10 days; Bird Scene,
    # a December issue: zebra finches from about 7.
    "Zebra Finch": (7, 9),
}
# What breeders do, common practice, no source.
PRACTICE = {
    "Cockatiel": (7, 12),
    "Rosy-faced Lovebird": (8, 12),
    "Blue-and-yellow Macaw": (18, 25),
}


@pytest.mark.parametrize("species", PUBLISHED)
def test_window__is_the_published_one_and_names_where_it_stands(species):
    window = ringing_window(species)
    assert (window.first_day, window.last_day) == PUBLISHED[species]
    assert window.source != "common practice, no source"


@pytest.mark.parametrize("species", PRACTICE)
def test_window__without_a_source_says_so(species):
    window = ringing_window(species)
    assert (window.first_day, window.last_day) == PRACTICE[species]
    assert window.source == "common practice, no source"


@pytest.mark.parametrize("species", ["Blue-and-yellow Macaw", "Grey Parrot", "Galah"])
def test_window__of_a_parrot_ends_for_good_after_four_weeks(species):
    # papageien.org ringFAQ (hobby page): not after 4 weeks, the joints stiffen.
    assert ringing_window(species).never_after_day == 28


def test_window__tells_sources_at_odds():
    # Vet Times against the hobby pages for parrots of middle size.
    assert any("Vet Times" in said for said in ringing_window("Grey Parrot").at_odds)


def test_window__the_keepers_own_goes_before_all_and_is_marked():
    own = [OwnWindow("Nymphicus hollandicus", 9, 11)]
    window = ringing_window("Cockatiel", own)
    assert (window.first_day, window.last_day, window.is_own) == (9, 11, True)
    assert window.source == "the keeper's own choice"
    assert ringing_window("Grey Parrot", own).is_own is False


@pytest.mark.parametrize(
    ("days", "state"),
    [
        (0, "not yet"),
        (6, "not yet"),
        (7, "open"),
        (12, "open"),
        (13, "late"),
        (18, "late"),
        (19, "missed"),
        (400, "missed"),
    ],
)
def test_state__by_the_days_of_a_cockatiel(days, state):
    chick = a_bird(hatched=str(HATCHED))
    stands = window_of(ringing_window("Cockatiel"), chick, HATCHED + dt.timedelta(days))
    assert stands.state == state
    assert (stands.opens, stands.closes) == (dt.date(2026, 5, 8), dt.date(2026, 5, 13))
    assert stands.age_days == (days, days)
    assert f"{days} days old" in stands.said


def test_state__of_a_chick_whose_day_is_not_known_is_by_the_oldest_it_can_be():
    window = ringing_window("Cockatiel")
    chick = a_bird(hatched="2026-05")
    states = [
        window_of(window, chick, dt.date(2026, month, day)).state
        for month, day in [(5, 5), (5, 8), (5, 20), (6, 10), (6, 19)]
    ]
    assert states == ["not yet", "open", "late", "late", "missed"]


def test_state__without_a_hatch_date_is_not_guessed():
    stands = window_of(ringing_window("Cockatiel"), a_bird(hatched=None), HATCHED)
    assert stands.state is WindowState.UNKNOWN
    assert "not entered" in stands.said
