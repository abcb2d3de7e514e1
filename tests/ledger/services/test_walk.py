"""A walk-through: planned, walked, broken off, resumed, settled, taken over, undone."""

import csv
import datetime as dt

import pytest
from builders import a_bird, a_chip, a_ring, an_event

from ledger.care.leg_findings import LegFinding, found
from ledger.domain import (
    EventKind,
    FlockSettings,
    PartialDate,
    Placement,
    Put,
    SeenHow,
    Settled,
    Status,
)
from ledger.errors import NotFoundError, RuleError
from ledger.reports.round_paper import as_text
from ledger.services import (
    book,
    history,
    walk,
    walk_apply,
    walk_differences,
    walk_find,
    walk_papers,
    walk_plan,
    walk_summary,
)
from ledger.services.walk_differences import Differs
from ledger.services.walk_find import Standing
from ledger.store import open_store

NINE = dt.datetime(2026, 5, 2, 9, 0, tzinfo=dt.UTC)
ME = "Nora Byrne"


def at(minutes):
    return NINE + dt.timedelta(minutes=minutes)


BIRDS = (
    FlockSettings(
        name="Tidewrack Aviaries", walking_order=("Aviary 2", "Aviary 10", "Empty 1")
    ),
    a_bird("b0001", "Pip", location="Aviary 2"),
    a_bird("b0002", "Juno", location="Aviary 2"),
    a_bird("b0003", "Rook", location="aviary 2 "),
    a_bird("b0004", "Wren", location="Aviary 10"),
    a_bird("b0005", "Finn", location="Aviary 3"),
    a_bird("b0006", "Maeve", status="dead"),
    a_bird("b0007", "Colm", status="placed"),
    a_bird("b0008", "Dara", status="lost"),
    a_bird("b0009", "Egan"),
    a_ring("r0001", "IE TWK / 19 0174", bird="b0001"),
    a_ring("r0002", "IE TWK / 19 0179", bird="b0002"),
    a_ring("r0003", "IE TWK / 20 0203", bird="b0003"),
    a_ring("r0004", "IE TWK / 21 0374", bird="b0004"),
    a_ring("r0005", "IE TWK / 22 0455", bird="b0005"),
    a_ring("r0006", "IE TWK / 12 0066", bird="b0006"),
    a_ring("r0007", "IE TWK / 13 0071", bird="b0007"),
    a_ring("r0008", "IE TWK / 14 0088", bird="b0008"),
    a_ring("r0009", "IE TWK / 15 0093", bird="b0009"),
    a_chip("c0003", "372098100000003", bird="b0003"),
    an_event("e0001", "b0006", EventKind.DIED, "2024-03-01"),
    Placement("m0001", "b0007", on=PartialDate.parse("2023-05-01")),
)


@pytest.fixture
def ledger(tmp_path):
    folder = tmp_path / "ledger"
    with open_store(folder, create=True) as store:
        store.commit([Put(thing) for thing in BIRDS], author="test", what="set up")
    with book.open_ledger(folder) as opened:
        yield opened


@pytest.fixture
def begun(ledger):
    walk_plan.begin(ledger, NINE, ME)
    return ledger


def saw(ledger, bird, aviary, minutes=1, **fields):
    fields = {"ring_id": f"r{bird[1:]}" if bird else None, "read": "74", **fields}
    return walk.see(ledger, "w0001", aviary, at(minutes), ME, bird_id=bird, **fields)


def kinds(ledger):
    found = walk_differences.differences(ledger.flock, "w0001")
    return [(each.kind, each.name, each.aviary) for each in found]


# --- planning ---


def test_plan__walks_in_the_keepers_order_then_by_number(ledger):
    planned = walk_plan.plan(ledger.flock)
    assert [(p.aviary, [b.name for b in p.birds]) for p in planned] == [
        ("Aviary 2", ["Juno", "Pip", "Rook"]),
        ("Aviary 10", ["Wren"]),
        ("Empty 1", []),
        ("Aviary 3", ["Finn"]),
    ]
    assert [b.name for b in walk_plan.without_aviary(ledger.flock)] == ["Egan"]


def test_plan__order_is_edited_and_kept(ledger):
    names = [p.aviary for p in walk_plan.plan(ledger.flock)]
    order = walk_plan.moved(names, 3, -2)
    assert order == ("Aviary 2", "Aviary 3", "Aviary 10", "Empty 1")
    walk_plan.set_walking_order(ledger, [*order, " aviary 3", ""], ME)
    assert ledger.flock.settings.walking_order == order
    assert tuple(p.aviary for p in walk_plan.plan(ledger.flock)) == order
    assert walk_plan.moved(order, 0, -1) == order


def test_begin__freezes_who_is_expected(begun):
    book.record_event(begun, "b0001", EventKind.MOVED, NINE.date(), ME, at="Aviary 3")
    (stop, *_) = begun.flock.walks["w0001"].stops
    assert stop.birds == ("b0002", "b0001", "b0003")


def test_begin__one_round_at_a_time(begun):
    with pytest.raises(RuleError, match="still goes on"):
        walk_plan.begin(begun, at(5), ME)


def test_begin__nowhere_to_go_is_said(tmp_path):
    with (
        book.open_ledger(tmp_path, create=True) as empty,
        pytest.raises(RuleError, match="no aviary"),
    ):
        walk_plan.begin(empty, NINE, ME)


# --- resuming ---


def test_resume__goes_on_at_the_very_bird_after_a_crash(begun):
    saw(begun, "b0002", "Aviary 2")
    saw(begun, "b0001", "Aviary 2")
    # Killed here: another opening reads the same folder, nothing was closed.
    with book.open_ledger(begun.folder, read_only=True) as again:
        assert walk.resume_at(again.flock, "w0001") == walk.At(0, "b0003")


def test_resume__goes_round_to_the_bird_left_out(begun):
    saw(begun, "b0003", "Aviary 2")
    assert walk.resume_at(begun.flock, "w0001") == walk.At(0, "b0002")


def test_resume__goes_on_where_one_was_not_where_one_began(begun):
    saw(begun, "b0004", "Aviary 10")
    assert walk.resume_at(begun.flock, "w0001") == walk.At(1, None)
    walk.close_aviary(begun, "w0001", 1, ME)
    assert walk.resume_at(begun.flock, "w0001") == walk.At(0, "b0002")


# --- who is it? ---


@pytest.mark.parametrize(
    ("typed", "bird"),
    [
        ("74", "b0001"),
        ("79", "b0002"),
        ("o3", "b0003"),
        ("twk 19 o174", "b0001"),
        ("IE TWK 20 0203", "b0003"),
    ],
)
def test_find__a_few_signs_are_enough_among_those_expected(begun, typed, bird):
    found = walk_find.by_text(begun.flock, "w0001", 0, typed)
    assert found.fits[0].bird_id == bird
    assert found.is_plain
    assert found.how is SeenHow.TYPED


def test_find__the_same_end_elsewhere_does_not_come_first(begun):
    # 0374 belongs to Aviary 10: there it is the likeliest, here it is told behind.
    here = walk_find.by_text(begun.flock, "w0001", 0, "74")
    there = walk_find.by_text(begun.flock, "w0001", 1, "74")
    assert [fit.name for fit in here.fits[:2]] == ["Pip", "Wren"]
    assert [fit.name for fit in there.fits[:2]] == ["Wren", "Pip"]


def test_find__one_sign_that_fits_two_is_left_open(begun):
    found = walk_find.by_text(begun.flock, "w0001", 0, "17")
    assert not found.is_plain
    assert found.is_open


@pytest.mark.parametrize(
    ("typed", "name", "standing"),
    [
        ("0374", "Wren", Standing.ELSEWHERE),
        ("IE TWK 12 0066", "Maeve", Standing.DEAD),
        ("0071", "Colm", Standing.PLACED),
        ("0088", "Dara", Standing.LOST),
        ("0093", "Egan", Standing.NO_AVIARY),
    ],
)
def test_find__a_bird_that_should_not_be_here_is_never_taken_at_once(
    begun, typed, name, standing
):
    found = walk_find.by_text(begun.flock, "w0001", 0, typed)
    assert (found.fits[0].name, found.fits[0].standing) == (name, standing)
    assert found.fits[0].said
    assert not found.is_plain


def test_find__a_ring_seen_before_says_where_and_when(begun):
    saw(begun, "b0001", "Aviary 10", 7)
    found = walk_find.by_text(begun.flock, "w0001", 0, "0174")
    assert found.fits[0].standing is Standing.SEEN
    assert "Aviary 10" in found.fits[0].said
    assert "09:07" in found.fits[0].said
    assert not found.is_plain


def test_find__a_stranger_fits_nobody(begun):
    found = walk_find.by_text(begun.flock, "w0001", 0, "QZX 07 9951")
    assert not found.is_plain
    assert found.stranger > 0.5


def test_find__a_chips_number_finds_the_chips_bird(begun):
    found = walk_find.by_text(begun.flock, "w0001", 0, "372 098 100 000 003")
    assert found.how is SeenHow.CHIP
    assert found.fits[0].bird_id == "b0003"
    assert "chip" in found.said
    nobody = walk_find.by_text(begun.flock, "w0001", 0, "372098100000009")
    assert nobody.fits == ()
    assert "none of your birds" in nobody.said


@pytest.mark.parametrize("typed", ["Ä%§", "日本", "!!!", "[/x]", "74#"])
def test_find__signs_of_no_ring_are_told(begun, typed):
    assert (
        "No ring that we know" in walk_find.by_text(begun.flock, "w0001", 0, typed).said
    )


# --- differences ---


def test_differences__each_kind_is_raised_once(begun):
    saw(begun, "b0001", "Aviary 2", 1)
    saw(begun, "b0004", "Aviary 2", 2)
    saw(begun, None, "Aviary 2", 3, read="QZX 9")
    saw(begun, "b0006", "Aviary 2", 4)
    saw(begun, "b0007", "Aviary 2", 5)
    saw(begun, "b0008", "Aviary 2", 6)
    saw(begun, "b0009", "Aviary 2", 7)
    saw(begun, "b0001", "Aviary 10", 8)
    assert Differs.MISSING not in {kind for kind, *_ in kinds(begun)}
    walk.close_aviary(begun, "w0001", 0, ME)
    assert kinds(begun) == [
        (Differs.WRONG_AVIARY, "Wren", "Aviary 2"),
        (Differs.UNKNOWN_RING, "“QZX 9”", "Aviary 2"),
        (Differs.DEAD, "Maeve", "Aviary 2"),
        (Differs.PLACED, "Colm", "Aviary 2"),
        (Differs.LOST, "Dara", "Aviary 2"),
        (Differs.WRONG_AVIARY, "Egan", "Aviary 2"),
        (Differs.SEEN_TWICE, "Pip", "Aviary 10"),
        (Differs.MISSING, "Juno", "Aviary 2"),
        (Differs.MISSING, "Rook", "Aviary 2"),
    ]


def test_differences__a_missing_bird_found_elsewhere_is_moved_not_missing(begun):
    walk.close_aviary(begun, "w0001", 1, ME)
    assert kinds(begun) == [(Differs.MISSING, "Wren", "Aviary 10")]
    saw(begun, "b0004", "Aviary 3")
    assert kinds(begun) == [(Differs.WRONG_AVIARY, "Wren", "Aviary 3")]


def test_differences__read_wrongly_does_not_count(begun):
    saw(begun, "b0004", "Aviary 2")
    (moved,) = walk_differences.differences(begun.flock, "w0001")
    walk_differences.settle(begun, "w0001", moved, Settled.READ_WRONGLY, ME)
    assert kinds(begun) == []
    assert walk_summary.summary(begun.flock, "w0001").n_unseen == 5


def test_differences__kept_open_again(begun):
    walk.close_aviary(begun, "w0001", 3, ME)
    for settled in (Settled.LOST, ""):
        (missing,) = walk_differences.differences(begun.flock, "w0001")
        walk_differences.settle(begun, "w0001", missing, settled, ME)
        (missing,) = walk_differences.differences(begun.flock, "w0001")
        assert missing.settled == settled


def test_take_back__as_if_no_key_was_pressed(begun):
    sighting = saw(begun, "b0001", "Aviary 2")
    walk.take_back(begun, sighting.id, ME)
    assert begun.flock.sightings_in("w0001") == ()
    with pytest.raises(NotFoundError):
        walk.take_back(begun, sighting.id, ME)


# --- the end ---


@pytest.fixture
def ended(begun):
    """Every kind of difference settled by the first choice, and a weight."""
    first = saw(begun, "b0001", "Aviary 2", 1)
    from dataclasses import replace

    walk.change_sighting(
        begun,
        replace(
            first,
            weight_g=412.5,
            ring_state="well",
            leg_state="swelling",
            notes="lively",
        ),
        ME,
    )
    for number, bird in enumerate(("b0004", "b0006", "b0007", "b0008"), start=2):
        saw(begun, bird, "Aviary 2", number)
    saw(begun, "b0005", "Aviary 3", 60, how=SeenHow.BY_SIGHT, ring_id=None, read="")
    walk.close_aviary(begun, "w0001", 0, ME)
    walk.end(begun, "w0001", at(62), ME)
    for each in walk_differences.differences(begun.flock, "w0001"):
        (settled, _), *_ = walk_differences.CHOICES[each.kind]
        if each.name != "Rook":
            walk_differences.settle(begun, "w0001", each, settled, ME)
    return begun


def test_summary__counts_what_was_read_seen_and_not_seen(ended):
    found = walk_summary.summary(ended.flock, "w0001")
    assert (found.n_expected, found.n_read, found.n_by_sight, found.n_unseen) == (
        5,
        2,
        1,
        2,
    )
    # 09:00 to 09:05 and 10:00 to 10:02; 55 minutes between them are a break.
    assert found.minutes == pytest.approx(7.0)
    assert found.urgent == ("Pip, Aviary 2: ring well, leg swelling.",)


def test_apply__is_one_act_and_one_undo_takes_it_back(ended):
    before = ended.flock
    acts = len(history.latest(ended, 100))
    applied = walk_apply.apply(ended, "w0001", at(63), ME)
    assert len(history.latest(ended, 100)) == acts + 1
    assert (applied.moved, applied.back, applied.lost) == (1, 3, 1)
    assert (applied.seen, applied.weighed, applied.noted) == (6, 1, 2)
    birds = ended.flock.birds
    assert birds["b0004"].location == "Aviary 2"
    assert birds["b0006"].status is Status.ALIVE
    assert birds["b0007"].status is Status.ALIVE
    assert birds["b0008"].status is Status.ALIVE
    assert birds["b0002"].status is Status.LOST
    assert birds["b0003"] == before.birds["b0003"]
    assert str(ended.flock.placements_of("b0007")[0].returned) == "2026-05-02"
    told = {event.kind for event in ended.flock.events_of("b0001")}
    assert told == {
        EventKind.SIGHTED,
        EventKind.WEIGHED,
        EventKind.RING_CHECKED,
        EventKind.NOTE,
    }
    (checked,) = [
        e for e in ended.flock.events_of("b0001") if e.kind is EventKind.RING_CHECKED
    ]
    seen_in_passing = found(checked.finding)
    assert seen_in_passing is not None
    assert seen_in_passing.leg is LegFinding.SWELLING
    moved = [e for e in ended.flock.events_of("b0004") if e.kind is EventKind.MOVED]
    assert [(e.at, e.text) for e in moved] == [("Aviary 2", "From Aviary 10")]
    with pytest.raises(RuleError, match="already"):
        walk_apply.apply(ended, "w0001", at(64), ME)
    history.undo(ended, ME)
    assert dict(ended.flock.birds) == dict(before.birds)
    assert dict(ended.flock.events) == dict(before.events)
    assert ended.flock.walks["w0001"].applied == ""


def test_apply__differences_stay_told_afterwards(ended):
    before = kinds(ended)
    walk_apply.apply(ended, "w0001", at(63), ME)
    assert kinds(ended) == before


def test_apply__not_while_the_round_goes_on(begun):
    with pytest.raises(RuleError, match="goes on"):
        walk_apply.apply(begun, "w0001", at(9), ME)


def test_apply__a_sighting_of_a_dead_bird_that_is_open_changes_nothing(begun):
    saw(begun, "b0006", "Aviary 2")
    walk.end(begun, "w0001", at(9), ME)
    applied = walk_apply.apply(begun, "w0001", at(10), ME)
    assert applied.seen == 0
    assert begun.flock.birds["b0006"].status is Status.DEAD


def test_ended__takes_no_more_sightings(ended):
    with pytest.raises(RuleError, match="has ended"):
        saw(ended, "b0002", "Aviary 2")


def test_compared__says_who_was_missed_twice(ended):
    walk_apply.apply(ended, "w0001", at(63), ME)
    second = walk_plan.begin(ended, at(2000), ME)
    walk.end(ended, second.id, at(2001), ME)
    said = " ".join(walk_summary.compared(ended.flock, ended.flock.walks[second.id]))
    assert "Missed in both rounds: Rook." in said


# --- on paper ---


def test_sheet__holds_every_bird_and_the_empty_aviary(ledger):
    said = as_text(walk_papers.sheet(ledger.flock, NINE.date()))
    for bird in ("Juno", "Pip", "Rook", "Wren", "Finn"):
        assert f"[  ]  {bird}" in said
    assert "3. Empty 1 (0 birds)\n  Nobody is expected here." in said
    assert "No aviary is entered for: Egan." in said


def test_result__as_csv_has_a_row_for_everything(ended, tmp_path):
    path = tmp_path / "round.csv"
    assert walk_papers.write_csv(ended.flock, "w0001", path) == 8
    with path.open(encoding="utf-8") as lines:
        rows = {row["name"]: row for row in csv.DictReader(lines)}
    assert rows["Pip"]["weight_g"] == "412.5"
    assert rows["Pip"]["seen"] == "read"
    assert rows["Finn"]["seen"] == "by sight"
    assert rows["Rook"]["seen"] == "not seen"
    assert rows["Wren"]["difference"] == "wrong aviary"
    assert rows["Wren"]["proposal"] == "move to Aviary 2"
    assert rows["Maeve"]["settled"] == "alive after all"


def test_result__as_pdf_and_text(ended, tmp_path):
    paper = walk_papers.result(ended.flock, "w0001")
    walk_papers.write_paper(tmp_path / "round.pdf", paper)
    assert (tmp_path / "round.pdf").read_bytes().startswith(b"%PDF-")
    walk_papers.write_paper(tmp_path / "round.txt", paper)
    said = (tmp_path / "round.txt").read_text(encoding="utf-8")
    assert "5 expected: 2 read, 1 known by sight, 2 not seen (60% seen)" in said
    assert "Not walked to the end: Aviary 10, Empty 1, Aviary 3." in said
    assert "! Pip, Aviary 2: ring well, leg swelling. An avian vet today." in said
