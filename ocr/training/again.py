"""A drawn batch shown once more, otherwise: drawing is slower than learning.

Pictures are (N, 3, H, W), (value - 127.5) / 64, as the networks see them.
"""

from __future__ import annotations

import torch
from torch.nn import functional

_BANDS = 12
"""Knots of a band of light along a strip."""


def relit(x: torch.Tensor) -> torch.Tensor:
    """The same pictures in another light: gain, tint, noise, at times a negative."""
    n = x.shape[0]

    def draw(*shape: int) -> torch.Tensor:
        return torch.randn(*shape, device=x.device)

    gain = torch.exp(0.2 * draw(n, 1, 1, 1) + 0.08 * draw(n, 3, 1, 1))
    x = x * gain + 0.25 * draw(n, 1, 1, 1)
    x = torch.where(_some(x, 0.1), -x, x)
    return x + 0.06 * torch.rand(n, 1, 1, 1, device=x.device) * draw(*x.shape)


def otherwise(x: torch.Tensor) -> torch.Tensor:
    """`relit` strips under a lamp, paler, softer, seen through another lens."""
    n, _, _, w = x.shape
    value = (x * 64 + 127.5).clamp(0, 255) / 255
    # Curves of the sensor.
    value = value ** torch.exp(0.25 * torch.randn(n, 1, 1, 1, device=x.device))
    # A lamp's bands, multiplied onto the metal; what is too bright is lost.
    knots = torch.randn(n, 1, _BANDS, device=x.device)
    band = functional.interpolate(knots, w, mode="linear", align_corners=True)
    strength = 0.4 * torch.rand(n, 1, 1, 1, device=x.device)
    lit = (value * torch.exp(band[:, :, None] * strength)).clamp(0, 1)
    value = torch.where(_some(x, 0.4), lit, value)
    # Less colour.
    grey = value.mean(1, keepdim=True)
    pale = torch.rand(n, 1, 1, 1, device=x.device)
    value = torch.where(_some(x, 0.3), value + (grey - value) * pale, value)
    value = torch.where(_some(x, 0.25), _softer(value), value)
    return relit((value * 255 - 127.5) / 64)


def turned(x: torch.Tensor, truth: torch.Tensor) -> tuple[torch.Tensor, torch.Tensor]:
    """Half of the strips by half a turn, with (N, h, w, 8) truth of `targets`."""
    other = truth.flip(1, 2)
    # Offsets of the centre point the other way, and the characters stand so.
    other[..., 3:5] *= -1
    other[..., 5] = torch.where(other[..., 6] > 0, (other[..., 5] + 2) % 4, 0)
    chosen = _some(x, 0.5)
    return torch.where(chosen, x.flip(2, 3), x), torch.where(chosen, other, truth)


def _some(x: torch.Tensor, share: float) -> torch.Tensor:
    """(N, 1, 1, 1) true for a share of the pictures."""
    return torch.rand(x.shape[0], 1, 1, 1, device=x.device) < share


def _softer(x: torch.Tensor) -> torch.Tensor:
    """Every picture blurred by its own lens, sigma up to 1.5 pixels."""
    n, c, h, w = x.shape
    away = torch.arange(-3, 4, device=x.device, dtype=x.dtype)
    sigma = 0.3 + 1.2 * torch.rand(n * c, 1, device=x.device).view(n, c)[:, :1]
    kernel = torch.exp(-0.5 * (away / sigma) ** 2)
    kernel = (kernel / kernel.sum(1, keepdim=True)).repeat_interleave(c, 0)
    flat = functional.pad(x.reshape(1, n * c, h, w), (3, 3, 3, 3), "replicate")
    flat = functional.conv2d(flat, kernel[:, None, None], groups=n * c)
    flat = functional.conv2d(flat, kernel[:, None, :, None], groups=n * c)
    return flat.view(n, c, h, w)
