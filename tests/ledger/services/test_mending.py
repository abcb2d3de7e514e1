"""Every finding has a way to mend it, and each way offered does mend it."""

import sys
from pathlib import Path

import pytest
from builders import a_bird, a_chip, a_date, a_flock, a_ring, an_event

from ledger.domain import (
    Clutch,
    Egg,
    EventKind,
    FlockSettings,
    FounderKin,
    Kind,
    Put,
    Removal,
    RingSeries,
    Sex,
    Status,
    Stop,
    WalkThrough,
)
from ledger.domain.rules import check
from ledger.errors import NotFoundError, RuleError, StoreReadOnlyError
from ledger.services import book, checking, history, mending
from ledger.services.mending_trials import tried

sys.path.insert(0, str(Path(__file__).parents[1] / "domain"))

from test_rules import BROKEN, WARNINGS

EVERY = {**BROKEN, **WARNINGS}
PAIR = (
    a_bird("b9001", "Rook", sex="cock", hatched="2000"),
    a_bird("b9002", "Wren", sex="hen", hatched="2000"),
    a_ring("r9001", "QX 1", bird="b9001"),
    a_ring("r9002", "QX 2", bird="b9002"),
)
"""Two sound birds, so that there is somebody to name."""


@pytest.mark.parametrize("name", EVERY)
def test_ways__every_rule_has_some_and_each_ready_one_mends(name):
    things, said = EVERY[name]
    flock = a_flock(*things, *PAIR)
    (finding,) = [found for found in check(flock) if said in found.message]
    ways = tried(flock, finding)
    assert ways
    for way in ways:
        if not way.needs_words:
            after = flock.changed(way.changes)
            left = [found.message for found in check(after)]
            assert finding.message not in left, way.does
            errors = {f.message for f in check(after) if f.severity == "error"}
            assert errors <= {f.message for f in check(flock)}, way.does


@pytest.mark.parametrize("name", EVERY)
def test_ways__none_takes_a_bird_or_what_is_written_on_a_mark_away(name):
    things, said = EVERY[name]
    flock = a_flock(*things, *PAIR)
    (finding,) = [found for found in check(flock) if said in found.message]
    for way in tried(flock, finding):
        after = flock.changed(way.changes)
        assert after.birds.keys() == flock.birds.keys()
        for old, new in ((flock.rings, after.rings), (flock.chips, after.chips)):
            assert all(
                getattr(old[key], word, "") == getattr(new[key], word, "")
                for key in new
                for word in ("inscription", "code")
            )


@pytest.fixture
def ledger(tmp_path):
    with book.open_ledger(tmp_path / "ledger", create=True) as ledger:
        ledger.commit_unchecked([Put(t) for t in PAIR], author="T", what="set up")
        yield ledger


def put(ledger, *things):
    ledger.commit_unchecked([Put(t) for t in things], author="T", what="odd")


def found(ledger, said):
    (finding,) = [f for f in checking.check(ledger) if said in f.message]
    return finding


def the_way(ledger, finding, said):
    """The first way with these words."""
    return next(way for way in mending.ways(ledger, finding) if said in way.does)


def go(ledger, finding, way_said, said=""):
    way = the_way(ledger, finding, way_said)
    return mending.mend(ledger, finding, way, "Nora", said)


def test_mend__the_parent_is_named_as_a_keeper_names_it(ledger):
    put(ledger, a_bird("b0001", "Kit", sire="b0099", status="placed"))
    finding = found(ledger, "The sire of Kit")
    done = go(ledger, finding, "sire: correct", "Rook")
    assert ledger.flock.birds["b0001"].sire == "b9001"
    assert "b9001" in done
    act = history.latest(ledger, 1)[0]
    assert (act.author, act.what) == (
        "Nora",
        "Mended: Kit, sire: correct (now b0099): b9001",
    )
    assert checking.check(ledger) == []
    history.undo(ledger, "Nora")
    assert ledger.flock.birds["b0001"].sire == "b0099"


@pytest.mark.parametrize(
    ("said", "why"),
    [
        ("", "Nothing was given"),
        ("soon", "cannot be the date"),
        ("2019", "still stands"),
    ],
)
def test_mend__what_does_not_mend_is_refused(ledger, said, why):
    put(ledger, a_bird("b0001", "Kit", hatched="2020", status="placed"))
    put(ledger, an_event("e0001", "b0001", EventKind.WEIGHED, "2018"))
    finding = found(ledger, "lies before it hatched")
    with pytest.raises(RuleError, match=why):
        go(ledger, finding, "date: correct", said)
    assert str(ledger.flock.events["e0001"].on) == "2018"
    go(ledger, finding, "date: correct", "2021-03")
    assert checking.check(ledger) == []


def test_mend__is_taken_back_by_number_and_done_again(ledger):
    put(ledger, a_bird("b0001", "Kit", sire="b0099", status="placed"))
    go(ledger, found(ledger, "The sire of Kit"), "sire: leave open")
    mended = history.latest(ledger, 1)[0].number
    history.take_back(ledger, mended, "Nora")
    assert ledger.flock.birds["b0001"].sire == "b0099"
    history.take_back(ledger, mended + 1, "Nora")
    assert ledger.flock.birds["b0001"].sire is None


def test_mend__an_older_one_is_not_taken_back_into_an_error(ledger):
    put(ledger, a_bird("b0001", "Kit", sire="b0099", status="placed"))
    go(ledger, found(ledger, "The sire of Kit"), "sire: leave open")
    mended = history.latest(ledger, 1)[0].number
    put(ledger, a_bird("b0002", "Juno", status="placed"))
    with pytest.raises(RuleError, match="b0099"):
        history.take_back(ledger, mended, "Nora")


def test_mend__nobody_of_that_name(ledger):
    put(ledger, a_bird("b0001", "Kit", sire="b0099", status="placed"))
    with pytest.raises(NotFoundError, match="Nobody"):
        go(ledger, found(ledger, "The sire of Kit"), "sire: correct", "Nobody")


def test_mend__a_choice_and_a_death_too_many(ledger):
    put(
        ledger,
        a_bird("b0001", "Kit", status="dead"),
        an_event("e0001", "b0001", EventKind.DIED, "2019"),
        an_event("e0002", "b0001", EventKind.DIED, "2020"),
    )
    go(ledger, found(ledger, "more than once"), "Take “died” 2020")
    assert list(ledger.flock.events) == ["e0001"]
    put(ledger, a_bird("b0001", "Kit", status="alive"))
    go(ledger, found(ledger, "still said to be alive"), "status: set to dead")
    assert ledger.flock.birds["b0001"].status is Status.DEAD


def test_mend__a_ring_or_chip_for_a_bird_without(ledger):
    put(ledger, a_bird("b0001", "Kit"), a_bird("b0002", "Juno"))
    go(ledger, found(ledger, "Kit is alive"), "inscription: enter", "IE TWK / 26 001")
    (ring,) = ledger.flock.rings_of("b0001")
    assert (ring.inscription, str(ring.state)) == ("IE TWK / 26 001", "on bird")
    go(ledger, found(ledger, "Juno is alive"), "code: enter", "372098100000001")
    assert ledger.flock.chips_of("b0002")[0].code == "372098100000001"
    assert checking.check(ledger) == []


def test_mend__a_parents_sex(ledger):
    put(ledger, a_bird("b0001", "Kit", sire="b9002", status="placed"))
    finding = found(ledger, "which is a hen")
    go(ledger, finding, "Wren, sex: set to cock")
    assert ledger.flock.birds["b9002"].sex is Sex.COCK


def test_accept__a_warning_is_not_told_again_until_its_words_change(ledger):
    put(
        ledger,
        a_ring("r0001", "TWK 07"),
        a_ring("r0002", "TWK O7"),
        FlockSettings(name="Tidewrack"),
    )
    finding = found(ledger, "easily taken")
    go(ledger, finding, "It is so")
    assert checking.check(ledger) == []
    assert ledger.flock.settings.name == "Tidewrack"
    put(ledger, a_ring("r0002", "TWK 0 7"))
    assert found(ledger, "easily taken")


def test_accept__an_error_cannot_be(ledger):
    put(ledger, a_bird("b0001", "Kit", sire="b0099", status="placed"))
    finding = found(ledger, "The sire of Kit")
    assert not [w for w in mending.ways(ledger, finding) if "It is so" in w.does]
    put(ledger, FlockSettings(accepted=(finding.message,)))
    assert found(ledger, "The sire of Kit") == finding


# --- files beside the ledger ---


def test_photo__laid_back_only_if_it_is_the_same(ledger, tmp_path):
    picture = tmp_path / "pip.jpg"
    picture.write_bytes(b"not really a picture")
    photo = book.add_photo(ledger, picture, "T", bird_id="b9001")
    kept = book.photo_file(ledger, photo)
    kept.unlink()
    other = tmp_path / "other.jpg"
    other.write_bytes(b"another one")
    finding = found(ledger, "pip.jpg")
    with pytest.raises(RuleError, match="differs"):
        go(ledger, finding, "Lay the picture", str(other))
    with pytest.raises(NotFoundError, match="cannot be read"):
        go(ledger, finding, "Lay the picture", str(tmp_path / "no.jpg"))
    go(ledger, finding, "Lay the picture", str(picture))
    assert kept.read_bytes() == picture.read_bytes()
    assert checking.check(ledger) == []


def test_photo__forgotten_everywhere(ledger, tmp_path):
    picture = tmp_path / "pip.jpg"
    picture.write_bytes(b"not really a picture")
    book.add_note(ledger, "b9001", "Look", a_date("2020"), "T", photos=[picture])
    (photo,) = ledger.flock.photos.values()
    book.photo_file(ledger, photo).unlink()
    go(ledger, found(ledger, "pip.jpg"), "Forget photo")
    assert not ledger.flock.photos
    assert checking.check(ledger) == []
    history.undo(ledger, "T")
    assert list(ledger.flock.photos) == [photo.id]


def test_conflict__the_second_file_is_moved_aside_and_kept(ledger):
    name = "ledger (conflicted copy).json"
    for _ in range(2):
        (ledger.folder / name).write_text("{}", encoding="utf-8")
        go(ledger, found(ledger, name), "Move “ledger (conflicted")
        assert checking.check(ledger) == []
    kept = ledger.folder / mending.ASIDE
    assert sorted(path.name for path in kept.iterdir()) == [name, f"{name}-2"]


def test_notice__every_finding_about_files_has_a_way(ledger):
    ledger.close()
    path = ledger.folder / "ledger.json"
    path.write_bytes(path.read_bytes()[:-5])
    with book.open_ledger(ledger.folder) as again:
        put(again, a_chip(bird="b9001"))
        findings = checking.check(again)
        assert len(findings) >= 2
        for finding in findings:
            assert mending.ways(again, finding), finding.message
        go(again, findings[-1], "Move “ledger.json.damaged-1”")
        assert not list(again.folder.glob("*.damaged-*"))


def test_read_only__mends_nothing(ledger):
    put(ledger, a_bird("b0001", "Kit", sire="b0099", status="placed"))
    with book.open_ledger(ledger.folder, read_only=True) as window:
        finding = found(window, "The sire of Kit")
        with pytest.raises(StoreReadOnlyError):
            go(window, finding, "sire: leave open")
    assert ledger.flock.get(Kind.BIRD, "b0001").sire == "b0099"


@pytest.mark.parametrize(
    ("thing", "said"),
    [
        (
            FlockSettings(founder_kin=(FounderKin("b9001", "b9002", 1.5),)),
            "kinship of founder kin 1: correct",
        ),
        (FlockSettings(highest_inbreeding=2.0), "limit of F of the young: leave open"),
        (Clutch("k0001", eggs=(Egg(1), Egg(1))), "number of egg 1: correct"),
        (RingSeries("s0001", "IE TWK 26"), "pattern: correct"),
        (Removal("x0001", ring="r0404"), "ring: leave open"),
        (WalkThrough("w0001", stops=(Stop("A", ("b0404",)),)), "leave b0404 out"),
        (
            a_bird("b0001", hatched="2020", sire_may_be=(("b9002", 1.0),)),
            "birds that may be the sire: leave b9002 out",
        ),
    ],
)
def test_ways__also_inside_of_lists_and_settings(thing, said):
    flock = a_flock(*PAIR, thing)
    finding = next(f for f in check(flock) if f.subject_id == thing.id)
    assert [way for way in tried(flock, finding) if said in way.does]
