"""The sweep over all rings, against a plain sum over every way to lay a line."""

from dataclasses import replace
from unittest import mock

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ledger.rings.alphabet import (
    CODE,
    CONFUSION,
    N_SIGNS,
    TURNED,
    Classes,
    chances_of,
)
from ledger.rings.evidence import Evidence, EvidenceLine, Slot, parse_fragment
from ledger.rings.likelihood import begins, likelihoods
from ledger.rings.manner import BY_KEEPER, BY_PHOTO
from ledger.rings.pieces import LINE_EDGE, pieces_of
from ledger.rings.tracks import Row

SKIP = 0.02
READ_TWICE = 0.05


def fit(texts, evidence):
    row = Row()
    for text in texts:
        row.add(pieces_of(text))
    return likelihoods(row.laid(), Classes().rows, evidence)


def by_hand(text, signs):
    """Every way to lay certain signs, cut at both ends, on a text round a ring.

    Most readings show no place twice; a few do. The seam tells, but seldom misleads.
    """

    def either(seam):
        once = by_hand_within(text, signs, len(text), seam)
        twice = by_hand_within(text, signs, 2 * len(text), seam)
        return (1 - READ_TWICE) * once + READ_TWICE * twice

    mislead = BY_PHOTO.gaps_mislead
    told, untold = either(BY_PHOTO.no_gap_at_seam), either(1.0)
    return (1 - mislead) * told + mislead * untold


def by_hand_within(text, signs, most_places, no_gap_at_seam):
    doubt = BY_PHOTO.edge_doubt
    beliefs = [chances_of({sign: 1.0}, typed=False) for sign in signs]
    for at in (0, -1):
        beliefs[at] = (1 - doubt) * beliefs[at] + doubt / N_SIGNS
    track = text + text
    false = BY_PHOTO.false_slot  # wholly certain

    def emission(slot, place):
        seam = no_gap_at_seam if place == len(text) and slot else 1.0
        return beliefs[slot][CODE[track[place]]] * N_SIGNS * seam

    def rest(slot, place, end):
        if slot == len(signs):
            return 1.0
        total = false * rest(slot + 1, place, end)
        for missed in range(3):
            then = place + 1 + missed
            if then < min(end, len(track)):
                over_seam = place < len(text) <= then - 1
                skipped = SKIP**missed * (BY_PHOTO.other_line if over_seam else 1)
                ways = skipped * emission(slot, then)
                total += ways * rest(slot + 1, then, end)
        return total

    # The first may show nothing too; that two do not is too unlikely to be looked at.
    total = sum(
        none * emission(slot, start) * rest(slot + 1, start, start + most_places)
        for slot, none in ((0, 1.0), (1, false))
        for start in range(len(text))
    ) / len(text)
    stray = BY_PHOTO.stray_line / 100
    return (1 - stray) * total + stray


def certain(signs):
    slots = tuple(Slot(((sign, 1.0),)) for sign in signs)
    return Evidence((EvidenceLine(slots),))


@settings(max_examples=60, deadline=None)
@given(
    st.text("ABCE3479", min_size=2, max_size=7),
    st.text("ABCE3479", min_size=2, max_size=5),
)
def test_sweep_equals_the_plain_sum(text, signs):
    upright = replace(BY_PHOTO, upside_down=0.0)
    with mock.patch("ledger.rings.likelihood.BY_PHOTO", upright):
        got = fit([text], certain(signs))[0]
    assert got == pytest.approx(by_hand(text, signs))


def test_rows_of_chances_sum_to_one():
    for rows in CONFUSION.values():
        assert rows.sum(axis=1) == pytest.approx(1.0)
    assert TURNED.sum(axis=1).max() <= 1.0
    assert chances_of({"A": 0.6, "4": 0.3}, typed=False).sum() == pytest.approx(1.0)
    assert chances_of({}, typed=True) == pytest.approx(1 / N_SIGNS)


@given(st.integers(0, 12))
def test_where_a_reading_begins_does_not_matter(turn):
    text = "IETWK210042"
    turned = text[turn:] + text[:turn]
    first = fit(["IE TWK 21 0042"], certain(text[:6]))[0]
    other = fit([turned], certain(text[:6]))[0]
    # Only word gaps and the seam differ, and they weigh little.
    assert 0.05 < other / first < 20


def test_the_first_character_is_not_read_again_as_the_last():
    # Read in full, 2 last. That the ring says 2020 01X, X was missed and the 2 is the
    # first one seen again, once round, is no way to explain it.
    ours, other = fit(["2020012", "2020013"], certain("2020012"))
    assert ours > 1500 * other


def lines_of(*texts, sure=1.0):
    return Evidence(
        tuple(
            EvidenceLine(
                tuple(Slot(((sign, sure),)) for sign in text),
                "axial_down",
                cut_start=False,
                cut_end=False,
            )
            for text in texts
        )
    )


def test_a_line_is_not_read_on_in_the_next_one():
    # Its 2 is not the last of 2022, with the 0 behind it missed.
    texts = ["SHOD / 2022 / 258", "SHOD / 2022 / 058"]
    ours, other = fit(texts, lines_of("SHOD", "2022", "258"))
    assert ours > 1500 * other


def test_a_column_is_not_read_on_over_the_seam():
    # Its 6 is not the first of 6.0, with the 4 before it missed.
    texts = ["6.0 / VLB / 24 / 82156", "6.0 / VLB / 24 / 82154"]
    ours, other = fit(texts, lines_of("6.0", "VLB", "24", "82156", sure=0.998))
    assert ours > 5000 * other


def test_lines_begin_somewhere():
    row = Row()
    for text in ("AT PWZ / 22 0573", "SJG / 23 / 04 / 10.6", "PE 2021 68931"):
        row.add(pieces_of(text))
    tracks = row.laid()
    for weights in (BY_PHOTO.start_weights, BY_KEEPER.start_weights):
        chances = begins(tracks, np.asarray(weights))
        whole = np.add.reduceat(chances, tracks.track_at)[tracks.first_track]
        assert whole == pytest.approx(1.0)
        edges = tracks.starts == LINE_EDGE
        assert (chances[edges] > tracks.shares[edges])[tracks.shares[edges] > 0].all()


def test_a_lone_character_that_several_photos_show_is_hardly_made_up():
    texts = ["17 / 6 / DPTJ", "17 / 8 / DPTJ"]
    ours, other = fit(texts, lines_of("17", "6", "DPTJ", sure=0.998))
    again, yet_another = fit(texts, lines_of("17", "6", "DPTJ", sure=0.99999))
    assert again / yet_another > 2 * ours / other


def test_a_point_of_dirt_costs_less_than_a_character_of_dirt():
    texts = ["DNBI 2026 426"]
    whole, point, character = (
        fit(texts, certain(read))[0]
        for read in ("DNBI2026426", "DNBI2026.426", "DNBI2026X426")
    )
    assert whole > point > 10 * character


def test_missing_and_made_up_characters_cost_but_do_not_end_it():
    texts = ["IETWK210042", "QSAHB19771X"]
    whole, other = fit(texts, certain("IETWK210042"))
    missing, _ = fit(texts, certain("IETWK21042"))
    made_up, _ = fit(texts, certain("IETWK2170042"))
    assert other < missing < whole
    assert other < made_up < whole


def test_short_line_that_fits_nowhere_is_not_fatal():
    stray = EvidenceLine((Slot((("X", 0.4),)),))
    lines = (*certain("IETWK210042").lines, stray)
    ours, other = fit(["IETWK210042", "IETWK210043"], Evidence(lines))
    assert ours > 100 * other


def test_upside_down_reading_still_fits():
    # 0 6 8 9 H I N O S X Z turn into one another (common practice, no source).
    lines = parse_fragment("9600 NI")
    ours, other = fit(["IN 0096", "KB 4717"], Evidence(lines))
    assert ours > 100 * other


def test_many_texts_fit_as_each_does_alone():
    texts = [f"IE TWK {n % 40:02d} / {n:04d} 8.2" for n in range(1500)]
    evidence = Evidence(parse_fragment("TWK 3*70"), typed=True)
    # Whether an upside-down reading is worth a look depends on the best of all.
    upright = replace(BY_KEEPER, upside_down=0.0)
    with mock.patch("ledger.rings.likelihood.BY_KEEPER", upright):
        together = fit(texts, evidence)
        for n in (0, 1, 409, 410, 411, 733, 1470, 1499):
            assert together[n] == pytest.approx(fit([texts[n]], evidence)[0])
