"""How wrong the networks are: what training makes small."""

from __future__ import annotations

import torch
from torch.nn import functional


def character_loss(
    out: torch.Tensor, t: torch.Tensor
) -> tuple[torch.Tensor, torch.Tensor]:
    """Wrongness of the character network.

    Args:
        out: (N, 47, h, w) as `CharacterNet` gives it.
        t: (N, h, w, 8) as `targets.wide_strip` gives it.

    Returns:
        The whole loss, and the part of it that names characters.
    """
    heat, weight = t[..., 0], t[..., 7]
    p = torch.sigmoid(out[:, 0]).clamp(1e-4, 1 - 1e-4)
    peak = heat > 0.99
    # Focal loss: the many easy cells of the ground weigh little.
    focal = torch.where(
        peak,
        -torch.log(p) * (1 - p) ** 2,
        -torch.log(1 - p) * p**2 * (1 - heat) ** 4 * weight,
    )
    n = peak.sum().clamp(min=1)
    near = t[..., 6] > 0
    k = near.sum().clamp(min=1)
    cells = out.permute(0, 2, 3, 1)[near]
    box = functional.smooth_l1_loss(cells[:, 1:5], t[..., 1:5][near], reduction="sum")
    turn = functional.cross_entropy(
        cells[:, 5:9], t[..., 5][near].long(), reduction="sum"
    )
    label = functional.cross_entropy(
        cells[:, 9:47],
        t[..., 6][near].long() - 1,
        reduction="sum",
        label_smoothing=0.005,
    )
    named = label / k
    return focal.sum() / n + box / k + 0.5 * turn / k + 1.5 * named, named


def face_loss(out: torch.Tensor, t: torch.Tensor) -> tuple[torch.Tensor, torch.Tensor]:
    """Wrongness of the face network.

    Args:
        out: (N, 3, h, w) as `FaceNet` gives it.
        t: (N, h, w, 3) as `photos.sample` gives it.

    Returns:
        The whole loss, and the part of it that is about the axis.
    """
    face = t[..., 0]
    bce = functional.binary_cross_entropy_with_logits(out[:, 0], face)
    p = torch.sigmoid(out[:, 0])
    has = (face.sum((1, 2)) > 20).float()
    shared = 2 * (p * face).sum((1, 2)) + 1
    dice = 1 - shared / (p.sum((1, 2)) + face.sum((1, 2)) + 1)
    axis = ((out[:, 1:3] - t[..., 1:3].permute(0, 3, 1, 2)) ** 2).sum(1)
    axis = (axis * face).sum() / face.sum().clamp(min=1)
    return 2 * bce + (dice * has).mean() + 0.5 * axis, axis
