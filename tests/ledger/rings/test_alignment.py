"""A reading laid on the ring it shows. Invented rings; the rules are our own."""

import pytest
from columns import read

from ledger.rings.alignment import align
from ledger.rings.evidence import Evidence, EvidenceLine, Slot


def column(*slots):
    line = tuple(Slot(((sign, chance),)) for sign, chance in slots)
    return Evidence((EvidenceLine(line, "axial_up", False, False),))


@pytest.mark.parametrize(
    ("lines", "text", "places"),
    [
        (("2024", "4"), "2024 / WZ / 4", [[0, 1, 2, 3], [6]]),
        (("4", "2024"), "2024 / WZ / 4", [[6], [0, 1, 2, 3]]),
        (("16", "6"), "PK / 16 / 6", [[2, 3], [4]]),
        # The ring has no other 4: photos joined wrongly show it twice.
        (("2024", "4"), "2024 / WZ / 5", [[0, 1, 2, 3], [3]]),
    ],
)
def test_line_lies_where_no_longer_one_does(lines, text, places):
    laid = align(read(*lines), text)
    assert [[one.at for one in line] for line in laid.lines] == places


@pytest.mark.parametrize(
    ("read_as", "at"),
    [
        ("75865", [None, 0, 1, 2, 3]),
        ("58657", [0, 1, 2, 3, None]),
        ("715865", [None, None, 0, 1, 2, 3]),
        ("5865", [0, 1, 2, 3]),
    ],
)
def test_dirt_before_or_after_a_line__shows_nothing(read_as, at):
    (line,) = align(column(*((s, 0.99) for s in read_as)), "5865 / IM / 29").lines
    assert [one.at for one in line] == at
