"""What counts as right; every figure worked by hand."""

from __future__ import annotations

import json

import pytest

from ocr import score, scorecard
from ocr.measure import Card, claims_of, is_held, parts_of_claims
from ocr.reading import Glyph, Line, PhotoReading
from ocr.scorecard import as_json, as_text, main, reliability


@pytest.mark.parametrize(
    ("truth", "read", "wrong"),
    [
        ("KITTEN", "SITTING", 3),  # Levenshtein's own example is 3
        ("ABC", "ABC", 0),
        ("ABC", "", 3),
        ("", "AB", 2),
    ],
)
def test_edits(truth, read, wrong):
    assert score.edits(truth, read) == wrong


def test_two_more_at_either_end__cost_nothing():
    assert score.line_errors("BC24", "XYBC24ZW") == 0
    assert score.line_errors("BC24", "XYXBC24") == 1


def test_oh_and_zero_eye_and_one__are_equal():
    assert score.photo_errors(["OI 2"], ["01-2"]) == (0, 3)


def test_lines_are_paired_for_the_best_sum__a_missing_line_is_all_wrong():
    assert score.photo_errors(["TWK", "2024"], ["2024", "TWX"]) == (1, 7)
    assert score.photo_errors(["TWK", "2024"], ["TWK"]) == (4, 7)


def test_inscription__a_line_round_the_ring_may_start_anywhere():
    truth = [{"text": "TWK 24", "direction": "around"}]
    assert score.inscription_right(truth, ["24 TWK"])
    assert not score.inscription_right(truth, ["24 TKW"])


def test_inscription__a_column_has_its_start():
    truth = [{"text": "PL", "direction": "axial_up"}]
    assert score.inscription_right(truth, ["PL"])
    assert not score.inscription_right([*truth, truth[0]], ["PL"])


def test_overlap__half_shifted_square_is_a_third():
    square = [[10, 10], [29, 10]], [[10, 29], [29, 29]]
    outline = {"top_arc": square[0], "bottom_arc": square[1]}
    photo = {"width": 60, "height": 60, "outline": outline}
    shifted = [(20, 10), (39, 10), (39, 29), (20, 29)]
    assert score.overlap([(10, 10), (29, 10), (29, 29), (10, 29)], photo) == 1.0
    assert score.overlap(shifted, photo) == pytest.approx(1 / 3)


def test_held_rings__are_a_third():
    assert [n for n in range(9) if is_held(f"r{n:02}")] == [2, 5, 8]


def test_claims__each_character_against_the_one_at_its_place():
    seen = [{"ch": c, "phi_rel": 15.0 * n} for n, c in enumerate("TWK24", -2)]
    glyphs = tuple(
        Glyph(c, p, phi_deg=15.0 * n + 3)
        for n, (c, p) in enumerate(zip("TWX24", (0.9, 0.8, 0.6, 1, 1), strict=True), -2)
    )
    made_up = Glyph("8", 0.3, phi_deg=50)
    read = PhotoReading("a.jpg", True, lines=(Line((*glyphs, made_up)),))
    claims = sorted(claims_of({"visible_chars": seen}, read))
    right = [(0.8, True), (0.9, True), (1, True), (1, True)]
    assert claims == [(0.3, False), (0.6, False), *right]


@pytest.mark.parametrize(
    ("read", "right"), [("TWK24", [True] * 5), ("TWX", [True, True, False])]
)
def test_claims__right_in_order_where_angles_are_off(read, right):
    # A side taken wrongly squeezes all angles; what was read is right all the same.
    seen = [
        {"ch": c, "phi_rel": 25.0 * n, "line": 0, "idx": n}
        for n, c in enumerate("TWK24")
    ]
    line = Line(tuple(Glyph(c, 0.9, phi_deg=-50 + 8 * n) for n, c in enumerate(read)))
    claims = claims_of(
        {"visible_chars": seen}, PhotoReading("a.jpg", True, lines=(line,))
    )
    assert [ok for _, ok in claims] == right


def test_claims__of_presence_and_of_naming():
    seen = [{"ch": "8", "phi_rel": 0.0}]
    glyphs = (
        Glyph("B", 0.6, alternatives=(("B", 0.6), ("8", 0.2)), phi_deg=2),
        Glyph("7", 0.3, alternatives=(("7", 0.3),), phi_deg=40),
    )
    read = PhotoReading("a.jpg", True, lines=(Line(glyphs),))
    presence, naming = parts_of_claims({"visible_chars": seen}, read)
    assert presence == [(pytest.approx(0.8), True), (0.3, False)]
    assert naming == [(pytest.approx(0.75), False)]


def test_claims__one_letter_of_many_is_no_order():
    seen = [{"ch": "T", "phi_rel": 10.0, "line": 0, "idx": 0}]
    line = Line(tuple(Glyph(c, 0.9, phi_deg=-40 + 9 * n) for n, c in enumerate("TWK")))
    read = PhotoReading("a.jpg", True, lines=(line,))
    assert not any(ok for _, ok in claims_of({"visible_chars": seen}, read))


def test_calibrate__on_several_folders_without_the_older_curve(
    tmp_path, monkeypatch, capsys
):
    kept = []
    monkeypatch.setattr(
        scorecard.calibration, "keep_curves", lambda *curves: kept.append(curves)
    )
    cards = {
        "a": Card(presence=[(0.9, True)], naming=[(0.8, True)]),
        "b": Card(presence=[(0.4, False)]),
    }
    for name in cards:
        (tmp_path / name).mkdir()
        (tmp_path / name / "truth.json").write_text("{}")
    split = []

    def measured(folder, **asked):
        split.append(asked["split"])
        return cards[folder.name], {}

    monkeypatch.setattr(scorecard, "measure", measured)
    folders = [str(tmp_path / name) for name in cards]
    assert main([*folders, "--calibrate", "--json"]) == 0
    assert kept == [([], []), ([(0.9, True), (0.4, False)], [(0.8, True)])]
    assert split == ["tuned", "tuned"]
    assert list(json.loads(capsys.readouterr().out)) == folders


def test_reliability__shares_by_chance():
    (low, high) = reliability([(0.6, True), (0.6, False), (0.9, True)])
    assert (low["characters"], low["right"]) == (2, 0.5)
    assert (high["claimed"], high["right"]) == (0.9, 1.0)


def test_empty_card__is_printed_without_figures():
    assert "no ring: 0 photos" in as_text(Card())
    assert as_json(Card())["groups"] == {}


def test_folder_without_truth__says_so(tmp_path, capsys):
    assert main([str(tmp_path)]) == 2
    assert "holds no truth.json" in capsys.readouterr().err
