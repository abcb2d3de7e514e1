"""Two readers combined. Expected chances are worked by hand with Bayes' rule."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest
from drawn_ring import SHEET, chances, row
from hypothesis import given
from hypothesis import strategies as st

from ocr.calibration import (
    Calibration,
    calibrated,
    curve_of,
    keep_curves,
    load,
    measured,
)
from ocr.characters import ALPHABET
from ocr.doubts import doubts_of_lines, ordinal
from ocr.lines import group
from ocr.vote import NETWORK, TESSERACT, Said, aligned, combine, with_vote

PLAIN = Calibration()


def line_of(text):
    (line,) = group(row(text, 60, 48), SHEET).lines
    return line


def said(text, start=0.3, pitch=26 / 30):
    return [Said(c, 0.9, start + i * pitch) for i, c in enumerate(text)]


def test_agreement_raises__disagreement_lowers():
    line = line_of("AB8")
    alone = combine(line, [], SHEET, PLAIN).glyphs[2].probability
    agreed = combine(line, [said("AB8")] * 3, SHEET, PLAIN).glyphs[2].probability
    against = combine(line, [said("ABB")] * 3, SHEET, PLAIN).glyphs[2].probability
    assert against < alone < agreed


def test_votes_of_both_readers__are_kept():
    glyph = combine(line_of("AB8"), [said("ABB")] * 3, SHEET, PLAIN).glyphs[2]
    assert dict(glyph.votes) == {NETWORK: "8", TESSERACT: "B"}


def test_vote_by_bayes__worked_by_hand():
    # Two candidates at 0.6 and 0.4; a voter right 8 times in 10 names the second.
    # Else it names each of the other 37 characters equally often.
    # 0.4 * 0.8 = 0.32 against 0.6 * 0.2 / 37 = 0.003243; 0.32 / 0.323243 = 0.98997.
    prior = np.zeros(len(ALPHABET))
    prior[ALPHABET.index("8")], prior[ALPHABET.index("B")] = 0.6, 0.4
    after = with_vote(prior, "B", right=0.8, weight=1.0)
    assert after[ALPHABET.index("B")] == pytest.approx(0.98997, abs=1e-5)
    assert after.sum() == pytest.approx(1.0)


def test_vote_for_zero__does_not_decide_between_zero_and_oh():
    prior = np.zeros(len(ALPHABET))
    prior[ALPHABET.index("0")], prior[ALPHABET.index("O")] = 0.5, 0.5
    after = with_vote(prior, "0", right=0.9, weight=1.0)
    assert after[ALPHABET.index("0")] == pytest.approx(after[ALPHABET.index("O")])


@given(
    st.lists(st.floats(0.0, 1.0), min_size=38, max_size=38).filter(
        lambda v: sum(v) > 0
    ),
    st.sampled_from("ABCXYZ0123456789"),
    st.floats(0.05, 0.99),
    st.floats(0.1, 1.0),
)
def test_vote__chances_stay_chances(values, voted, right, weight):
    prior = np.array(values) / max(sum(values), 1.0)
    after = with_vote(prior, voted, right, weight)
    assert (after >= 0).all()
    assert after.sum() <= 1 + 1e-9


def test_alignment__tesseract_missing_and_adding_a_character():
    network = [chances(c).astype(float) for c in "ABCD"]
    places = [0.3, 1.2, 2.1, 3.0]
    heard = [Said("A", 0.9, 0.3), Said("C", 0.9, 2.1), Said("7", 0.3, 2.5)]
    heard.append(Said("D", 0.9, 3.0))
    pairs = [(i, c.text) for i, c in aligned(network, places, heard)]
    assert pairs == [(0, "A"), (2, "C"), (3, "D")]


def test_temperature_above_one__flattens_and_keeps_the_order():
    flat = dataclasses.replace(PLAIN, temperature=2.0).sharpened(chances("K"))
    assert flat.argmax() == ALPHABET.index("K")
    assert flat.max() < chances("K").max()
    assert flat.sum() == pytest.approx(1.0, abs=1e-5)


def test_curve__a_boaster_is_brought_down():
    # 60 claims of 0.95 of which 42 were right: (42 + 2 * 0.95) / (60 + 2) = 0.71.
    curve = curve_of([(0.95, i < 42) for i in range(60)], bins=1)
    assert curve == ((0.95, pytest.approx(0.7081, abs=1e-4)),)
    whole = ((0.0, 0.0), *curve, (1.0, 0.99))
    worth = calibrated(chances("K", 0.95).astype(float), whole)
    assert worth.max() == pytest.approx(0.7081, abs=1e-4)
    assert worth.sum() <= 1 + 1e-9


def test_curve__equal_claims_are_measured_together_and_none_is_boundless():
    claims = [(1.0, i % 100 != 0) for i in range(300)] + [(0.9, True)] * 100
    # 397 of 400 right, with two more at the mean claim: none of them stands out.
    (only,) = curve_of(claims)
    assert only == (0.975, pytest.approx((397 + 2 * 0.975) / 402, abs=1e-4))
    assert curve_of([(0.9, True)] * 9000) == ((0.9, 0.9993),)


def test_curve__no_claims_is_no_curve():
    assert curve_of([]) == ()


@given(st.lists(st.tuples(st.floats(0, 1), st.booleans()), min_size=3, max_size=80))
def test_curve__never_falls(claims):
    rights = [right for _, right in curve_of(claims)]
    assert rights == sorted(rights)


def test_no_file__every_chance_stays(tmp_path):
    assert load(tmp_path / "none.json") == Calibration()


def test_kept_figures__are_read_back(tmp_path):
    path = tmp_path / "calibration.json"
    path.write_text('{"temperature": 1.5, "naming": [[0.5, 0.4]], "later": 1}')
    assert load(path).temperature == 1.5
    assert measured(load(path).naming, 0.5) == 0.4
    assert measured(load(path).presence, 0.5) == 0.5


def test_curves__are_kept_beside_what_was_there(tmp_path):
    path = tmp_path / "calibration.json"
    path.write_text('{"temperature": 1.5}')
    keep_curves([(0.9, True)] * 30, [(0.8, True)] * 30, path)
    kept = load(path)
    assert kept.temperature == 1.5
    assert (kept.presence[0][0], kept.naming[0][0]) == (0.9, 0.8)


def test_hardly_seen_and_certainly_named__each_by_its_own_curve():
    # Hard to see, and nothing else: a 7 under a feather.
    figures = dataclasses.replace(
        PLAIN, presence=((0.6, 0.9), (1.0, 1.0)), naming=((0.9, 0.5), (1.0, 0.99))
    )
    (raw,) = line_of("7").glyphs
    seen = dataclasses.replace(raw, score=0.6, probabilities=chances("7", 1.0))
    line = dataclasses.replace(line_of("7"), glyphs=(seen,))
    (glyph,) = combine(line, [], SHEET, figures).glyphs
    assert glyph.probability == pytest.approx(0.99 * 0.9, abs=1e-3)


def test_doubt__says_which_character_and_what_it_may_be():
    line = combine(line_of("AB8"), [said("ABB")] * 3, SHEET, PLAIN)
    (doubt,) = doubts_of_lines([line])
    assert doubt in ("The third character: B or 8.", "The third character: 8 or B.")


def test_doubt__names_the_line_where_there_are_several():
    line = combine(line_of("AB8"), [said("ABB")] * 3, SHEET, PLAIN)
    sure = combine(line_of("TWK"), [said("TWK")] * 3, SHEET, PLAIN)
    (doubt,) = doubts_of_lines([sure, line])
    assert doubt.startswith("The third character of line 2: ")


def test_sure_characters__raise_no_doubt():
    line = combine(line_of("TWK"), [said("TWK")] * 3, SHEET, PLAIN)
    assert doubts_of_lines([line]) == ()


def test_ordinal__past_the_words():
    assert (ordinal(1), ordinal(16), ordinal(17)) == ("first", "sixteenth", "17th")
