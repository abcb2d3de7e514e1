"""The leg of a split ring against the sex entered.

Surgically sexed birds: right leg cock, left leg hen (greenbayvets.co.uk,
brookfallsveterinary.com). Many breeders ring any leg: common practice, no source.
"""

import pytest
from builders import a_bird, a_flock, a_ring, an_event

from ledger.domain import EventKind, RingKind, Sex
from ledger.domain.rules import check
from ledger.domain.sexing_leg import marks_sexing, sex_by_leg, sexing_leg_said


def a_split(leg, **fields):
    return a_ring(
        "r0001", "SQ 061", bird="b0001", leg=leg, put_on="2021-03-04",
        **{"kind": RingKind.SPLIT, **fields},
    )  # fmt: skip


def sexed(**fields):
    return an_event(kind=EventKind.SEXED, on="2021-03-04", **fields)


def clashes(flock):
    return [f for f in check(flock) if "which marks a" in f.message]


@pytest.mark.parametrize(
    ("leg", "told"), [("right", Sex.COCK), ("left", Sex.HEN), ("unknown", Sex.UNKNOWN)]
)
def test_leg__right_is_a_cock_and_left_a_hen(leg, told):
    assert sex_by_leg(a_split(leg)) is told


def test_leg__of_a_closed_ring_tells_nothing():
    assert sex_by_leg(a_split("left", kind=RingKind.CLOSED)) is Sex.UNKNOWN


@pytest.mark.parametrize(
    ("leg", "sex", "finds"),
    [
        ("right", "hen", 1),
        ("left", "cock", 1),
        ("right", "cock", 0),
        ("left", "hen", 0),
    ],
)
def test_check__a_clash_is_a_warning(leg, sex, finds):
    flock = a_flock(a_bird(sex=sex), a_split(leg), sexed())
    found = clashes(flock)
    assert len(found) == finds
    assert all(
        finding.severity == "warning" and "weak evidence" in finding.remedy
        for finding in found
    )


def test_check__a_ring_that_marks_no_sexing_is_on_any_leg():
    flock = a_flock(a_bird(sex="hen"), a_split("right"))
    assert clashes(flock) == []
    assert sexing_leg_said(flock, flock.rings["r0001"]) == ""


@pytest.mark.parametrize(
    "shown",
    [
        {"notes": "Put on after surgical sexing."},
        {"event": an_event(kind=EventKind.SEXED, on="2021", ring="r0001")},
        {
            "event": an_event(
                kind=EventKind.RING_PUT_ON, on="2021", ring="r0001",
                text="Sexed by endoscope",
            )
        },
    ],
)  # fmt: skip
def test_sexing__is_known_by_day_ring_or_words(shown):
    ring = a_split("left", notes=shown.get("notes", ""))
    events = [shown["event"]] if "event" in shown else []
    flock = a_flock(a_bird(sex="cock"), ring, *events)
    assert marks_sexing(flock, ring)
    assert len(clashes(flock)) == 1


def test_said__on_the_birds_page_with_its_source():
    said = sexing_leg_said(
        a_flock(a_bird(sex="hen"), a_split("left"), sexed()), a_split("left")
    )
    assert said == (
        "The left leg marks a surgically sexed hen (right cock, left hen: "
        "greenbayvets.co.uk; brookfallsveterinary.com)."
    )
    clash = sexing_leg_said(
        a_flock(a_bird(sex="cock"), a_split("left"), sexed()), a_split("left")
    )
    assert clash.startswith("! The left leg marks a surgically sexed hen, but a cock")


def test_said__of_a_bird_whose_sex_is_not_known_is_only_a_hint():
    said = sexing_leg_said(a_flock(a_bird(), a_split("right")), a_split("right"))
    assert "means a cock" in said
    assert "weak evidence, for many breeders ring any leg" in said
