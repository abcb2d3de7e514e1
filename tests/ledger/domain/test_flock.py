"""Looking things up, and the next flock after a change."""

import pytest
from builders import a_bird, a_chip, a_flock, a_person, a_ring, an_event
from hypothesis import given
from hypothesis import strategies as st

from ledger.domain import (
    Bird,
    Clutch,
    Drop,
    Event,
    EventKind,
    Flock,
    FlockSettings,
    Kind,
    Pair,
    PartialDate,
    Photo,
    Placement,
    Put,
    Ring,
    RingState,
)


@pytest.fixture
def family():
    return a_flock(
        a_bird("b0001", "Old Sam", sex="cock"),
        a_bird("b0002", "Ada"),
        a_bird("b0003", "Bea"),
        a_bird("b0011", "First", sire="b0001", dam="b0002", hatched="2019"),
        a_bird("b0012", "Second", sire="b0001", dam="b0002", hatched="2018"),
        a_bird("b0013", "Third", sire="b0001", dam="b0003"),
        a_bird("b0014", "Fourth", dam="b0002"),
    )


def test_siblings__full_ones_first_and_with_whom(family):
    found = [(s.bird.name, s.through) for s in family.siblings_of("b0011")]
    assert found == [("Second", "both"), ("Third", "sire"), ("Fourth", "dam")]


def test_siblings__unknown_parents_are_not_shared():
    flock = a_flock(a_bird("b0001"), a_bird("b0002"))
    assert flock.siblings_of("b0001") == ()


def test_young__first_hatched_first_undated_before(family):
    assert [b.name for b in family.young_of("b0001")] == ["Third", "Second", "First"]


def test_events__newest_first():
    flock = a_flock(
        a_bird(),
        an_event("e0001", on="2020-01-01"),
        an_event("e0002", on="2021-01-01"),
        an_event("e0003", on="2020-01-01"),
    )
    assert [e.id for e in flock.events_of("b0001")] == ["e0002", "e0003", "e0001"]


@pytest.mark.parametrize(
    "words",
    ["b0001", "B0001", "pip", " PIP ", "ie twk/190007", "IETWK190007", "r0001",
     "372 098 100 000 001", "c0001", "OLD 1"],
)  # fmt: skip
def test_bird_by__finds_by_whatever_is_in_hand(words):
    flock = a_flock(
        a_bird(),
        a_ring(bird="b0001"),
        a_ring("r0002", "OLD 1", bird="b0001", state=RingState.REMOVED),
        a_chip(bird="b0001"),
    )
    assert [bird.id for bird in flock.bird_by(words)] == ["b0001"]


@pytest.mark.parametrize("words", ["", " / ", "nobody", "r0002"])
def test_bird_by__nobody(words):
    flock = a_flock(a_bird(), a_ring("r0002", "X", state=RingState.IN_STOCK))
    assert flock.bird_by(words) == []


def test_bird_by__two_of_one_name():
    flock = a_flock(a_bird("b0001"), a_bird("b0002", "PIP"))
    assert [bird.id for bird in flock.bird_by("pip")] == ["b0001", "b0002"]


def test_identity_chain__ring_to_chip():
    flock = a_flock(
        a_bird(),
        a_chip(bird="b0001", implanted="2022"),
        a_ring(
            bird="b0001",
            put_on="2019",
            removed="2022",
            removed_reason="swollen leg",
            state=RingState.REMOVED,
            replaced_by="c0001",
        ),
    )
    old, new = flock.identity_chain("b0001")
    assert (old.mark.id, old.is_on, old.replaced_by.id) == ("r0001", False, "c0001")
    assert (new.mark.id, new.is_on) == ("c0001", True)


def test_next_id__is_never_one_that_was_dropped():
    flock = a_flock(a_bird("b0007")).changed([Drop(Kind.BIRD, "b0007")])
    assert flock.next_id(Kind.BIRD) == "b0008"
    assert flock.next_id(Kind.BIRD, after=2) == "b0010"


def test_changed__leaves_the_old_flock_and_shares_what_it_did_not_touch():
    before = a_flock(a_bird(), a_ring(bird="b0001"), an_event())
    after = before.changed([Put(a_bird(name="Pippa"))])
    assert before.birds["b0001"].name == "Pip"
    assert before.bird_by("pip")
    assert not after.bird_by("pip")
    assert after.bird_by("pippa")
    assert after._things[Kind.EVENT] is before._things[Kind.EVENT]
    assert after._indexes["events"] is before._indexes["events"]


def test_settings__are_there_from_the_start():
    flock = a_flock()
    assert flock.settings == FlockSettings()
    named = flock.changed([Put(FlockSettings(name="Tidewrack"))])
    assert named.settings.name == "Tidewrack"


_ids = st.integers(1, 6)
_parents = st.one_of(st.none(), _ids.map("b{:04d}".format))
_things = st.one_of(
    st.builds(
        Bird,
        _ids.map("b{:04d}".format),
        st.sampled_from(["Pip", "Ada", ""]),
        sire=_parents,
        dam=_parents,
        hatched=st.one_of(
            st.none(), st.integers(2000, 2003).map(lambda year: PartialDate(year))
        ),
    ),
    st.builds(
        Ring,
        _ids.map("r{:04d}".format),
        st.sampled_from(["A 1", "A1", "A I", "B 2"]),
        bird=_parents,
    ),
    st.builds(
        Event,
        _ids.map("e{:04d}".format),
        _ids.map("b{:04d}".format),
        st.just(EventKind.NOTE),
        st.integers(2000, 2003).map(lambda year: PartialDate(year)),
    ),
)
_changes = st.one_of(
    _things.map(Put),
    st.builds(Drop, st.just(Kind.BIRD), _ids.map("b{:04d}".format)),
    st.builds(Drop, st.just(Kind.RING), _ids.map("r{:04d}".format)),
    st.builds(Drop, st.just(Kind.EVENT), _ids.map("e{:04d}".format)),
)


_looks = st.lists(_ids.map("b{:04d}".format), max_size=2)


@given(st.lists(st.tuples(st.lists(_changes, max_size=5), _looks), max_size=5))
def test_changed__equals_a_flock_built_anew(acts):
    flock, kept = Flock.of(), {}
    for act, looked_at in acts:
        before = flock
        for bird_id in looked_at:  # lists are put in order when somebody looks
            assert before.events_of(bird_id) == Flock.of(kept.values()).events_of(
                bird_id
            )
            before.young_of(bird_id)
        flock = flock.changed(act)
        for change in act:
            if isinstance(change, Put):
                kept[change.thing.KIND, change.thing.id] = change.thing
            else:
                kept.pop((change.kind, change.id), None)
    anew = Flock.of(kept.values())
    assert flock == anew
    for name, index in anew._indexes.items():
        assert dict(flock._indexes[name].items()) == dict(index.items())


def test_flock__holds_every_kind_by_id_and_knows_its_size():
    things = [
        a_bird(),
        a_ring(bird="b0001"),
        a_chip(),
        an_event(),
        a_person(),
        Pair("p0001", "b0001"),
        Clutch("k0001", "p0001"),
        Placement("m0001", "b0001"),
        Photo("f0001", bird="b0001"),
    ]
    flock = a_flock(*things)
    assert len(flock) == len(things)
    assert set(flock) == set(things)
    assert list(flock.clutches) == ["k0001"]
    assert [clutch.id for clutch in flock.clutches_of("p0001")] == ["k0001"]
    assert [pair.id for pair in flock.pairs_of("b0001")] == ["p0001"]
    assert [bird.id for bird in flock.birds_named(" PIP")] == ["b0001"]
    assert flock != things
    with pytest.raises(TypeError):
        hash(flock)


def test_flock__cannot_be_changed_through_its_doors():
    flock = a_flock(a_bird())
    with pytest.raises(TypeError):
        flock.birds["b0002"] = a_bird("b0002")
