"""Parents that are not certain."""

import pytest

from ledger.errors import LineageError
from ledger.lineage.doubt import Doubt, expected_inbreeding, expected_kinship

NONE = (None, None)
PARENTS = {
    "cock1": NONE,
    "cock2": NONE,
    "hen": NONE,
    "a": (None, "hen"),
    "b": (None, "hen"),
    "y": ("a", "b"),
}


def test_kinship__with_one_of_two_cocks():
    # By hand: a young is .25 kin to its sire.
    doubt = Doubt(("a",), "sire", {"cock1": 0.8, "cock2": 0.2})
    found = expected_kinship(PARENTS, [doubt], "cock1", "a")
    assert found.mean == pytest.approx(0.2)
    assert (found.least, found.most) == (0, 0.25)
    assert not found.is_certain


def test_kinship__of_clutch_mates_shares_the_doubt():
    # Whoever it is, it is the same cock: full siblings for certain.
    shared = Doubt(("a", "b"), "sire", {"cock1": 0.5, "cock2": 0.5})
    found = expected_kinship(PARENTS, [shared], "a", "b")
    assert found.mean == pytest.approx(0.25)
    assert found.is_certain
    # Two doubts of their own: .125 through the hen, and half the time .125 more.
    apart = [Doubt((bird,), "sire", {"cock1": 0.5, "cock2": 0.5}) for bird in "ab"]
    found = expected_kinship(PARENTS, apart, "a", "b")
    assert found.mean == pytest.approx(0.1875)
    assert (found.least, found.most) == (0.125, 0.25)
    young = expected_inbreeding(PARENTS, apart, "y")
    assert (young.mean, young.least, young.most) == pytest.approx((0.1875, 0.125, 0.25))


def test_kinship__with_a_stranger_as_candidate():
    doubt = Doubt(("a",), "sire", {"cock1": 0.5, None: 0.5})
    assert expected_kinship(PARENTS, [doubt], "cock1", "a").mean == pytest.approx(0.125)


@pytest.mark.parametrize(
    "doubts",
    [
        [Doubt(("a",), "sire", {"cock1": 0.5, "cock2": 0.4})],
        [Doubt(("a",), "sire", {"cock1": 1.5, "cock2": -0.5})],
        [Doubt(("nobody",), "sire", {"cock1": 1.0})],
        [Doubt(("a",), "sire", {"cock1": 0.5, "y": 0.5})],
        [Doubt(("a",), "sire", {"cock1": 0.5, "cock2": 0.5})] * 13,
    ],
)
def test_doubts__that_cannot_be_are_refused(doubts):
    with pytest.raises(LineageError) as refused:
        expected_kinship(PARENTS, doubts, "a", "b")
    assert refused.value.hint
