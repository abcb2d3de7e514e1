"""The demo flock: made by its script to the byte, whole, and true to its pictures."""

import csv
import datetime as dt
import itertools
import re
import runpy
import shutil
import subprocess
import sys
from collections import Counter
from pathlib import Path

import pytest

from ledger.care.nest import due_in_nests
from ledger.domain import Drop, Kind, Leg, RingKind, RingState, Sex, Status
from ledger.domain.rules import Severity, check
from ledger.errors import NotFoundError, StoreError
from ledger.reference import handbook_weight, longevity, ring_size
from ledger.services import demo
from ledger.services.card import as_text, emergency_card
from ledger.services.ring_order import order_for
from ledger.services.stock import next_serial
from ledger.services.stock_list import stock_lines, sums
from ledger.store import FILE_NAME, open_store

ROOT = Path(__file__).parents[2]
PICTURES = ROOT / "demo_images"
END = dt.date(2026, 1, 31)


@pytest.fixture(scope="module")
def flock():
    with open_store(ROOT / "demo_db", read_only=True) as store:
        return store.flock


@pytest.fixture(scope="module")
def truth():
    with (PICTURES / "truth.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def ours(flock):
    """Rings of the flock's own series, by number."""
    rings = [r for r in flock.rings.values() if "TWK" in r.inscription]
    return sorted(rings, key=number_of)


def number_of(ring):
    return int(re.search(r"\b0\d{3}\b", ring.inscription)[0])


# --- the script ---


def test_script__writes_the_same_bytes_again(tmp_path):
    shutil.copyfile(PICTURES / "truth.csv", tmp_path / "truth.csv")
    make = runpy.run_path(str(ROOT / "demo_db" / "make_demo.py"))["main"]
    path = sys.path.copy()
    try:
        make(tmp_path, tmp_path / "truth.csv")
    finally:
        sys.path[:] = path
    for made, kept in (
        (tmp_path / FILE_NAME, ROOT / "demo_db" / FILE_NAME),
        (tmp_path / "truth.csv", PICTURES / "truth.csv"),
    ):
        assert made.read_bytes() == kept.read_bytes()


# --- the flock ---


def test_flock__is_about_300_birds_of_ten_or_more_species(flock):
    assert 280 <= len(flock.birds) <= 330
    assert len({bird.species for bird in flock.birds.values()}) >= 10


def test_flock__spans_six_generations(flock):
    # Counted from the table of parents, so longest chain from founder to chick.
    depths = {}

    def depth(bird_id):
        if bird_id not in depths:
            bird = flock.birds[bird_id]
            parents = [p for p in (bird.sire, bird.dam) if p]
            depths[bird_id] = 1 + max(map(depth, parents), default=0)
        return depths[bird_id]

    assert max(map(depth, flock.birds)) == 6


def test_flock__breaks_no_rule_and_has_few_oddities(flock):
    findings = check(flock)
    assert [f for f in findings if f.severity is Severity.ERROR] == []
    assert len(findings) <= 5


def test_flock__holds_everything_a_keeper_meets(flock):
    fates = Counter(e.fate for k in flock.clutches.values() for e in k.eggs)
    assert {"clear", "died in shell", "hatched"} <= set(fates)
    assert {b.status for b in flock.birds.values()} == set(Status)
    states = {ring.state for ring in flock.rings.values()}
    assert states == set(RingState)
    kinds = {ring.kind for ring in flock.rings.values()}
    assert {RingKind.CLOSED, RingKind.SPLIT, RingKind.QUARANTINE} <= kinds
    assert any(p.returned for p in flock.placements.values())
    assert any(b.owner and b.status is Status.ALIVE for b in flock.birds.values())
    deaths = [e for e in flock.events.values() if e.kind == "died"]
    assert all(death.text for death in deaths)
    assert len({death.text for death in deaths}) > 10
    said = [b.alerts and b.medication and b.allergies for b in flock.birds.values()]
    assert any(said)


def test_flock__has_honest_gaps(flock):
    birds = flock.birds.values()
    assert any(b.dam and not b.sire for b in birds)
    assert any(b.hatched is None for b in birds)
    assert any(b.hatched and b.hatched.season for b in birds)
    unmarked = [
        b
        for b in birds
        if b.status is Status.ALIVE
        and not flock.rings_of(b.id)
        and not flock.chips_of(b.id)
    ]
    assert unmarked
    assert any("?" in ring.inscription for ring in flock.rings.values())


def test_flock__has_a_ring_cut_by_a_vet_and_a_chip_on_the_same_day(flock):
    vets = {p.name for p in flock.people.values() if p.role == "vet"}
    cut = [
        ring
        for ring in flock.rings.values()
        if ring.kind is RingKind.CLOSED and ring.replaced_by in flock.chips
    ]
    assert cut
    for ring in cut:
        chip = flock.chips[ring.replaced_by]
        assert (chip.bird, chip.implanted) == (ring.bird, ring.removed)
        assert ring.removed_by in vets
        (event,) = [e for e in flock.events_of(ring.bird) if e.kind == "ring removed"]
        assert "paper" in event.text


def test_flock__has_trial_rings_of_neighbouring_sizes_one_on_each_leg(flock):
    trials = [r for r in flock.rings.values() if r.trial]
    by_bird = itertools.groupby(sorted(trials, key=lambda r: r.bird), lambda r: r.bird)
    for _, worn in by_bird:
        one, other = worn
        assert {one.leg, other.leg} == {Leg.LEFT, Leg.RIGHT}
        assert abs(one.size_mm - other.size_mm) == 0.5
    assert trials


def test_flock__wears_the_vets_split_rings_on_the_leg_that_tells_the_sex(flock):
    # Surgically sexed: right leg cock, left leg hen (greenbayvets.co.uk,
    # brookfallsveterinary.com).
    legs = {Sex.COCK: Leg.RIGHT, Sex.HEN: Leg.LEFT}
    sexed = [e.bird for e in flock.events.values() if "Split ring on the" in e.text]
    splits = [
        r
        for bird in sexed
        for r in flock.rings_of(bird)
        if r.kind is RingKind.SPLIT and r.issuer.startswith("Saltmarsh")
    ]
    assert len(splits) >= 10
    wrong = [r for r in splits if r.leg is not legs[flock.birds[r.bird].sex]]
    # One was put on in place of a worn closed ring, on the leg that wore that.
    assert len(wrong) <= 1


def test_flock__has_young_of_cousins_and_of_half_siblings(flock):
    """Parents share grandparents, counted here by hand from the parents' table."""

    def parents(bird):
        return {p for p in (bird.sire, bird.dam) if p}

    def grandparents(bird):
        return {g for p in parents(bird) for g in parents(flock.birds[p])}

    cousins, half_siblings = [], []
    for bird in flock.birds.values():
        sire, dam = flock.parents_of(bird.id)
        if not (sire and dam):
            continue
        if len(parents(sire) & parents(dam)) == 1:
            half_siblings.append(bird)
        elif len(grandparents(sire) & grandparents(dam)) == 2:
            cousins.append(bird)
    assert cousins
    assert half_siblings


def test_flock__outlives_no_bird_on_file(flock):
    # AnAge: greatest age known of each species.
    for bird in flock.birds.values():
        known = longevity(bird.species)
        if known is None or bird.hatched is None:
            continue
        died = [e.on.earliest for e in flock.events_of(bird.id) if e.kind == "died"]
        days = ((died[0] if died else END) - bird.hatched.latest).days
        assert days / 365.25 <= known.longest_years, bird.title


def test_flock__weighs_what_the_handbook_says(flock):
    # Dunning 2008 through EltonTraits; up to a third off in a sick or fat bird.
    for event in flock.events.values():
        bird = flock.birds[event.bird]
        known = handbook_weight(bird.species)
        is_chick = bird.hatched and bird.hatched.days_until(event.on)[1] < 20
        if event.weight_g and known and not is_chick:
            assert 0.66 < event.weight_g / known.mean_g < 1.4


def test_flock__has_something_due_in_the_nests_on_its_day(flock):
    due = {(str(it.work), str(it.urgency)) for it in due_in_nests(flock, demo.DAY)}
    assert due == {
        ("candle", "now"),
        ("hatch expected", "now"),
        ("hatch overdue", "late"),
        ("ring", "now"),
        ("ring", "soon"),
        ("weigh again", "late"),
    }


def test_flock__names_every_bird_once(flock):
    names = Counter(bird.name for bird in flock.birds.values())
    assert names.most_common(1)[0][1] == 1
    assert all(names)


def test_people__are_invented_and_cannot_be_rung(flock):
    # example.org is kept free by RFC 2606; the numbers are 01 555 01xx.
    for person in flock.people.values():
        assert re.fullmatch(r"01 555 01\d\d", person.phone)
        assert person.email.endswith("@example.org")
        assert "Invented" in person.notes
    assert len({p.phone for p in flock.people.values()}) == len(flock.people)


def test_chips__carry_the_number_of_test_transponders(flock):
    # ISO 11784: 15 digits; 999 is for test transponders, in no real bird.
    assert all(re.fullmatch(r"999\d{12}", c.code) for c in flock.chips.values())


# --- its own rings ---


def test_own_rings__run_in_one_series_with_the_year_beside_the_number(flock):
    rings = ours(flock)
    assert [number_of(r) for r in rings] == list(range(1, len(rings) + 1))
    years = []
    for ring in rings:
        rest = ring.inscription.replace(f"{number_of(ring):04d}", "")
        (year,) = re.findall(r"(?<![\d.])(?:20)?(\d\d)(?![\d.])", rest)
        years.append(2000 + int(year))
        if ring.bird:
            assert flock.birds[ring.bird].hatched.year == years[-1]
            assert ring.put_on.year == years[-1]
    assert years == sorted(years)
    assert (years[0], years[-1]) == (2019, 2026)


def test_own_rings__are_each_of_a_series_with_their_serial(flock):
    for ring in ours(flock):
        series = flock.series[ring.series]
        assert series.serial_of(ring.inscription) == number_of(ring)
        assert series.kind is RingKind.CLOSED
        assert abs(series.size_mm - ring.size_mm) <= 0.5, ring.inscription


def test_stock__has_rings_for_the_year_and_some_on_their_way(flock):
    lines = stock_lines(flock)
    accounts = sums(lines)
    own = [r for r in flock.rings.values() if r.issuer == flock.settings.name]
    assert sum(accounts.values()) == len(own) + accounts["on the way"]
    assert next_serial(flock, 11.5, year=2026).inscription == "IE TWK / 26 0107"
    assert next_serial(flock, 5.5, year=2026).inscription == "TWK 26 / 0121"
    # For the two species that no table lists the sizes are the keeper's own.
    plan = order_for(flock, 2027).plan
    assert plan.without_size == ()
    assert plan.to_order > 30
    assert order_for(flock, 2027).series[0].first == 141


def test_own_rings__are_on_70_to_90_birds(flock):
    worn = [r for r in ours(flock) if r.bird]
    assert 70 <= len(worn) <= 90
    assert len({r.bird for r in worn}) >= 70


def test_own_rings__of_one_year_colour_and_layout_are_few(flock):
    classes = Counter(
        (r.colour, re.sub(r"0\d{3}", "n", r.inscription)) for r in ours(flock) if r.bird
    )
    assert max(classes.values()) <= 3


def test_own_rings__suit_the_published_size_or_say_whose_choice(flock):
    # BArtSchV Anlage 6, column 3.
    for ring in ours(flock):
        if not ring.bird:
            continue
        published = ring_size(flock.birds[ring.bird].species)
        if published:
            assert abs(published[0].off_by_mm(ring.size_mm)) <= 1.0, ring.inscription
        else:
            assert "keeper's own choice" in ring.notes


# --- its pictures ---


def test_truth__names_every_picture_and_says_how_it_was_made(truth):
    assert [row["file"] for row in truth] == sorted(
        path.name for path in PICTURES.glob("*.jpg")
    )
    assert {row["how_made"] for row in truth} == {
        "rendered by a path tracer, not a photograph"
    }
    assert {row["licence"] for row in truth} == {"made for this project"}


def test_truth__names_the_bird_that_wears_each_ring(flock, truth):
    for row in truth:
        rings = flock.rings_inscribed(row["inscription"]) if row["inscription"] else ()
        assert bool(row["bird"]) == ("TWK" in row["inscription"]) == bool(rings)
        if not rings:
            continue
        (ring,) = rings
        bird = flock.birds[row["bird"]]
        assert (ring.bird, ring.state) == (bird.id, RingState.ON_BIRD)
        assert ring.inscription == row["inscription"]
        assert (ring.colour, ring.kind) == (row["colour"], row["kind"])
        assert bird.status is Status.ALIVE
        assert bird.alerts


def test_truth__leaves_at_most_three_birds_for_what_each_picture_shows(flock, truth):
    """By what a person reads on it and its colour alone; living or not."""

    def shows(ring, visible):
        """Each line seen is a part of a line of its own."""
        lines = [line.replace(" ", "") for line in ring.inscription.split(" / ")]
        parts = [part.replace(" ", "") for part in visible]
        return any(
            all(part in line for part, line in zip(parts, chosen, strict=True))
            for chosen in itertools.permutations(lines, len(parts))
        )

    for row in truth:
        if row["bird"]:
            visible = row["visible"].split(" / ")
            left = [
                ring.bird
                for ring in flock.rings.values()
                if ring.bird and ring.colour == row["colour"] and shows(ring, visible)
            ]
            assert row["bird"] in left
            assert len(left) <= 3, row["file"]


def test_truth__makes_cards_worth_reading(flock, truth):
    for bird_id in sorted({row["bird"] for row in truth} - {""}):
        text = as_text(emergency_card(flock, bird_id, END))
        assert "ALERT" in text
        assert "Dr Orla Quillfeather" in text
        assert flock.events_of(bird_id)[0].on.year >= 2025


# --- the doors to it ---


def test_demo_folder__is_the_clones_in_a_clone():
    assert demo.demo_folder() == ROOT / "demo_db"
    photos = demo.demo_photos()
    assert len(photos) == 43
    assert photos[0].name == "r00_0.jpg"
    assert photos[-1].name == "n02_0.jpg"


def test_demo_folder__is_the_packages_own_when_installed(monkeypatch, tmp_path):
    shipped = tmp_path / "ledger" / "demo"
    (shipped / "demo_db").mkdir(parents=True)
    (shipped / "demo_images").mkdir()
    shutil.copyfile(ROOT / "demo_db" / FILE_NAME, shipped / "demo_db" / FILE_NAME)
    for name in ("truth.csv", "r06_0.jpg"):
        shutil.copyfile(PICTURES / name, shipped / "demo_images" / name)
    monkeypatch.setattr(demo, "_PLACES", (shipped, tmp_path))
    assert demo.demo_folder() == shipped / "demo_db"
    assert demo.demo_photos() == [shipped / "demo_images" / "r06_0.jpg"]


def test_demo_folder__missing__says_what_to_do(monkeypatch, tmp_path):
    monkeypatch.setattr(demo, "_PLACES", (tmp_path,))
    with pytest.raises(NotFoundError, match="demo_db") as caught:
        demo.demo_folder()
    assert caught.value.hint
    with pytest.raises(NotFoundError, match="demo_db"):
        demo.private_copy(tmp_path / "mine")
    assert not (tmp_path / "mine").exists()


def test_private_copy__can_be_written_and_is_kept(tmp_path, flock):
    mine = demo.private_copy(tmp_path / "a folder" / "démo")
    with open_store(mine) as store:
        assert store.flock == flock
        store.commit([demo_drop(store)], author="Test", what="One person taken out")
    assert demo.private_copy(mine) == mine
    with open_store(mine, read_only=True) as store:
        assert len(store.flock.people) == len(flock.people) - 1
    assert [p.name for p in mine.iterdir() if "part" in p.name] == []


def demo_drop(store):
    return Drop(Kind.PERSON, sorted(store.flock.people)[-1])


def test_private_copy__where_a_file_is_in_the_way__says_so(tmp_path):
    (tmp_path / "file").write_text("mine")
    with pytest.raises(StoreError, match="cannot be copied"):
        demo.private_copy(tmp_path / "file")
    assert (tmp_path / "file").read_text() == "mine"


@pytest.mark.slow
def test_script__runs_from_the_command_line(tmp_path):
    """As the developers' page says it: in a copy, it changes nothing."""
    for name in ("ledger", "demo_db", "demo_images"):
        shutil.copytree(ROOT / name, tmp_path / name)
    before = (tmp_path / "demo_db" / FILE_NAME).read_bytes()
    (tmp_path / "demo_db" / FILE_NAME).unlink()
    subprocess.run(
        [sys.executable, "demo_db/make_demo.py"], cwd=tmp_path, check=True, timeout=120
    )
    assert (tmp_path / "demo_db" / FILE_NAME).read_bytes() == before


# --- what is due in it ---


def test_today__is_a_handful_of_every_sort_on_the_demos_day(flock):
    from ledger.services.today import Press, day_list

    found = day_list(flock, demo.DAY)
    assert END + dt.timedelta(days=1) == demo.DAY
    assert 5 <= len(found.pressing) <= 15
    assert {str(one.kind) for one in found.pressing} >= {
        "see an avian vet",
        "fit check",
        "ring check",
        "follow up",
        "to do",
    }
    # Tack's leg, an egg that is overdue, a chick that lost weight.
    assert found.counted(Press.NOW) == 3
    assert found.counted(Press.ROUTINE) < 10


def test_today__tacks_red_leg_stands_on_its_card(flock):
    (tack,) = flock.birds_named("Tack")
    assert any(
        "red skin" in alert for alert in emergency_card(flock, tack.id, demo.DAY).alerts
    )


def test_now__is_the_demos_day_whatever_the_day_is():
    assert demo.now().date() == demo.DAY
    assert demo.now().tzinfo is not None
