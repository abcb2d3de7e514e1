"""Every thing there and back again, and what a document cannot hold."""

import dataclasses
import json

import pytest
from builders import a_bird, a_chip, a_date, a_person, a_ring, an_event
from hypothesis import given
from hypothesis import strategies as st

from ledger.domain import (
    Absence,
    Clutch,
    Contact,
    Egg,
    EggFate,
    Enquiry,
    EventKind,
    FlockSettings,
    FounderKin,
    Kind,
    Leg,
    OwnSize,
    OwnWindow,
    Pair,
    PartialDate,
    Photo,
    Placement,
    Removal,
    RingKind,
    RingSeries,
    RingState,
    SeenHow,
    Sex,
    Sighting,
    Status,
    Stop,
    Task,
    TaskKind,
    WalkThrough,
)
from ledger.domain.change import KIND_CLASS
from ledger.store.documents import from_document, to_document

THINGS = [
    a_bird(
        species="Ara ararauna",
        sex="hen",
        hatched="spring 2019",
        sire="b0002",
        dam="b0003",
        sire_may_be=(("b0004", 0.75), ("", 0.25)),
        dam_may_be=(("b0005", 1.0),),
        status="placed",
        location="Aviary 3",
        owner="h0001",
        vet="h0002",
        alerts=("bites",),
        medication=("drops",),
        allergies=("nuts", "dust"),
        health_flags=("plucks",),
        feeding="pellets",
        rearing="by its parents",
        notes='Ü “q” \n "',
    ),
    a_ring(
        colour="blue",
        size_mm=7.5,
        bird="b0001",
        put_on="2019-05",
        removed="2020",
        removed_reason="swollen",
        removed_by="a vet",
        state=RingState.REMOVED,
        issuer="TWK",
        replaced_by="c0001",
        trial=True,
        series="s0001",
        kept="the tin box",
        notes="n",
    ),
    a_chip(bird="b0001", implanted="2020", site="left breast", by="a vet", notes="n"),
    Pair("p0001", "b1", "b2", a_date("2018"), a_date("2020"), "Aviary 1", "n"),
    Clutch(
        "k0001",
        "p0001",
        2,
        a_date("2019-03"),
        (
            Egg(1, a_date("2019-03-01"), EggFate.HATCHED, a_date("2019-03-28"), "b1"),
            Egg(2, fate=EggFate.CLEAR, notes="n", extra={"gram": 21}),
            Egg(3, fate=EggFate.FERTILE, candled=a_date("2019-03-10")),
            Egg(4, fate=EggFate.BROKEN, ended=a_date("2019-03-11")),
        ),
        "n",
    ),
    an_event(
        kind=EventKind.WEIGHED,
        on="2020-02-02",
        text="t",
        weight_g=0.0,
        by="me",
        at="here",
        ring="r1",
        chip="c1",
        finding="raw",
        photos=("f1",),
    ),
    Placement("m0001", "b1", "h1", a_date("2020"), a_date("2021"), "n"),
    a_person(role="vet", phone="1", email="e", address="a", notes="n"),
    Photo("f0001", "ab" * 32, "a [b].jpg", "b1", "r1", a_date("2020"), "n"),
    FlockSettings(
        "flock",
        "Tidewrack",
        "TWK",
        "IE",
        "h1",
        "h2",
        "n",
        (FounderKin("b1", "b2", 0.125, "n", extra={"by": "me"}),),
        (OwnSize("Grey Parrot", 11.0, "hen", "n", extra={"by": "me"}),),
        ("Aviary 2", "Aviary 1"),
        0.0625,
        1.5,
        (OwnWindow("Cockatiel", 8, 11, "n", extra={"by": "me"}),),
        ("Pip is alive and carries no ring and no chip.",),
    ),
    RingSeries(
        "s0001",
        "IE TWK / 26 {serial}",
        2026,
        101,
        150,
        4,
        9.5,
        RingKind.SPLIT,
        "blue",
        "TWK",
        "A7",
        a_date("2025-11"),
        a_date("2026-01"),
        "n",
    ),
    Task(
        "t0001",
        "b1",
        TaskKind.SEE_VET,
        a_date("2026-11"),
        "t",
        "e1",
        a_date("2026-12"),
        "well again",
        a_date("2026-10"),
        "ring check b1",
        "n",
    ),
    Removal(
        "x0001",
        "b1",
        "r1",
        a_date("2026-11-20"),
        "tight",
        "a vet",
        ("me",),
        "the tin box",
        "c1",
        "left breast",
        "372098100000001",
        "200 g",
        "no other way",
        401.5,
        ("f1",),
        "n",
    ),
    WalkThrough(
        "w0001",
        a_date("2026-11-01"),
        "me",
        (Stop("Aviary 1", ("b1",), done=True, extra={"row": 2}), Stop("Aviary 2")),
        "2026-11-01T09:00:00+00:00",
        "2026-11-01T10:00:00+00:00",
        "2026-11-01T10:05:00+00:00",
        (Absence("b1", "lost", extra={"row": 3}), Absence("b2")),
        "n",
    ),
    Sighting(
        "g0001",
        "w0001",
        "Aviary 1",
        "b1",
        "r1",
        SeenHow.PHOTO,
        "TWK",
        ("f1",),
        "2026-11-01T09:01:00+00:00",
        "worn",
        "well",
        401.5,
        "moved there",
        "n",
    ),
    Enquiry(
        "q0001",
        a_date("2026-11-02"),
        "a stranger",
        "by letter",
        "whose?",
        "TWK 1",
        ("f1",),
        "Grey Parrot",
        a_date("2019"),
        9.5,
        "blue",
        "closed",
        "b1",
        Contact.NO,
        "no",
        a_date("2026-11-03"),
        "e1",
        "n",
    ),
]


@pytest.mark.parametrize("thing", THINGS, ids=lambda thing: str(thing.KIND))
def test_round_trip__every_field_of_every_kind(thing):
    same = [
        field.name
        for field in dataclasses.fields(thing)
        if field.name not in ("id", "extra")
        and getattr(thing, field.name) == field.default
    ]
    assert not same, "the thing must differ from the default in every field"
    document = json.loads(json.dumps(to_document(thing)))
    assert from_document(thing.KIND, thing.id, document) == thing


@pytest.mark.parametrize("kind", list(Kind), ids=str)
def test_round_trip__of_what_is_only_just_a_thing(kind):
    fields = {"id": "x1"}
    if kind in (Kind.EVENT, Kind.PLACEMENT):
        fields["bird"] = "b1"
    if kind is Kind.EVENT:
        fields |= {"kind": EventKind.NOTE, "on": PartialDate(2020)}
    thing = KIND_CLASS[kind](**fields)
    assert from_document(kind, "x1", to_document(thing)) == thing


@given(
    st.fixed_dictionaries(
        {},
        optional={
            "name": st.text(),
            "sex": st.sampled_from(Sex),
            "status": st.sampled_from(Status),
            "hatched": st.dates().map(PartialDate.of),
            "alerts": st.lists(st.text()).map(tuple),
            "extra": st.dictionaries(
                st.text().map("new {}".format), st.integers() | st.text()
            ),
        },
    )
)
def test_round_trip__any_bird(fields):
    bird = dataclasses.replace(a_bird(), **fields)
    document = json.loads(json.dumps(to_document(bird)))
    assert from_document(Kind.BIRD, bird.id, document) == bird


def test_unknown_fields__are_kept_and_written_back():
    document = {"name": "Pip", "sex": "hen", "status": "alive", "moult": {"n": [1]}}
    bird = from_document(Kind.BIRD, "b0001", document)
    assert bird.extra == {"moult": {"n": [1]}}
    assert to_document(bird) == document


RING = {"kind": "closed", "leg": "left", "state": "in stock"}


def test_enums__are_read_as_enums():
    ring = from_document(Kind.RING, "r0001", RING)
    assert (ring.kind, ring.leg, ring.state) == (
        RingKind.CLOSED,
        Leg.LEFT,
        RingState.IN_STOCK,
    )


@pytest.mark.parametrize(
    ("kind", "document", "said"),
    [
        (Kind.BIRD, {"name": 5}, "“name” cannot be “5”"),
        (Kind.BIRD, {"sex": "male"}, "“sex” cannot be “male”"),
        (Kind.BIRD, {"sex": ["hen"]}, "“sex” cannot be"),
        (Kind.BIRD, {"hatched": "12.4.2019"}, "“hatched” cannot be"),
        (Kind.BIRD, {"hatched": 2019}, "“hatched” cannot be “2019”"),
        (Kind.BIRD, {"alerts": "bites"}, "“alerts” cannot be “bites”"),
        (Kind.BIRD, {"alerts": [1]}, "“alerts” cannot be"),
        (Kind.BIRD, {"name": None}, "“name” cannot be “None”"),
        (Kind.RING, {"size_mm": True}, "“size_mm” cannot be “True”"),
        (Kind.RING, {"trial": 1}, "“trial” cannot be “1”"),
        (Kind.CLUTCH, {"eggs": {}}, "“eggs” cannot be"),
        (Kind.CLUTCH, {"eggs": [{"number": "1"}]}, "“eggs” cannot be “number”"),
        (Kind.CLUTCH, {"eggs": [{}]}, "lacks a field"),
        (Kind.EVENT, {"kind": "note", "on": "2020"}, "lacks a field"),
    ],
)
def test_from_document__says_which_thing_and_field(kind, document, said):
    with pytest.raises(ValueError, match=said) as refused:
        from_document(kind, "x0001", document)
    assert f"x0001 in {kind}" in str(refused.value)
