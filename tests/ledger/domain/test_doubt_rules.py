"""Doubts about parents and the keeper's limits: what cannot be is refused."""

import pytest
from builders import a_bird, a_flock

from ledger.domain import FlockSettings
from ledger.domain.finding import Severity
from ledger.domain.people import FounderKin
from ledger.domain.rules import check

BIRDS = (
    a_bird("b0001", "Rook", sex="cock", hatched="2010"),
    a_bird("b0002", "Wren", sex="hen", hatched="2010"),
    a_bird("b0003", "Late", sex="cock", hatched="2022"),
)


def told(*things):
    found = check(a_flock(*BIRDS, *things))
    return [it.message for it in found if it.severity is Severity.ERROR]


def a_doubtful(**fields):
    return a_bird("b0009", "Pip", hatched="2020", **fields)


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"sire_may_be": (("b0404", 1.0),)}, "may be b0404, and there is no such"),
        ({"sire_may_be": (("b0002", 1.0),)}, "may be Wren, which is a hen"),
        ({"dam_may_be": (("b0001", 1.0),)}, "may be Rook, which is a cock"),
        ({"sire_may_be": (("b0003", 1.0),)}, "which hatched only 2022"),
        ({"sire_may_be": (("b0009", 1.0),)}, "which is Pip itself"),
        ({"sire_may_be": (("b0001", 0.5),)}, "sum to 0.5"),
        ({"sire_may_be": (("b0001", 1.5), ("", -0.5))}, "sum to 1"),
    ],
)
def test_doubt__that_cannot_be_is_an_error(fields, said):
    assert [said in message for message in told(a_doubtful(**fields))] == [True]


def test_doubt__between_a_bird_and_one_that_is_not_entered_is_sound():
    assert told(a_doubtful(sire_may_be=(("b0001", 0.7), ("", 0.3)))) == []


def test_doubt__about_a_descendant_is_an_error():
    young = a_bird("b0010", "Ivy", sex="cock", dam_may_be=(("b0009", 1.0),))
    doubtful = a_bird("b0009", "Pip", sire_may_be=(("b0010", 0.5), ("b0001", 0.5)))
    assert any("may descend from it" in it for it in told(doubtful, young))


@pytest.mark.parametrize(
    ("settings", "said"),
    [
        (FlockSettings(highest_inbreeding=1.5), "The limit of F of the young is 1.5"),
        (FlockSettings(youngest_years=-1), "from -1 years on, which is no age"),
        (
            FlockSettings(founder_kin=(FounderKin("b0001", "b0002", 1.5),)),
            "The kinship of b0001 and b0002 is 1.5",
        ),
    ],
)
def test_limits__that_cannot_be_are_errors(settings, said):
    (message,) = told(settings)
    assert said in message


def test_species__of_parent_and_young_differ_is_a_warning():
    birds = (
        a_bird("b0001", "Rook", sex="cock", species="Galah"),
        a_bird("b0002", "Wren", sex="hen", species="Eolophus roseicapilla"),
        a_bird("b0003", "Pip", species="Cockatiel", sire="b0001", dam="b0002"),
        a_bird("b0004", "Fern", species="Galah", sire="b0001", dam="b0002"),
    )
    found = [it for it in check(a_flock(*birds)) if "is entered as" in it.message]
    assert [(it.subject_id, it.severity) for it in found] == [
        ("b0003", Severity.WARNING),
        ("b0003", Severity.WARNING),
    ]
    assert "Pip is entered as Cockatiel, and its sire Rook as Galah" in found[0].message
