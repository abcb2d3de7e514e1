"""The emergency card: what must be first, and what must not be missed."""

import json
import unicodedata

import pytest
from builders import (
    TODAY,
    a_bird,
    a_chip,
    a_date,
    a_flock,
    a_person,
    a_ring,
    an_event,
)

from ledger.domain import EventKind, FlockSettings, Placement, RingState
from ledger.errors import NotFoundError
from ledger.services import card

URGENT = {
    "alerts": ("Never hold by the left wing",),
    "medication": ("Meloxicam 0.1 ml at 8 and 20 h",),
    "allergies": ("peanuts",),
}
VET = a_person("h0001", "Una Keogh", phone="+353 1 555 0100")
KEEPER = a_person("h0002", "Nora Byrne", phone="+353 1 555 0101")
PEOPLE = (VET, KEEPER, FlockSettings(keeper="h0002", vet="h0001"))


def text_of(flock, width=80):
    return card.as_text(card.emergency_card(flock, "b0001", TODAY), width)


def line_of(text, words):
    return next(n for n, line in enumerate(text.splitlines()) if words in line)


def test_text__alerts_medication_allergies_come_first_and_are_marked():
    text = text_of(a_flock(a_bird(species="Ara ararauna", **URGENT), *PEOPLE))
    urgent = [line_of(text, words) for words in ("left wing", "Meloxicam", "peanuts")]
    assert urgent == sorted(urgent)
    assert max(urgent) < line_of(text, "Ara ararauna")
    lines = text.splitlines()
    assert all(lines[n].startswith("!! ") for n in urgent)
    assert [lines[n].split()[1] for n in urgent] == ["ALERT", "MEDICATION", "ALLERGIES"]


def test_text__says_when_none_is_entered_and_does_not_shout():
    text = text_of(a_flock(a_bird()))
    assert text.count("none entered") == 3
    assert "!!" not in text
    assert "no vet and no owner is entered" in text
    assert "Sire        not known" in text


def test_text__names_whom_to_call():
    text = text_of(a_flock(a_bird(), *PEOPLE))
    assert "Call vet    Una Keogh, +353 1 555 0100" in text
    assert "Call keeper Nora Byrne, +353 1 555 0101" in text


def test_contacts__the_birds_own_vet_and_owner_before_the_flocks():
    own = (a_person("h0003", "Vet Two"), a_person("h0004", "Owner"))
    flock = a_flock(a_bird(vet="h0003", owner="h0004"), *PEOPLE, *own)
    contacts = card.emergency_card(flock, "b0001", TODAY).contacts
    assert [(c.role, c.name) for c in contacts] == [
        ("vet", "Vet Two"),
        ("owner", "Owner"),
        ("keeper", "Nora Byrne"),
    ]
    assert "no phone number entered" in text_of(flock)


def test_contacts__no_vet_is_said():
    flock = a_flock(a_bird(), KEEPER, FlockSettings(keeper="h0002"))
    assert "no vet is entered" in text_of(flock)


@pytest.mark.parametrize("width", [40, 80, 100])
def test_text__no_line_is_wider_than_asked(width):
    flock = a_flock(
        a_bird(
            name="鸚鵡" * 10,
            notes="w" * 300 + " 漢字" * 60 + " e\u0301" * 100,
            **{key: values * 9 for key, values in URGENT.items()},
        ),
        a_ring(inscription="IE TWK / " + "9" * 90, bird="b0001"),
        *PEOPLE,
    )
    for line in text_of(flock, width).splitlines():
        cells = sum(
            0
            if unicodedata.combining(sign)
            else 1 + (unicodedata.east_asian_width(sign) in "WF")
            for sign in line
        )
        assert cells <= width, line


def test_text__control_characters_of_notes_do_not_reach_the_terminal():
    text = text_of(a_flock(a_bird(notes="a\x1b[31mred\x07\nnext [/x] line")))
    assert not [s for s in text if unicodedata.category(s) == "Cc" and s != "\n"]
    assert "next [/x] line" in text


REMOVED = {
    "state": RingState.REMOVED,
    "removed": "2023-05-01",
    "removed_reason": "leg swollen",
    "removed_by": "Una Keogh",
}


def test_old_ring__the_chip_that_took_its_place_is_said():
    flock = a_flock(
        a_bird(),
        a_ring(bird="b0001", replaced_by="c0001", **REMOVED),
        a_chip(bird="b0001"),
    )
    found = card.find_bird(flock, "ie twk 19 0007")
    (old,) = [m for m in card.emergency_card(flock, found.id, TODAY).marks if m.said]
    assert old.said == (
        "This ring was taken off on 2023-05-01 by Una Keogh (leg swollen); the bird "
        "now carries chip 372098100000001."
    )
    assert "Chip        372098100000001" in text_of(flock)


def test_old_ring__what_else_it_wears_or_that_nothing_is_there():
    ring = a_ring(bird="b0001", **REMOVED)
    new = a_ring("r0002", "TWK 8", bird="b0001")
    assert "now wears ring “TWK 8”" in text_of(a_flock(a_bird(), ring, new), 200)
    assert "nothing is entered in its place" in text_of(a_flock(a_bird(), ring), 200)


def test_standing__dead_is_said_before_all_else():
    flock = a_flock(
        a_bird(status="dead", hatched="2019-04-01", **URGENT),
        an_event(kind=EventKind.DIED, on="2022-04-02", text="Found on the floor."),
    )
    text = text_of(flock)
    assert "Pip is dead. It died 2022-04-02. Found on the floor." in text
    assert line_of(text, "Pip is dead") < line_of(text, "left wing")
    assert "(reached 3 years)" in text


def test_standing__dead_without_a_date_has_no_age():
    text = text_of(a_flock(a_bird(status="dead", hatched="2000")))
    assert "When is not entered." in text
    assert "years" not in text


def test_standing__placed_with_whom():
    flock = a_flock(
        a_bird(status="placed", owner="h0003"),
        a_person("h0003", "Ann", phone="086 555"),
        Placement("m0001", "b0001", "h0003", a_date("2024")),
    )
    text = text_of(flock)
    assert "does not live here: it is placed with Ann since 2024." in text
    assert "Call owner  Ann, 086 555" in text


def test_standing__lost():
    flock = a_flock(
        a_bird(status="lost"), an_event(kind=EventKind.LOST, on="2025-08-01")
    )
    assert "entered as lost since 2025-08-01" in text_of(flock)


def test_kin__parents_and_siblings_with_their_health_flags():
    flock = a_flock(
        a_bird("b0002", "Sam", sex="cock", health_flags=("gout",), status="dead"),
        a_bird("b0003", "Ada", sex="hen"),
        a_bird(sire="b0002", dam="b0003"),
        a_bird("b0004", "Bo", sire="b0002", dam="b0003", health_flags=("plucks",)),
        a_bird("b0005", "Cy", sire="b0002"),
    )
    text = text_of(flock)
    assert "Sam (b0002, cock, dead): gout" in text
    assert "Ada (b0003, hen): no health flags" in text
    assert "Siblings    Bo (b0004): plucks" in text
    assert "Half sibl.  without health flags: Cy" in text
    kin = card.emergency_card(flock, "b0001", TODAY).kin
    assert [(k.relation, k.through, k.bird) for k in kin] == [
        ("sire", "", "b0002"),
        ("dam", "", "b0003"),
        ("full sibling", "", "b0004"),
        ("half sibling", "sire", "b0005"),
    ]


def weighings(*grams):
    return [
        an_event(f"e{n:04d}", kind=EventKind.WEIGHED, on=f"2025-01-{n:02d}", weight_g=g)
        for n, g in enumerate(grams, 1)
    ]


def test_weights__last_five_with_change_in_percent():
    flock = a_flock(a_bird(), *weighings(380, 400, 404, 404, 363.6, 400, 410))
    weights = card.emergency_card(flock, "b0001", TODAY).weights
    # By hand: 410/400 = 1.025, 400/363.6 = 1.1001, 363.6/404 = 0.9, 404/400 = 1.01.
    assert [(w.weight_g, w.change_percent) for w in weights] == [
        (410, 2.5),
        (400, 10.0),
        (363.6, -10.0),
        (404, 0.0),
        (404, 1.0),
    ]


# 10 % or more lost: to the vet (birdchannel.com); 5 % is within what is looked at.
@pytest.mark.parametrize(
    ("grams", "shouts"), [((400, 360), True), ((400, 364), False), ((400, 500), False)]
)
def test_weights__a_tenth_lost_is_shouted(grams, shouts):
    text = text_of(a_flock(a_bird(), *weighings(*grams)))
    assert ("!! lost a tenth or more: call the vet" in text) is shouts


def test_weights__the_first_has_nothing_to_compare_with():
    (only,) = card.emergency_card(
        a_flock(a_bird(), *weighings(400)), "b0001", TODAY
    ).weights
    assert only.change_percent is None


def test_notes__last_five_newest_first():
    events = [
        an_event(f"e{n:04d}", on=f"20{n:02d}", text=f"n{n}") for n in range(10, 17)
    ]
    quiet = an_event("e0099", kind=EventKind.MOVED, on="2025", text="to aviary 3")
    notes = card.emergency_card(a_flock(a_bird(), *events, quiet), "b0001", TODAY).notes
    assert [note.text for note in notes] == ["n16", "n15", "n14", "n13", "n12"]


def test_json__is_plain_and_holds_everything():
    flock = a_flock(
        a_bird(hatched="spring 2019", **URGENT), a_ring(bird="b0001"), *PEOPLE
    )
    its_card = card.emergency_card(flock, "b0001", TODAY)
    plain = json.loads(json.dumps(card.as_json(its_card)))
    assert plain["alerts"] == list(URGENT["alerts"])
    assert plain["hatched"] == "spring 2019"
    assert plain["marks"][0]["text"] == "IE TWK / 19 0007"
    assert plain["contacts"][0]["phone"] == "+353 1 555 0100"


def test_card__of_nobody():
    with pytest.raises(NotFoundError, match="no bird b0009"):
        card.emergency_card(a_flock(), "b0009", TODAY)


def test_find__several_are_named():
    flock = a_flock(
        a_bird("b0001", species="Ara", location="A 1"),
        a_bird("b0002"),
        a_ring(bird="b0002"),
    )
    with pytest.raises(NotFoundError) as refused:
        card.find_bird(flock, "pip")
    assert str(refused.value) == (
        "“pip” may be one of 2 birds: b0001 Pip (Ara, A 1); "
        "b0002 Pip (ring IE TWK / 19 0007)."
    )


def test_find__none_suggests_what_holds_the_words():
    flock = a_flock(a_bird(name="Pippilotta"), a_bird("b0002", "Juno"))
    with pytest.raises(NotFoundError, match="No bird has “pippi”") as refused:
        card.find_bird(flock, "pippi")
    assert refused.value.hint == "Did you mean b0001 Pippilotta?"
    with pytest.raises(NotFoundError) as refused:
        card.find_bird(flock, "")
    assert "Did you mean" not in refused.value.hint


def test_find__by_a_part_of_a_ring_is_suggested():
    flock = a_flock(a_bird(), a_ring(bird="b0001"), a_ring("r0002", "TWK 0007 X"))
    with pytest.raises(NotFoundError) as refused:
        card.find_bird(flock, "0007")
    assert "b0001 Pip" in refused.value.hint


def test_old_ring__one_that_was_lost_is_said_so():
    flock = a_flock(a_bird(), a_ring(bird="b0001", state=RingState.LOST))
    assert "This ring is entered as lost; nothing is entered" in text_of(flock, 200)


def test_text__its_own_health_flags():
    text = text_of(a_flock(a_bird(health_flags=("gout", "plucks"))))
    at = line_of(text, "gout")
    assert text.splitlines()[at].split() == ["HEALTH", "gout"]
    assert text.splitlines()[at + 1].split() == ["plucks"]


@pytest.mark.parametrize(
    "written", ["3E7.1CBE991A14", "8000F9DCBE991A14", "999 123456789012"]
)
def test_find_bird__takes_a_chip_in_any_of_its_forms(written):
    # The forms of one code: README of ISO11784Tools.
    flock = a_flock(a_bird(), a_chip(code="999123456789012", bird="b0001"))
    assert card.find_bird(flock, written).id == "b0001"
