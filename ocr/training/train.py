"""Train one of the two networks; see RETRAIN.md for the runs that made them.

python -m ocr.training.train face|characters --atlas TABLE.npz --out DIR ...
"""

from __future__ import annotations

import argparse
import math
import time
from pathlib import Path
from typing import TYPE_CHECKING

import cv2
import numpy as np
import torch
from torch.utils.data import DataLoader, IterableDataset, get_worker_info

from ocr.training import photos, targets
from ocr.training.again import otherwise, relit, turned
from ocr.training.export import write
from ocr.training.glyph_table import GlyphTable
from ocr.training.losses import character_loss, face_loss
from ocr.training.networks import CharacterNet, FaceNet, go_on_from

if TYPE_CHECKING:
    from collections.abc import Iterator

    from torch import nn

    Pair = tuple[np.ndarray, np.ndarray]


class Drawn(IterableDataset):
    """Endless training pairs; each worker process draws its own."""

    def __init__(self, table: str, real: str | None, seed: int, *, face: bool) -> None:
        self.table, self.real, self.seed, self.face = table, real, seed, face

    def __iter__(self) -> Iterator[Pair]:
        cv2.setNumThreads(1)
        rng = np.random.default_rng([self.seed, get_worker_info().id])
        table = GlyphTable(self.table)
        real = photos.tuning_photos(self.real) if self.face and self.real else []
        while True:
            if self.face:
                yield photos.sample(rng, table, real)
            else:
                yield targets.wide_strip(rng, table)


def train(net: nn.Module, loader: Iterator, chosen: argparse.Namespace) -> int:
    """Train until the time is over; gives the number of steps.

    The learning rate rises over 200 steps and falls as a cosine to nothing.
    """
    device = next(net.parameters()).device
    wrongness = face_loss if chosen.which == "face" else character_loss
    optimiser = torch.optim.AdamW(net.parameters(), chosen.lr, weight_decay=1e-3)
    begun, step, shown, smooth = time.time(), 0, 0.0, None
    while (used := (time.time() - begun) / chosen.seconds) < 1:
        rate = min(1, step / 200) * (0.5 + 0.5 * math.cos(math.pi * used)) + 1e-3
        for group in optimiser.param_groups:
            group["lr"] = chosen.lr * rate
        # Drawing is slower than learning: each batch is seen a few times, otherwise.
        fresh = step % chosen.passes == 0
        if fresh:
            drawn, truth = next(loader)
            drawn = drawn.to(device, non_blocking=True).permute(0, 3, 1, 2).float()
            # Channels last: a third faster on a processor, no slower on a card.
            drawn = ((drawn - 127.5) / 64).to(memory_format=torch.channels_last)
            truth = truth.to(device)
        seen, asked = drawn, truth
        if not fresh and chosen.which == "face":
            seen = relit(drawn)
        elif not fresh:
            seen, asked = turned(otherwise(drawn), truth)
            seen = seen.contiguous(memory_format=torch.channels_last)
        with torch.autocast(device.type, torch.bfloat16):
            out = net(seen)
        loss, part = wrongness(out.float(), asked)
        optimiser.zero_grad()
        loss.backward()
        torch.nn.utils.clip_grad_norm_(net.parameters(), 5.0)
        optimiser.step()
        step += 1
        now = loss.item()
        smooth = now if smooth is None else 0.98 * smooth + 0.02 * now
        if time.time() - begun > shown + 30:
            shown = time.time() - begun
            so_far = f"{chosen.which} {shown:.0f}s step {step} loss {smooth:.4f}"
            print(f"{so_far} part {part.item():.4f}", flush=True)
    return step


def options() -> argparse.ArgumentParser:
    """What may be chosen on the command line."""
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    asked.add_argument("which", choices=["face", "characters"])
    asked.add_argument("--atlas", required=True, help="glyph table, of faces.py")
    asked.add_argument("--real", help="tuning pictures, of tuning.py (face only)")
    asked.add_argument("--out", required=True, type=Path, help="folder")
    asked.add_argument("--start", help="weights to go on from")
    asked.add_argument("--seconds", type=float, default=400)
    asked.add_argument("--workers", type=int, default=14, help="that draw")
    asked.add_argument("--batch", type=int, default=64)
    asked.add_argument("--passes", type=int, default=2, help="over each batch")
    asked.add_argument("--lr", type=float, default=2e-3)
    asked.add_argument("--seed", type=int, default=7)
    return asked


def main() -> None:
    """Train a network and write its weights (.pt) and the reader's file (.onnx)."""
    chosen = options().parse_args()
    torch.manual_seed(chosen.seed)
    device = "cuda" if torch.cuda.is_available() else "cpu"
    face = chosen.which == "face"
    net = FaceNet() if face else CharacterNet()
    net = net.to(device, memory_format=torch.channels_last)
    if chosen.start:
        go_on_from(net, torch.load(chosen.start, map_location=device))
    pairs = Drawn(chosen.atlas, chosen.real, chosen.seed, face=face)
    loader = iter(
        DataLoader(pairs, chosen.batch, num_workers=chosen.workers, prefetch_factor=4)
    )
    steps = train(net, loader, chosen)
    net.eval().cpu()
    torch.save(net.state_dict(), chosen.out / f"{chosen.which}.pt")
    write(chosen.which, net, chosen.out / f"{chosen.which}.onnx")
    print(chosen.which, "written after", steps, "steps", flush=True)


if __name__ == "__main__":
    main()
