"""No place of a ring is shown by two lines. Invented rings; the rule is our own."""

import numpy as np
import pytest
from columns import read

from ledger.rings.evidence import Evidence, EvidenceLine, Slot, parse_fragment
from ledger.rings.read_once import READ_TWICE, READ_TWICE_IN_ONE, read_once

TEXTS = ["TI / 24 / 5 / 11.5", "TI / 24 / 1 / 11.5", "TI / 24 / 55 / 11.5"]


@pytest.mark.parametrize("lines", [("TI", "24", "5", "11.5"), ("5", "11.5", "24")])
def test_a_lone_five_is_not_that_of_eleven_and_a_half(lines):
    told = read_once(read(*lines), TEXTS, np.ones(3))
    assert told == pytest.approx([1.0, READ_TWICE, 1.0], abs=0.01)


def test_five_alone__fits_either():
    told = read_once(read("TI", "5"), TEXTS, np.ones(3))
    assert told == pytest.approx([1.0, 1.0, 1.0])


@pytest.mark.parametrize("more", ["5", "11.5"])
def test_read_once_more_than_it_stands_there(more):
    told = read_once(read("TI", "24", "5", "11.5", more), TEXTS[:1], np.ones(1))
    assert told == pytest.approx([READ_TWICE], abs=0.01)


@pytest.mark.parametrize(
    # An uncertain 5 may be dirt (0.8 of what it leaves open), but is rather a 5 than
    # any of the 37 other signs.
    ("certain", "weight"),
    [(0.999, READ_TWICE_IN_ONE), (0.4, 0.8 * 0.6 / (0.4 * 38))],
)
def test_one_photo__a_certain_line_is_hardly_made_up(certain, weight):
    five = EvidenceLine((Slot((("5", certain),)),), "axial_down", False, False)
    photo = (*read("24", "11.5").lines, five)
    for seen in (
        Evidence(photo, one_photo=True),
        Evidence(read("5", "11.5", "24").lines, apart=(photo, read("TI").lines)),
    ):
        told = read_once(seen, TEXTS, np.ones(3))
        assert told[[0, 2]] == pytest.approx([1.0, 1.0])
        assert told[1] == pytest.approx(weight, rel=0.1)


def test_misread_character__takes_no_place():
    """A V read for the 2 of 24 leaves it to another line."""
    told = read_once(read("V", "24"), TEXTS, np.ones(3))
    assert told == pytest.approx([1.0, 1.0, 1.0])


@pytest.mark.parametrize(
    "evidence",
    [
        read("TI245115"),
        read("5", "11.5", apart=(read("5").lines,)),
        Evidence(parse_fragment("TI / 5 / 11.5"), typed=True),
    ],
)
def test_one_line_typed_or_unsure_how_photos_lie__says_nothing(evidence):
    assert read_once(evidence, TEXTS, np.ones(3)) == pytest.approx(np.ones(3))


def test_only_what_is_not_quite_unlikely_is_looked_at():
    fits = np.array([1.0, 1e-5, 1e-3])
    told = read_once(read("TI", "24", "5", "11.5"), TEXTS, fits)
    assert told == pytest.approx(fits)
