"""Feathers, hands and light about a drawn ring: does the truth stay true?

Invented pictures; the rules are our own. What needs PyTorch runs where it is installed.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from ocr.training import backdrop, photos, plumage, ring_scene

H, W = 256, 320
MIDDLE = np.array([160.0, 128.0])
SIZE = (50.0, 60.0)
"""Radius and height of the ring, pixels."""


def changed(before: np.ndarray, after: np.ndarray) -> np.ndarray:
    return np.abs(after - before).max(-1) > 1


@pytest.mark.parametrize("end", [1, -1])
def test_tuft__grows_at_its_rim_and_leaves_the_other_end(end: int) -> None:
    over = 0
    for seed in range(20):
        rng = np.random.default_rng(seed)
        plain = rng.uniform(60, 200, (H, W, 3)).astype(np.float32)
        axis = np.array([0.0, 1.0])
        rim = MIDDLE + axis * end * SIZE[1] / 2
        seen = plumage.tuft(rng, plain, rim, -end * axis, SIZE)
        assert seen.dtype == np.float32
        assert seen.shape == plain.shape
        assert np.isfinite(seen).all()
        rows, columns = np.nonzero(changed(plain, seen))
        assert abs(rows.mean() - rim[1]) < 1.6 * SIZE[0]
        assert abs(columns.mean() - rim[0]) < 2 * SIZE[0]
        on_ring = np.sign(rows - rim[1]) == -end
        over += bool(on_ring.mean() > 0.3)
    assert 5 < over < 20


def test_tufts__at_one_end_mostly() -> None:
    ends = []
    for seed in range(40):
        rng = np.random.default_rng(seed)
        plain = np.full((H, W, 3), 128, np.float32)
        seen = plumage.tufts(rng, plain, MIDDLE, np.array([1.0, 0.0]), (30.0, 160.0))
        touched = changed(plain, seen).any(0)
        ends.append((bool(touched[:100].any()), bool(touched[220:].any())))
    assert 0 < sum(both == (True, True) for both in ends) < 20
    assert sum(left for left, _ in ends) > 8
    assert sum(right for _, right in ends) > 8


def test_half_lit__one_side_in_another_light() -> None:
    x = np.linspace(-0.999, 0.999, 200, dtype=np.float32)[None]
    brighter = 0
    for seed in range(30):
        light = ring_scene._half_lit(np.random.default_rng(seed), x)[0]
        steps = np.diff(light)
        assert (steps >= -1e-6).all() or (steps <= 1e-6).all()
        assert 0.05 < light.min() <= light.max() < 4.1
        brighter += bool(light.max() > 1.01)
    assert 5 < brighter < 25


def test_lie__of_a_rectangle() -> None:
    a = math.radians(30)
    along, across = (
        np.array([math.cos(a), math.sin(a)]),
        np.array([-math.sin(a), math.cos(a)]),
    )
    corners = [(-20, -35), (20, -35), (20, 35), (-20, 35)]
    polygon = MIDDLE + np.array([along * u + across * v for u, v in corners])
    middle, axis, (radius, height) = photos._lie(polygon, -3.0 * along)
    assert middle == pytest.approx(MIDDLE)
    assert axis == pytest.approx(-along)
    assert (radius, height) == pytest.approx((35, 40))


def test_shaken__smears_and_keeps_the_light() -> None:
    picture = np.zeros((H, W, 3), np.float32)
    picture[128, 160] = 255
    for seed in range(10):
        seen = photos._shaken(np.random.default_rng(seed), picture)
        assert seen.sum() == pytest.approx(picture.sum(), rel=1e-3)
        assert seen.max() < 200
        rows, columns = np.nonzero(seen.max(-1) > 1)
        assert np.hypot(np.ptp(rows), np.ptp(columns)) < 13


def test_hand__covers_some_of_the_picture() -> None:
    parts = []
    for seed in range(12):
        rng = np.random.default_rng(seed)
        plain = np.full((H, W, 3), 300, np.float32)
        seen = backdrop._hand(rng, plain)
        assert np.isfinite(seen).all()
        parts.append(float(changed(plain, seen).mean()))
    assert max(parts) > 0.3
    assert min(parts) < 0.9


def test_go_on_from__new_blocks_add_nothing() -> None:
    torch = pytest.importorskip("torch")
    from ocr.training.networks import Block, CharacterNet, go_on_from

    torch.manual_seed(3)
    before = CharacterNet().eval()
    before.more = torch.nn.Identity()
    grown = CharacterNet()
    go_on_from(grown, before.state_dict())
    assert isinstance(grown.more, Block)
    x = torch.rand(1, 3, 128, 64)
    assert torch.equal(grown.eval()(x), before(x))


def test_go_on_from__weights_of_another_network() -> None:
    pytest.importorskip("torch")
    from ocr.training.networks import CharacterNet, FaceNet, go_on_from

    with pytest.raises(RuntimeError, match="stem"):
        go_on_from(CharacterNet(), FaceNet().state_dict())
