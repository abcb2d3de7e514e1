"""Hatch forecasts against published incubation times."""

import datetime as dt

import pytest
from builders import a_date

from ledger.care.hatching import (
    candling_days,
    feeding_after_fledging,
    fledging,
    hatch_forecast,
    incubation,
)
from ledger.domain import Clutch, Egg, EggFate

# Incubation in days: Handbook of the Birds of the World and the Amniote database
# (Myhrvold et al. 2015, Ecology 96:3109), as in the breeding table.
INCUBATION = {
    "Cockatiel": (20, 20.5),
    "Rosy-faced Lovebird": (23, 23.3),
    "Grey Parrot": (30, 30),
    "Galah": (23.5, 25.5),
}


def a_clutch(*eggs, laid="2026-04-01"):
    return Clutch("k0001", "p0001", laid=a_date(laid) if laid else None, eggs=eggs)


@pytest.mark.parametrize("species", INCUBATION)
def test_incubation__is_all_that_the_sources_give(species):
    span = incubation(species)
    assert (span.fewest, span.most) == INCUBATION[species]
    assert span.sources


def test_incubation__of_a_bird_that_no_table_lists_is_not_guessed():
    assert incubation("unicorn") is None
    egg = Egg(1, a_date("2026-04-01"))
    assert hatch_forecast("unicorn", a_clutch(egg), egg) is None


def test_fledging__of_a_cockatiel_and_how_long_it_is_fed():
    # Amniote database 31.5; AnAge 27; Australian Parrots 35 days (breeding table).
    span = fledging("Cockatiel")
    assert (span.fewest, span.most) == (27.0, 35.0)
    assert feeding_after_fledging("unicorn") is None


def test_forecast__counts_from_the_day_the_egg_was_laid():
    egg = Egg(2, a_date("2026-04-03"))
    forecast = hatch_forecast("Grey Parrot", a_clutch(egg), egg)
    # 30 days (Amniote database), one less to three more (common practice, no source).
    assert forecast.earliest == dt.date(2026, 5, 2)
    assert forecast.latest == dt.date(2026, 5, 6)
    assert forecast.counted_from == "the day it was laid"
    assert "Amniote" in forecast.said


def test_forecast__of_an_undated_egg_counts_from_the_first_and_is_wider():
    egg = Egg(3)
    forecast = hatch_forecast("Grey Parrot", a_clutch(egg), egg)
    assert forecast.counted_from == "the first egg's day"
    assert forecast.earliest == dt.date(2026, 5, 2)
    assert forecast.latest == dt.date(2026, 5, 10)


def test_forecast__of_a_clutch_without_any_day_is_none():
    egg = Egg(1)
    assert hatch_forecast("Grey Parrot", a_clutch(egg, laid=None), egg) is None
    assert candling_days(a_clutch(egg, laid=None), egg) is None


def test_forecast__holds_where_only_the_month_is_known():
    egg = Egg(1, a_date("2026-04"))
    forecast = hatch_forecast("Grey Parrot", a_clutch(egg), egg)
    assert forecast.earliest == dt.date(2026, 4, 30)
    assert forecast.latest == dt.date(2026, 6, 2)


def test_candling__is_best_in_the_second_week_and_again_when_nothing_was_sure():
    egg = Egg(1, a_date("2026-04-01"))
    assert candling_days(a_clutch(egg), egg) == (
        dt.date(2026, 4, 8),
        dt.date(2026, 4, 11),
    )
    seen = Egg(1, a_date("2026-04-01"), EggFate.IN_NEST, candled=a_date("2026-04-08"))
    assert candling_days(a_clutch(seen), seen)[0] == dt.date(2026, 4, 12)
