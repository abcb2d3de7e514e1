"""What a keeper types, as evidence."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.rings.evidence import parse_fragment


def test_marks_for_what_was_not_read():
    (line,) = parse_fragment("QSA ?4 01*")
    assert line.text == "QSA ?4 01"
    assert line.slots[3].chances == ()
    assert [slot.gap_before for slot in line.slots] == [
        False, False, False, True, False, True, False,
    ]  # fmt: skip
    assert (line.cut_start, line.cut_end) == (False, True)


def test_run_in_the_middle_and_at_the_start():
    (line,) = parse_fragment("*TWK*42")
    assert line.cut_start
    assert [slot.run_before for slot in line.slots] == [False] * 3 + [True, False]


@pytest.mark.parametrize(
    ("typed", "lines"),
    [
        ("qsa 24 / 0173", ["QSA 24", "0173"]),
        ("8,2 mm", ["8.2 MM"]),
        ("häb-1", ["HAB-1"]),
        ("", []),
        (" / ", []),
        ("??*", []),
        ("[b]12[/b]", ["B 12", "B"]),
    ],
)
def test_lines(typed, lines):
    assert [line.text for line in parse_fragment(typed)] == lines


@given(st.text(max_size=40))
def test_any_text_is_taken(typed):
    for line in parse_fragment(typed):
        assert line.slots
