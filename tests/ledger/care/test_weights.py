"""A bird's curve: gain by day, and what counts as a loss."""

import datetime as dt

import pytest
from builders import a_bird, a_flock, an_event

from ledger.care.weights import curve_of
from ledger.domain import EventKind


def a_chick(*weights, species="Cockatiel", kinds=(), start=dt.date(2026, 5, 1)):
    """A bird that hatched on the start, with weights by age in days."""
    events = [
        an_event(
            f"e{number:04d}",
            kind=EventKind.WEIGHED,
            on=str(start + dt.timedelta(age)),
            weight_g=grams,
        )
        for number, (age, grams) in enumerate(weights, 1)
    ]
    events += [
        an_event(f"e{number:04d}", kind=kind, on=str(start + dt.timedelta(age)))
        for number, (age, kind) in enumerate(kinds, 500)
    ]
    bird = a_bird(species=species, hatched=str(start))
    return curve_of(a_flock(bird, *events), bird.id)


def test_curve__tells_age_and_gain_by_day():
    curve = a_chick((1, 5.0), (3, 9.0), (4, 12.0))
    assert [point.age_days for point in curve.points] == [1, 3, 4]
    assert [point.gain_g_a_day for point in curve.points] == [None, 2.0, 3.0]
    assert curve.loss is None
    # Dunning 2008 through EltonTraits 1.0: 94.6 g.
    assert curve.handbook.mean_g == 94.6


def test_curve__keeps_one_weight_a_day_the_last_entered():
    curve = a_chick((1, 5.0), (1, 5.4))
    assert [point.weight_g for point in curve.points] == [5.4]


def test_curve__leaves_out_a_weight_without_a_day():
    bird = a_bird()
    flock = a_flock(bird, an_event(kind=EventKind.WEIGHED, on="2019", weight_g=90.0))
    assert curve_of(flock, bird.id).points == ()


def test_loss__of_a_chick_is_said_at_once():
    loss = a_chick((8, 40.0), (9, 38.0)).loss
    assert loss.is_usual is False
    assert "38 g, 2 g less than on 2026-05-09" in loss.said
    assert "avian vet" in loss.said
    assert loss.source == "common practice, no source"


def test_loss__of_less_than_the_scales_tell_is_none():
    assert a_chick((8, 100.0), (9, 99.5)).loss is None


def test_loss__near_fledging_is_usual_within_limits():
    # Fledging of cockatiels: 27 to 35 days (breeding table).
    assert a_chick((22, 95.0), (25, 90.0)).loss.is_usual is True
    assert a_chick((22, 95.0), (25, 70.0)).loss.is_usual is False


@pytest.mark.parametrize(("grams", "is_loss"), [(91.0, False), (89.0, True)])
def test_loss__of_a_grown_bird_is_by_its_own_year(grams, is_loss):
    fledged = [(32, EventKind.FLEDGED)]
    weights = [(400, 100.0), (460, 101.0), (520, 99.0), (580, grams)]
    assert bool(a_chick(*weights, kinds=fledged).loss) is is_loss


def test_loss__of_a_grown_bird_needs_a_history():
    assert a_chick((400, 100.0), (460, 80.0)).loss is None
