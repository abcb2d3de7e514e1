"""Drawn light and wear, and batches shown again: does the truth stay true?

Invented strips; the rules are our own. What needs PyTorch runs where it is installed.
"""

from __future__ import annotations

import numpy as np
import pytest

from ocr.training import light, strips, wear
from ocr.training.sheet import HEIGHT, Mark

W = 200


def a_pair(rng) -> tuple[np.ndarray, np.ndarray]:
    plain = rng.uniform(60, 120, (HEIGHT, W, 3)).astype(np.float32)
    marked = plain.copy()
    marked[40:90, 50:150] = 10
    return plain, marked


def test_shown__a_polished_ring_mirrors_its_own_column() -> None:
    row = np.random.default_rng(1).random((W, 3)).astype(np.float32)
    columns = np.repeat(np.arange(W, dtype=np.float32)[None], HEIGHT, 0)
    assert light.shown(row, columns) == pytest.approx(
        np.broadcast_to(row, (HEIGHT, W, 3)), abs=1e-5
    )
    beyond = light.shown(row, columns + 30)
    assert beyond[0, :170] == pytest.approx(row[30:], abs=1e-5)
    assert beyond[5, 180] == pytest.approx(row[-10], abs=1e-5)


def test_seen_from__brushed_metal_mirrors_what_is_near() -> None:
    ragged = 0
    for seed in range(30):
        columns = light.seen_from(np.random.default_rng(seed), W)
        off = columns - np.arange(W)
        assert columns.shape == (HEIGHT, W)
        assert np.abs(off).mean() < 0.1 * W
        ragged += bool(np.abs(off).max() > 0)
    assert 10 < ragged < 25


def test_faded__takes_text_away_and_nothing_else() -> None:
    worn = 0
    for seed in range(24):
        rng = np.random.default_rng(seed)
        pair = a_pair(rng)
        (plain, marked), left = wear.faded(rng, pair)
        assert plain is pair[0]
        assert 0 <= left.min() <= left.max() <= 1
        was = np.abs(pair[1] - plain)
        assert np.allclose(np.abs(marked - plain), was * left[..., None], atol=1e-3)
        worn += bool(left.min() < 0.5)
    assert 2 < worn < 14


def test_feathered__covers_both_strips_alike() -> None:
    hung = 0
    for seed in range(60):
        rng = np.random.default_rng(seed)
        pair = a_pair(rng)
        (plain, marked), cover = wear.feathered(rng, pair)
        free = cover == 0
        assert np.array_equal(marked[free], pair[1][free])
        assert np.allclose(marked[cover == 1], plain[cover == 1])
        hung += bool(cover.any())
    assert 1 < hung < 15


@pytest.mark.parametrize(
    ("left", "clutter", "seen"),
    [(1.0, 0.0, True), (0.4, 0.0, False), (1.0, 80.0, False)],
)
def test_strip__what_cannot_be_read_is_not_asked_for(left, clutter, seen) -> None:
    mark = Mark(3, 100.0, 64.0, 30.0, 50.0, 0, True)
    strokes = np.full((HEIGHT, W), 40, np.float32)
    away = np.dstack([strokes, np.full_like(strokes, clutter)])
    over = np.dstack([0 * strokes, strokes, strokes * np.float32(left)])
    strips._judge(mark, away, over, 1.0, 1.0)
    assert (mark.label, mark.seen) == (3, seen)


def test_turned__is_the_truth_of_the_strip_laid_the_other_way() -> None:
    torch = pytest.importorskip("torch")
    from ocr.training import again, targets

    truths = []
    for x, y, turn in ((40.3, 70.9, 90), (87.7, 29.2, 0)):
        pair = []
        for mark in (
            Mark(11, x, y, 20, 40, turn, True),
            Mark(11, 159 - x, HEIGHT - 1 - y, 20, 40, turn + 180, True),
        ):
            truth = np.zeros((HEIGHT // 4, 40, 8), np.float32)
            targets.draw(truth, [mark], 0)
            pair.append(truth)
        truths.append(pair)
    asked = torch.tensor(np.array([pair[0] for pair in truths] * 20))
    pictures = torch.arange(160.0).repeat(40, 3, HEIGHT, 1)
    shown, got = again.turned(pictures, asked)
    turned = shown[:, 0, 0, 0] > 0
    assert 5 < int(turned.sum()) < 35
    for k in range(40):
        want = truths[k % 2][int(turned[k])]
        assert got[k].numpy() == pytest.approx(want, abs=1e-4)


def test_otherwise__keeps_shapes_and_bounds() -> None:
    torch = pytest.importorskip("torch")
    from ocr.training import again

    torch.manual_seed(1)
    pictures = (torch.rand(16, 3, HEIGHT, 96) * 255 - 127.5) / 64
    shown = again.otherwise(pictures)
    assert shown.shape == pictures.shape
    assert torch.isfinite(shown).all()
    assert float((shown - pictures).abs().mean()) > 0.05
