"""Trial rings: when the fit is checked, and how far a trial is."""

import datetime as dt

import pytest
from builders import a_bird, a_date, a_ring, an_event

from ledger.care.trial import TrialStep, are_neighbours, fit_age, trial_of
from ledger.domain import EventKind, Task, TaskKind
from ledger.reference import breeding_figures

BIRD = a_bird(species="Psittacus erithacus", hatched="2026-01-10")
SMALL = a_ring("r0001", bird="b0001", size_mm=11.0, trial=True, put_on="2026-01-25")
LARGE = a_ring(
    "r0002",
    "IE TWK / 26 0002",
    bird="b0001",
    size_mm=11.5,
    leg="right",
    trial=True,
    put_on="2026-01-25",
)


def test_fit_age__is_that_of_fledging_by_the_published_tables():
    # Amniote database and Handbook of the Birds of the World, via reference/breeding.
    published = [f.fledging_days for f in breeding_figures("Psittacus erithacus")]
    age = fit_age("Psittacus erithacus")
    assert age.days >= max(published)
    assert age.days - max(published) < 1
    assert age.source.startswith("fledging")


def test_fit_age__of_a_species_no_table_has_is_marked_as_practice():
    assert fit_age("Aves incognita").source == "common practice, no source"


def test_trial__is_due_at_that_age():
    trial = trial_of(BIRD, [LARGE, SMALL], [])
    assert trial.step is TrialStep.ON_TRIAL
    assert [ring.size_mm for ring in trial.rings] == [11.0, 11.5]
    days = fit_age(BIRD.species).days
    assert trial.due == dt.date(2026, 1, 10) + dt.timedelta(days=days)


def test_trial__is_due_on_the_keepers_own_day():
    task = Task("t0001", "b0001", TaskKind.FIT_CHECK, a_date("2026-05-01"), "mine")
    trial = trial_of(BIRD, [SMALL, LARGE], [], [task])
    assert trial.due == dt.date(2026, 5, 1)
    assert trial.source == "the keeper's own day"


def test_trial__decided_leaves_the_other_ring_to_come_off():
    decision = an_event(
        kind=EventKind.FIT_CHECKED,
        on="2026-04-01",
        ring="r0002",
        finding="stays: 11.5 mm, right leg",
    )
    stays = a_ring("r0002", bird="b0001", size_mm=11.5, leg="right")
    trial = trial_of(BIRD, [SMALL, stays], [decision])
    assert trial.step is TrialStep.DECIDED
    assert [ring.id for ring in trial.rings] == ["r0001"]
    assert trial.stays == stays


def test_trial__none_for_one_ring_or_two_that_are_not_on_trial():
    assert trial_of(BIRD, [SMALL], []) is None
    assert (
        trial_of(BIRD, [a_ring(bird="b0001"), a_ring("r2", bird="b0001")], []) is None
    )


@pytest.mark.parametrize(
    ("one", "other", "are"),
    # Sizes of parrots in BArtSchV Anlage 6: 7.5, 8.5, 9.5, 11.0, 11.5 and 12.0 are
    # all given to some bird.
    [(11.0, 11.5, True), (11.5, 11.0, True), (9.5, 11.5, False), (11.5, 12.0, True)],
)
def test_neighbours__are_sizes_with_no_other_between(one, other, are):
    assert are_neighbours(one, other) is are
