"""The nests as lines, as text and as JSON."""

import datetime as dt
import json

import pytest
from builders import a_bird, a_date, a_flock, a_ring, an_event

from ledger.domain import Clutch, Egg, EggFate, EventKind, Pair
from ledger.services import nest_form, nest_list

TODAY = dt.date(2026, 5, 1)
FLOCK = a_flock(
    a_bird("b0001", "Rook", sex="cock", species="Cockatiel", location="Meadow 1"),
    a_bird("b0002", "Wren", sex="hen", species="Cockatiel", location="Meadow 1"),
    a_bird("b0003", "Ash", sex="cock", species="Galah", location="Dune 2"),
    a_bird("b0004", "Ivy", sex="hen", species="Galah", location="Dune 2"),
    a_bird("b0005", "Old", sex="hen", species="Galah", status="dead"),
    a_bird("b0010", "Bit", species="Cockatiel", hatched="2026-04-21"),
    a_bird("b0011", "Bob", species="Cockatiel", hatched="2026-04-23", status="dead"),
    Pair("p0001", "b0001", "b0002"),
    Pair("p0002", "b0003", "b0004", location="Dune 7"),
    Pair("p0003", "b0003", "b0005"),
    Pair("p0004", "b0003", "b0004", parted=a_date("2025")),
    Clutch(
        "k0001",
        "p0001",
        laid=a_date("2026-04-01"),
        eggs=(
            Egg(1, a_date("2026-04-01"), EggFate.HATCHED, chick="b0010"),
            Egg(2, a_date("2026-04-03"), EggFate.HATCHED, chick="b0011"),
            Egg(3, a_date("2026-04-05"), EggFate.CLEAR, ended=a_date("2026-04-14")),
            Egg(4, a_date("2026-04-21"), EggFate.IN_NEST),
        ),
    ),
    an_event("e0001", "b0010", EventKind.WEIGHED, "2026-04-28", weight_g=30.0),
    an_event("e0002", "b0010", EventKind.WEIGHED, "2026-04-30", weight_g=41.0),
)


def test_nests__are_the_pairs_that_are_together_by_aviary():
    lines = nest_list.nests(FLOCK, TODAY)
    assert [(it.place, it.pair, it.eggs) for it in lines] == [
        ("Dune 7", "Ash and Ivy", ""),
        ("Meadow 1", "Rook and Wren", "^^-o"),
    ]
    assert [str(duty.work) for duty in lines[1].due] == ["candle", "ring"]


def test_eggs__tell_state_chick_and_what_is_due():
    lines = nest_list.eggs_of(FLOCK, FLOCK.clutches["k0001"], TODAY)
    assert [line.state for line in lines] == [
        "hatched",
        "hatched, dead",
        "clear",
        "in nest",
    ]
    assert (lines[0].chick, lines[0].age, lines[0].weight) == (
        "Bit",
        "10 days",
        "41 g +5.5/d",
    )
    assert [line.is_live for line in lines] == [True, False, False, True]
    assert lines[2].about == ("Clear, found 2026-04-14.",)
    assert "Expected to hatch 2026-05-10 to 2026-05-15" in lines[3].about[-1]


def test_text__is_by_aviary_with_a_sign_for_what_presses():
    text = nest_form.as_text(FLOCK, TODAY)
    assert text[0] == "Meadow 1"
    assert any(line.startswith("  !  ring: Bit has no ring: 10 days") for line in text)
    assert text[-1] == "2026-05-01: 2 due in the nests."


def test_text__late_is_counted_and_nothing_is_said_so():
    assert nest_form.as_text(FLOCK, dt.date(2026, 5, 5))[-1].endswith("2 of it late.")
    assert nest_form.as_text(a_flock(), TODAY) == [
        "Nothing is due in the nests on 2026-05-01."
    ]


def test_json__holds_every_duty_and_every_nest():
    plain = json.loads(json.dumps(nest_form.as_json(FLOCK, TODAY)))
    candle, ring = plain["due"]
    assert (ring["what"], ring["bird"], ring["window"]) == ("ring", "b0010", "open")
    assert (ring["from"], ring["until"]) == ("2026-04-28", "2026-05-03")
    assert (candle["clutch"], candle["egg"]) == ("k0001", 4)
    assert candle["source"] == "common practice, no source"
    assert [nest["aviary"] for nest in plain["nests"]] == ["Dune 7", "Meadow 1"]
    assert plain["nests"][1]["eggs"][0] == {
        "egg": 1,
        "laid": "2026-04-01",
        "fate": "hatched",
        "hatched": None,
        "chick": "b0010",
    }


@pytest.mark.parametrize(
    ("ring", "shown"), [(a_ring(bird="b0010"), "IE TWK / 19 0007"), (None, "")]
)
def test_eggs__show_the_ring_of_the_chick(ring, shown):
    flock = a_flock(*FLOCK, *([ring] if ring else []))
    line = nest_list.eggs_of(flock, flock.clutches["k0001"], TODAY)[0]
    assert line.ring == shown
