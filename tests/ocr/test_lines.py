"""Characters into lines. Layouts are invented; expected lines follow from them."""

from __future__ import annotations

import dataclasses
import random

import numpy as np
import pytest
from drawn_ring import SHEET, chances, column, half_turned, raw, row

from ocr.characters import ALPHABET
from ocr.glyphs import reread
from ocr.lines import group, merge_duplicates


def texts(layout):
    return [
        "".join(
            (" " if gap else "") + ALPHABET[int(g.probabilities.argmax())]
            for g, gap in zip(line.glyphs, line.gaps, strict=True)
        )
        for line in layout.lines
    ]


def test_one_row__words_parted_by_the_wide_gap():
    assert texts(group(row("GKC 24", 60, 48), SHEET)) == ["GKC 24"]


def test_wide_letter_spacing__is_no_word_gap():
    assert texts(group(row("ABD7", 60, 48, pitch=45), SHEET)) == ["ABD7"]


def test_two_rows__read_from_the_top():
    found = row("2024 7", 70, 70) + row("TWK", 80, 25)
    assert texts(group(found, SHEET)) == ["TWK", "2024 7"]


def test_columns_read_upward__from_left_to_right():
    found = column("19", 220, down=False) + column("PL", 150, down=False)
    layout = group(found, SHEET)
    assert texts(layout) == ["PL", "19"]
    assert {line.direction for line in layout.lines} == {"axial_up"}


def test_columns_read_downward__from_right_to_left():
    found = column("SJG", 80, down=True) + column("23", 190, down=True)
    layout = group(found, SHEET)
    assert texts(layout) == ["23", "SJG"]
    assert {line.direction for line in layout.lines} == {"axial_down"}


def test_mixed_ring__columns_part_the_row():
    found = row("OU", 40, 48) + column("R6", 150, down=True) + row("K8", 210, 48)
    assert texts(group(found, SHEET)) == ["OU", "R6", "K8"]


LAYOUTS = {
    "row": row("GKC 24", 60, 48),
    "rows": row("TWK", 80, 25) + row("2024 7", 70, 70),
    "mixed": row("EU", 40, 48) + column("R6", 150, down=True) + row("K4", 210, 48),
}


@pytest.mark.parametrize("name", LAYOUTS)
def test_upside_down_strip__reads_the_same(name):
    upright = group(LAYOUTS[name], SHEET)
    turned = group(half_turned(LAYOUTS[name]), SHEET)
    assert texts(turned) == texts(upright)
    assert turned.turned
    assert not upright.turned


@pytest.mark.parametrize("name", LAYOUTS)
def test_order_in_which_characters_were_found__does_not_matter(name):
    shuffled = list(LAYOUTS[name])
    random.Random(5).shuffle(shuffled)
    assert texts(group(shuffled, SHEET)) == texts(group(LAYOUTS[name], SHEET))


def test_symmetric_text_alone__tells_little_about_which_way_up():
    told = group(row("EKT", 60, 48), SHEET).upright_chance
    untold = group(row("808", 60, 48), SHEET).upright_chance
    assert untold < 0.65 < 0.95 < told


def test_full_stop__stands_at_the_foot_of_its_line():
    # The other characters read alike both ways up; where the network was misled by
    # one of them, the stop still tells.
    stop = raw(".", 86, 60, w=5, h=5)
    found = [*row("8", 66, 48), stop, *row("0", 106, 48), *row("HO", 180, 48)]
    found = [dataclasses.replace(g, turn=180 if g is not stop else 0) for g in found]
    upright = group(found, SHEET)
    assert not upright.turned
    assert texts(upright) == ["8.0 HO"]
    turned = group(half_turned(found), SHEET)
    assert turned.turned
    assert texts(turned) == ["8.0 HO"]


@pytest.mark.parametrize("down", [True, False])
def test_full_stop_in_a_column__tells_where_its_foot_is(down):
    found = [*column("8", 150, down=down), *column("0", 150, down=down)]
    found = [dataclasses.replace(g, y=y) for g, y in zip(found, (26, 70), strict=True)]
    foot = -13 if down else 13
    stop = raw(".", 150 + foot, 48, w=5, h=5, turn=90)
    misled = [dataclasses.replace(g, turn=90 if down else 270) for g in found]
    (line,) = group([*misled, stop], SHEET).lines
    assert line.direction == ("axial_down" if down else "axial_up")


def test_six_seen_upside_down_in_an_upright_line__is_a_nine():
    found = [*row("AKT", 60, 48), raw("6", 138, 48, turn=180)]
    assert texts(group(found, SHEET)) == ["AKT9"]


def test_zed_seen_upright_in_a_column__is_an_en():
    found = [*column("EK", 150, down=False, pitch=24), raw("Z", 150, 12, w=26, h=15)]
    layout = group(found, SHEET)
    assert texts(layout) == ["EKN"]


def test_reread__half_turn_twice_is_no_turn_for_shapes_that_carry_over():
    for character in "69MWHINOSXZ08":
        once = reread(chances(character), 180, 0)
        assert reread(once, 180, 0).argmax() == chances(character).argmax()


def test_two_detections_on_one_place__become_alternatives():
    found = merge_duplicates(
        [raw("8", 100, 48, score=0.9), raw("B", 101, 48, score=0.6)]
    )
    assert len(found) == 1
    likely = found[0].probabilities
    assert likely[ALPHABET.index("8")] > likely[ALPHABET.index("B")] > 0.3


def test_lone_weak_mark__is_no_line():
    assert group([raw("I", 200, 40, score=0.4)], SHEET).lines == ()


def test_full_stop_on_the_base_line__belongs_to_its_row():
    stop = raw(".", 119, 60, w=6, h=6)
    found = [*row("11", 60, 48), stop, *row("3", 138, 48)]
    assert texts(group(found, SHEET)) == ["11.3"]


def test_lone_full_stop__is_dirt():
    assert texts(group([*row("AB", 60, 48), raw(".", 260, 10, w=6, h=6)], SHEET)) == [
        "AB"
    ]


def test_line_that_reaches_the_edge__is_cut_there_and_only_there():
    (line,) = group(row("ABCD", 30, 48), SHEET).lines
    assert line.cut_start
    assert not line.cut_end


def doubtful(character, twin, x, *, half_turn, turn=0):
    """Seen as one, and by the doubt about its turn as its twin."""
    seen = raw(character, x, 48, turn=turn)
    both = np.zeros_like(seen.probabilities)
    both[ALPHABET.index(character)] = 1 - half_turn
    both[ALPHABET.index(twin)] = half_turn
    return dataclasses.replace(seen, probabilities=both, half_turn=half_turn)


@pytest.mark.parametrize(("seen", "twin"), [("6", "9"), ("W", "M")])
def test_turn_told_by_others__a_twin_on_its_head_is_out(seen, twin):
    layout = group([*row("TK", 40, 48), doubtful(seen, twin, 92, half_turn=0.2)], SHEET)
    last = layout.lines[0].glyphs[-1]
    assert ALPHABET[int(last.probabilities.argmax())] == seen
    assert float(last.probabilities.max()) > 0.99


def test_turn_told_by_none__a_twin_stays_possible():
    found = [doubtful("6", "9", x, half_turn=0.2) for x in (40, 66, 92)]
    for glyph in group(found, SHEET).lines[0].glyphs:
        assert 0.7 < float(glyph.probabilities.max()) < 0.9


def test_turn_told_by_others__what_was_seen_on_its_head_is_its_twin_for_certain():
    other = doubtful("9", "6", 92, half_turn=0.3, turn=180)
    last = group([*row("TK", 40, 48), other], SHEET).lines[0].glyphs[-1]
    assert ALPHABET[int(last.probabilities.argmax())] == "6"
    assert float(last.probabilities.max()) > 0.99
