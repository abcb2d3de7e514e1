"""Hardly-characters at the ends of lines. Invented lines; the rule is our own."""

from __future__ import annotations

import pytest

from ocr.reading import Glyph, Line
from ocr.trim import (
    LEAST_AT_ALL,
    LEAST_AT_END,
    LEAST_AT_SIDE,
    LEAST_JOINED,
    LEAST_OBLIQUE,
    LONE_JOINED,
    OBLIQUE_DEG,
    SIDE_DEG,
    trimmed,
    trimmed_joined,
)


def a_line(*glyphs: tuple[str, float, float]) -> Line:
    return Line(tuple(Glyph(text, chance, phi_deg=phi) for text, chance, phi in glyphs))


def test_trimmed__drops_unlikely_ends_only() -> None:
    low = (LEAST_AT_ALL + LEAST_AT_END) / 2
    line = a_line(("3", low, -30), ("T", 0.9, -10), ("W", low, 0), ("K", 0.9, 10))
    assert [kept.text for kept in trimmed([line])] == ["TWK"]


def test_trimmed__asks_more_where_the_ring_turns_away() -> None:
    chance = (LEAST_AT_END + LEAST_OBLIQUE) / 2
    line = a_line(("T", 0.9, 0), ("W", chance, 20), ("K", chance, OBLIQUE_DEG + 1))
    assert [kept.text for kept in trimmed([line])] == ["TW"]


def test_trimmed__asks_most_at_the_very_side() -> None:
    chance = (LEAST_OBLIQUE + LEAST_AT_SIDE) / 2
    line = a_line(("T", 0.9, 0), ("W", 0.9, 20), ("K", chance, OBLIQUE_DEG + 1))
    assert [kept.text for kept in trimmed([line])] == ["TWK"]
    beside = a_line(("T", 0.9, 0), ("W", 0.9, 20), ("K", chance, SIDE_DEG + 1))
    assert [kept.text for kept in trimmed([beside])] == ["TW"]


def test_trimmed__leaves_a_gap_where_hardly_a_character_stood() -> None:
    low = LEAST_AT_ALL - 0.1
    line = a_line(("E", 0.9, -20), ("T", low, -10), ("G", 0.9, 0), ("I", 0.9, 10))
    assert [kept.text for kept in trimmed([line])] == ["E GI"]
    first = a_line(("T", low, -10), ("G", 0.9, 0), ("I", 0.9, 10))
    assert [kept.glyphs[0].gap_before for kept in trimmed([first])] == [False]


def test_trimmed__half_seen_may_be_another_but_is_no_empty_place() -> None:
    line = a_line(("T", 0.9, 0), ("K", 0.95, OBLIQUE_DEG))
    (kept,) = trimmed([line])
    facing, oblique = (dict(g.alternatives) for g in kept.glyphs)
    assert facing == {}
    assert sum(oblique.values()) == pytest.approx(0.95)
    assert kept.glyphs[1].probability == oblique["K"] == max(oblique.values())
    assert 0.85 < oblique["K"] < 0.92
    assert oblique["H"] == pytest.approx(oblique["7"])


def test_trimmed__an_empty_line_goes() -> None:
    assert trimmed([a_line(("X", 0.1, 0), ("R", 0.2, 5))]) == ()


def test_trimmed_joined__asks_more_wherever_it_stands() -> None:
    chance = (LEAST_AT_END + LEAST_JOINED) / 2
    line = a_line(("T", 0.9, 0), ("W", 0.9, 120), ("K", chance, 240))
    assert [kept.text for kept in trimmed_joined([line])] == ["TW"]


def test_trimmed_joined__asks_most_of_what_stands_alone() -> None:
    chance = (LEAST_JOINED + LONE_JOINED) / 2
    dirt, serial = a_line(("P", chance, 0), (".", 0.95, 5)), a_line(("6", 0.99, 60))
    word = a_line(("I", chance, 120), ("E", 0.9, 130))
    kept = trimmed_joined([dirt, serial, word])
    assert [line.text for line in kept] == ["6", "IE"]
