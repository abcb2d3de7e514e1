"""The reader's two networks, in PyTorch: one finds the ring, one its characters.

The names of the layers are the keys of the saved weights: renaming one makes
older weights unreadable.
"""

from __future__ import annotations

import torch
from torch import nn


def conv(i: int, o: int, s: int = 1, d: int = 1) -> nn.Sequential:
    """3 x 3 from `i` to `o` channels, stride `s`, dilation `d`; normed, rectified."""
    return nn.Sequential(
        nn.Conv2d(i, o, 3, s, d, d, bias=False),
        nn.BatchNorm2d(o),
        nn.ReLU(inplace=True),
    )


class Block(nn.Module):
    """Two convolutions added to what came in."""

    def __init__(self, c: int, d: int = 1) -> None:
        super().__init__()
        self.a = conv(c, c, 1, d)
        self.b = nn.Sequential(nn.Conv2d(c, c, 3, 1, 1, bias=False), nn.BatchNorm2d(c))

    def forward(self, x: torch.Tensor) -> torch.Tensor:
        """(N, c, h, w) to the same shape."""
        return torch.relu(x + self.b(self.a(x)))


class Merge(nn.Module):
    """Brings a coarse level up to a finer one."""

    def __init__(self, coarse: int, fine: int, out: int) -> None:
        super().__init__()
        self.c, self.f = nn.Conv2d(coarse, out, 1), nn.Conv2d(fine, out, 1)
        self.mix = conv(out, out)
        self.up = nn.Upsample(scale_factor=2, mode="nearest")

    def forward(self, coarse: torch.Tensor, fine: torch.Tensor) -> torch.Tensor:
        """(N, coarse, h, w) and (N, fine, 2h, 2w) to (N, out, 2h, 2w)."""
        return self.mix(self.up(self.c(coarse)) + self.f(fine))


class FaceNet(nn.Module):
    """Finds the ring: face logit, cos 2a and sin 2a of its axis, per two pixels."""

    def __init__(self, c: tuple[int, ...] = (16, 32, 64, 96, 128)) -> None:
        super().__init__()
        self.s = nn.ModuleList()
        last = 3
        for k in c:
            self.s.append(nn.Sequential(conv(last, k, 2), Block(k)))
            last = k
        self.deep = nn.Sequential(Block(c[4], 2), Block(c[4], 3))
        self.m = nn.ModuleList(
            [
                Merge(c[4], c[3], 96),
                Merge(96, c[2], 64),
                Merge(64, c[1], 48),
                Merge(48, c[0], 32),
            ]
        )
        self.out = nn.Sequential(conv(32, 32), nn.Conv2d(32, 3, 1))

    def forward(self, x: torch.Tensor) -> torch.Tensor:
        """(N, 3, H, W), H and W multiples of 32, to (N, 3, H/2, W/2)."""
        levels = []
        for s in self.s:
            x = s(x)
            levels.append(x)
        x = self.deep(levels[4])
        for m, fine in zip(self.m, levels[3::-1], strict=True):
            x = m(x, fine)
        return self.out(x)


class CharacterNet(nn.Module):
    """Finds and names characters, per four pixels.

    Channels: 0 centre logit, 1-2 log width and height over 16 pixels, 3-4 offset
    of the centre in cells, 5-8 turn logits, 9-46 class logits.
    """

    def __init__(self, classes: int = 38) -> None:
        super().__init__()
        self.stem = nn.Sequential(conv(3, 24, 2), conv(24, 32))
        self.l2 = nn.Sequential(conv(32, 64, 2), Block(64), Block(64))
        self.l3 = nn.Sequential(conv(64, 112, 2), *(Block(112) for _ in range(5)))
        self.l4 = nn.Sequential(
            conv(112, 160, 2), Block(160), Block(160, 2), Block(160)
        )
        self.m3, self.m2 = Merge(160, 112, 112), Merge(112, 64, 96)
        self.more = Block(96)
        self.where = nn.Sequential(conv(96, 64), nn.Conv2d(64, 9, 1))
        self.which = nn.Sequential(conv(96, 128), nn.Conv2d(128, classes, 1))

    def forward(self, x: torch.Tensor) -> torch.Tensor:
        """(N, 3, 128, W), W a multiple of 32, to (N, 47, 32, W/4)."""
        a = self.l2(self.stem(x))
        b = self.l3(a)
        c = self.l4(b)
        x = self.more(self.m2(self.m3(c, b), a))
        return torch.cat([self.where(x), self.which(x)], 1)


def go_on_from(net: nn.Module, weights: dict[str, torch.Tensor]) -> None:
    """Load weights, also of the same network with fewer blocks.

    Blocks that are new add nothing at first: the network answers as the smaller one.

    Raises:
        RuntimeError: the weights are of another network.
    """
    own = net.state_dict()
    missing = sorted(own.keys() - weights.keys())
    for name, part in net.named_modules():
        if isinstance(part, Block) and f"{name}.b.1.weight" in missing:
            nn.init.zeros_(part.b[1].weight)
            missing = [key for key in missing if not key.startswith(f"{name}.")]
    if missing:
        raise RuntimeError(f"These weights lack {', '.join(missing)}.")
    net.load_state_dict({**net.state_dict(), **weights})
