"""The year's ring order on small invented flocks, each number with its reason."""

from math import comb

import pytest
from builders import a_bird, a_date, a_flock, a_ring

from ledger.care.ring_order import plan_order
from ledger.care.season_needs import enough_of, may_breed, season_needs
from ledger.domain import Clutch, Egg, EggFate, Pair, RingState
from ledger.domain.people import FlockSettings, OwnSize

YEAR = 2027


def a_couple(number, species, **pair):
    cock, hen = f"b{number:03}1", f"b{number:03}2"
    return (
        a_bird(cock, f"Cock {number}", species=species, sex="cock"),
        a_bird(hen, f"Hen {number}", species=species, sex="hen"),
        Pair(f"p{number:04}", cock, hen, **pair),
    )


def a_clutch(number, pair, laid, hatched, eggs):
    fates = [EggFate.HATCHED] * hatched + [EggFate.CLEAR] * (eggs - hatched)
    return Clutch(
        f"k{number:04}", pair, 1, a_date(laid),
        tuple(Egg(place, fate=fate) for place, fate in enumerate(fates, 1)),
    )  # fmt: skip


def five_clutches(pair="p0001"):
    """Fifteen eggs, twelve hatched: three eggs a clutch, 80 % hatch."""
    return [
        a_clutch(n, pair, f"{2018 + n}-04-01", hatched, 3)
        for n, hatched in enumerate([3, 3, 2, 2, 2], 1)
    ]


def by_size(plan):
    return {line.size_mm: line for line in plan.lines}


def test_needs__experience_counts_where_there_is_enough_of_it():
    flock = a_flock(*a_couple(1, "Senegal Parrot"), *five_clutches())
    (need,) = season_needs(flock, YEAR)
    assert (need.species, need.clutches) == ("Senegal Parrot", 1)
    assert need.eggs == 3.0
    assert need.hatched == pytest.approx(0.8)
    assert need.expected == pytest.approx(2.4)
    # Of 3 eggs at 80 %, all hatch in 51 % of seasons: two are not enough in 9 of 10.
    assert need.enough == 3
    assert "your own 5 clutches" in need.why[1]
    assert "Cock 1 and Hen 1" in need.why[0]


def test_needs__otherwise_published_figures_and_the_source_is_named():
    # Handbook of the Birds of the World, via Smeele et al. 2022: Pionus menstruus
    # lays 4; the only figure in the table.
    flock = a_flock(*a_couple(1, "Blue-headed Parrot"))
    (need,) = season_needs(flock, YEAR)
    assert (need.eggs, need.hatched, need.enough) == (4.0, 1.0, 4)
    assert need.eggs_by.startswith("Handbook of the Birds of the World")


def test_needs__as_many_clutches_as_the_best_year_had_or_as_asked_for():
    twice = [
        a_clutch(1, "p0001", "2020-03-01", 2, 2),
        a_clutch(2, "p0001", "2020-06-01", 2, 2),
        a_clutch(3, "p0001", "2021-03-01", 2, 2),
    ]
    flock = a_flock(*a_couple(1, "Cockatiel"), *a_couple(2, "Cockatiel"), *twice)
    assert season_needs(flock, YEAR)[0].clutches == 4
    assert season_needs(flock, YEAR, clutches_a_pair=1)[0].clutches == 2


def test_needs__chicks_that_are_ringed_already_need_none():
    chick = a_bird(
        "b0009", "", species="Galah", hatched="2027-05-02", sire="b0011", dam="b0012"
    )
    worn = a_ring("r0009", "TWK 27 / 0001", bird="b0009", put_on="2027-05-17")
    couple = a_couple(1, "Galah")
    before = season_needs(a_flock(*couple), YEAR)[0].enough
    (need,) = season_needs(a_flock(*couple, chick, worn), YEAR)
    assert (need.ringed, need.enough) == (1, before - 1)


@pytest.mark.parametrize(
    "fields", [{"parted": a_date("2026")}, {"cock": "b0099", "hen": None}]
)
def test_needs__pairs_that_are_no_more_are_left_out(fields):
    cock, hen, pair = a_couple(1, "Galah")
    gone = Pair(**{"id": pair.id, "cock": pair.cock, "hen": pair.hen, **fields})
    flock = a_flock(cock, hen, gone)
    assert not may_breed(flock, gone)
    assert season_needs(flock, YEAR) == ()


def test_needs__a_pair_with_a_dead_bird_does_not_breed():
    cock, _, pair = a_couple(1, "Galah")
    flock = a_flock(cock, a_bird("b0012", status="dead"), pair)
    assert not may_breed(flock, pair)


@pytest.mark.parametrize(("eggs", "hatched"), [(1, 0.5), (6, 0.7), (20, 0.83), (5, 1)])
def test_enough__is_the_binomial_quantile(eggs, hatched):
    # Counted out here by the definition: the least k with P(X <= k) >= 0.9.
    chances = [
        comb(eggs, k) * hatched**k * (1 - hatched) ** (eggs - k)
        for k in range(eggs + 1)
    ]
    least = next(k for k in range(eggs + 1) if sum(chances[: k + 1]) >= 0.9 - 1e-12)
    assert enough_of(eggs, hatched) == least


def test_plan__sizes_by_species_with_spares_and_the_neighbour_size():
    flock = a_flock(*a_couple(1, "Senegal Parrot"), *five_clutches())
    plan = by_size(plan_order(flock, YEAR, {}))
    # BArtSchV Anlage 6: Poicephalus senegalus 7.5 mm; 7.0 is its next smaller size.
    assert set(plan) == {7.5, 7.0}
    main, trial = plan[7.5], plan[7.0]
    assert (main.chicks, main.trial, main.spare, main.to_order) == (3, 0, 1, 4)
    assert (trial.chicks, trial.trial, trial.to_order) == (0, 1, 1)
    assert "Anlage 6" in main.why[0]
    assert "5% (common practice, no source)" in main.why[-1]
    assert trial.why == (
        "1 to put on trial beside 7.5 mm on the smallest chicks of Senegal Parrot: the "
        "next smaller size in BArtSchV Anlage 6 (one for 5 chicks, common practice, no "
        "source).",
    )


def test_plan__tries_the_size_that_was_tried_before():
    tried = a_ring(
        "r0007", "IE 25 TWK 0091", bird="b0011", size_mm=8.0, trial=True, leg="right"
    )
    flock = a_flock(*a_couple(1, "Senegal Parrot"), *five_clutches(), tried)
    plan = by_size(plan_order(flock, YEAR, {}))
    assert set(plan) == {7.5, 8.0}
    assert "the size you tried before" in plan[8.0].why[0]


def test_plan__what_is_to_hand_is_taken_off():
    flock = a_flock(*a_couple(1, "Senegal Parrot"), *five_clutches())
    main = by_size(plan_order(flock, YEAR, {7.53: 3}))[7.5]
    assert (main.needed, main.have, main.to_order) == (4, 3, 1)
    main = by_size(plan_order(flock, YEAR, {7.5: 30}))[7.5]
    assert main.to_order == 0


def test_plan__losses_are_the_keepers_own_where_they_are_worse():
    ours = FlockSettings(name="Tidewrack Aviaries")
    lost = [
        a_ring(
            f"r{n:04}", f"TWK 19 {n:04}", issuer="Tidewrack Aviaries",
            removed_reason="tight",
            state=RingState.LOST if n < 5 else RingState.REMOVED,
        )
        for n in range(1, 9)
    ]  # fmt: skip
    flock = a_flock(ours, *a_couple(1, "Senegal Parrot"), *five_clutches(), *lost)
    main = by_size(plan_order(flock, YEAR, {}))[7.5]
    assert main.spare == 2  # half of three, rounded up
    assert "50% (4 of the 8 rings you used so far)" in main.why[-1]


def test_plan__a_species_without_a_size_is_not_guessed():
    plan = plan_order(a_flock(*a_couple(1, "Cockatiel")), YEAR, {})
    assert plan.lines == ()
    assert [need.species for need in plan.without_size] == ["Cockatiel"]
    own = FlockSettings(own_sizes=(OwnSize("Cockatiel", 5.5),))
    plan = plan_order(a_flock(own, *a_couple(1, "Cockatiel")), YEAR, {})
    assert not plan.without_size
    assert "your own size, not a published one" in by_size(plan)[5.5].why[0]


def test_plan__half_of_each_where_the_sexes_have_their_own_sizes():
    # BArtSchV Anlage 6: Falco peregrinus 1,0 12.0 and 0,1 13.0.
    plan = by_size(plan_order(a_flock(*a_couple(1, "Falco peregrinus")), YEAR, {}))
    assert plan[12.0].chicks == plan[13.0].chicks == 2
