"""Lines in their order round the ring. Invented rings; the rule is our own."""

import numpy as np
import pytest
from columns import read

from ledger.rings.evidence import Evidence, parse_fragment
from ledger.rings.line_order import OTHER_ORDER, as_recorded, in_order

JUMPED = OTHER_ORDER / 5 / (1 - OTHER_ORDER)
"""Four lines can stand round a ring in six orders."""
TEXTS = ["SJG / 23 / 04 / 10.6", "SJG / 04 / 23 / 10.6"]


@pytest.mark.parametrize("turn", range(4))
def test_order_as_read__wherever_it_begins(turn):
    lines = ["SJG", "23", "04", "10.6"]
    evidence = read(*lines[turn:], *lines[:turn])
    told = in_order(evidence, TEXTS, np.ones(2))
    assert told == pytest.approx([1.0, JUMPED])


@pytest.mark.parametrize(
    "evidence",
    [
        read("SJG", "23"),
        read("23", "SJG", "04", apart=(read("23").lines,)),
        Evidence(parse_fragment("SJG / 23 / 04"), typed=True),
    ],
)
def test_order_unknown__says_nothing(evidence):
    assert in_order(evidence, TEXTS, np.ones(2)) == pytest.approx([1.0, 1.0])


def test_no_record_in_this_order__is_rather_none_of_them():
    told = in_order(read("SJG", "10.6", "23", "04"), TEXTS, np.array([1.0, 0.5]))
    assert told == pytest.approx([JUMPED, 0.5 * JUMPED])


def test_only_what_is_nearly_as_likely_is_told_apart():
    told = in_order(read("SJG", "04", "23", "10.6"), TEXTS, np.array([1.0, 0.001]))
    assert told == pytest.approx([JUMPED, 0.001])


def test_three_lines__may_jump_in_one_way_only():
    told = in_order(read("SJG", "23", "04"), TEXTS, np.ones(2))
    assert told == pytest.approx([1.0, OTHER_ORDER / (1 - OTHER_ORDER)])


def test_photos_that_may_lie_otherwise__each_tells_its_own_order():
    views = (read("23", "04", "10.6").lines, read("SJG").lines)
    evidence = read("SJG", "23", "04", "10.6", apart=views)
    told = in_order(evidence, TEXTS, np.ones(2))
    assert told == pytest.approx([1.0, OTHER_ORDER / (1 - OTHER_ORDER)])
    assert as_recorded(evidence, TEXTS[0])
    assert not as_recorded(evidence, TEXTS[1])
