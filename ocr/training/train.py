"""Train one of the two networks: `python -m ocr.training.train face|characters ...`."""

from __future__ import annotations

import argparse
import time

import cv2
import numpy as np
import torch
import torch.nn.functional as F
from torch.utils.data import DataLoader, IterableDataset

from ocr.training import photos, strips
from ocr.training.networks import CharacterNet, FaceNet

WIDE = 544


class Strips(IterableDataset):
    def __init__(self, atlas, seed):
        self.atlas, self.seed = atlas, seed

    def __iter__(self):
        cv2.setNumThreads(1)
        worker = torch.utils.data.get_worker_info()
        rng = np.random.default_rng([self.seed, worker.id])
        faces = strips.Faces(self.atlas)
        while True:
            # strips of like width share a batch of 4, to waste little padding
            wide = np.zeros((128, WIDE, 3), np.uint8)
            truth = np.zeros((32, WIDE // 4, 8), np.float32)
            truth[..., 7] = 1  # weight of the empty ground
            x0 = 0
            while True:
                picture, marks = strips.strip(rng, faces)
                w = picture.shape[1]
                if x0 + w > WIDE:
                    break
                wide[:, x0 : x0 + w] = picture
                draw(truth, marks, x0)
                x0 += -(-w // 32) * 32 + 32
            yield wide, truth


def draw(truth, marks, x0):
    """Channels: heat, w, h, dx, dy, turn, label + 1, weight."""
    for m in sorted(marks, key=lambda m: m.seen):
        cx, cy = (m.x + x0 + 0.5) / 4 - 0.5, (m.y + 0.5) / 4 - 0.5
        i, j = int(round(cx)), int(round(cy))
        if not (0 <= i < truth.shape[1] and 0 <= j < truth.shape[0]):
            continue
        if not m.seen:
            rx, ry = max(1, int(m.w / 8)), max(1, int(m.h / 8))
            truth[max(0, j - ry) : j + ry + 1, max(0, i - rx) : i + rx + 1, 7] = 0
            continue
        sx, sy = max(0.7, m.w / 4 * 0.16), max(0.7, m.h / 4 * 0.16)
        r = 4
        ys, xs = np.mgrid[max(0, j - r) : min(32, j + r + 1), max(0, i - r) : min(truth.shape[1], i + r + 1)]
        heat = np.exp(-0.5 * (((xs - cx) / sx) ** 2 + ((ys - cy) / sy) ** 2))
        view = truth[ys[0, 0] : ys[-1, 0] + 1, xs[0, 0] : xs[0, -1] + 1]
        np.maximum(view[..., 0], heat * 0.98, out=view[..., 0])
        for jj in range(max(0, j - 1), min(32, j + 2)):
            for ii in range(max(0, i - 1), min(truth.shape[1], i + 2)):
                if abs(ii - i) + abs(jj - j) > 1:
                    continue
                t = truth[jj, ii]
                t[1:5] = np.log(max(m.w, 2) / 16), np.log(max(m.h, 2) / 16), cx - ii, cy - jj
                t[5], t[6] = m.turn // 90, m.label + 1
        truth[j, i, 0] = 1
        truth[j, i, 7] = 1


class Photos(IterableDataset):
    def __init__(self, atlas, real, seed):
        self.atlas, self.real, self.seed = atlas, real, seed

    def __iter__(self):
        cv2.setNumThreads(1)
        worker = torch.utils.data.get_worker_info()
        rng = np.random.default_rng([self.seed, worker.id])
        faces = strips.Faces(self.atlas)
        table = np.load(self.real, allow_pickle=True)
        real = [(cv2.imdecode(c, 1), p, a) for c, p, a in zip(table["codes"], table["polygons"], table["axes"])]
        while True:
            yield photos.sample(rng, faces, real)


def character_loss(out, t):
    heat, weight = t[..., 0], t[..., 7]
    p = torch.sigmoid(out[:, 0]).clamp(1e-4, 1 - 1e-4)
    peak = heat > 0.99
    focal = torch.where(peak, -torch.log(p) * (1 - p) ** 2, -torch.log(1 - p) * p**2 * (1 - heat) ** 4 * weight)
    n = peak.sum().clamp(min=1)
    near = t[..., 6] > 0
    k = near.sum().clamp(min=1)
    pick = lambda a, b: out[:, a:b].permute(0, 2, 3, 1)[near]
    box = F.smooth_l1_loss(pick(1, 5), t[..., 1:5][near], reduction="sum") / k
    turn = F.cross_entropy(pick(5, 9), t[..., 5][near].long(), reduction="sum") / k
    label = F.cross_entropy(pick(9, 47), t[..., 6][near].long() - 1, reduction="sum", label_smoothing=0.02) / k
    return focal.sum() / n + box + 0.5 * turn + 1.5 * label, label


def face_loss(out, t):
    face = t[..., 0]
    bce = F.binary_cross_entropy_with_logits(out[:, 0], face)
    p = torch.sigmoid(out[:, 0])
    has = (face.sum((1, 2)) > 20).float()
    dice = 1 - (2 * (p * face).sum((1, 2)) + 1) / (p.sum((1, 2)) + face.sum((1, 2)) + 1)
    axis = ((out[:, 1:3] - t[..., 1:3].permute(0, 3, 1, 2)) ** 2).sum(1)
    axis = (axis * face).sum() / face.sum().clamp(min=1)
    return 2 * bce + (dice * has).mean() + 0.5 * axis, axis


def relit(x):
    """The same pictures in another light: gain, tint, noise, now and then a negative."""
    n = x.shape[0]
    draw = lambda *s: torch.randn(*s, device=x.device)
    x = x * torch.exp(0.2 * draw(n, 1, 1, 1) + 0.08 * draw(n, 3, 1, 1)) + 0.25 * draw(n, 1, 1, 1)
    x = torch.where(torch.rand(n, 1, 1, 1, device=x.device) < 0.1, -x, x)
    return x + 0.06 * torch.rand(n, 1, 1, 1, device=x.device) * draw(*x.shape)


def main():
    a = argparse.ArgumentParser()
    a.add_argument("which", choices=["face", "characters"])
    a.add_argument("--atlas", required=True); a.add_argument("--real"); a.add_argument("--out", required=True)
    a.add_argument("--seconds", type=float, default=400); a.add_argument("--workers", type=int, default=14)
    a.add_argument("--batch", type=int, default=64); a.add_argument("--seed", type=int, default=7)
    a.add_argument("--lr", type=float, default=2e-3); a.add_argument("--start"); a.add_argument("--passes", type=int, default=2)
    a = a.parse_args()
    torch.manual_seed(a.seed)
    device = "cuda" if torch.cuda.is_available() else "cpu"
    face = a.which == "face"
    net = (FaceNet() if face else CharacterNet()).to(device)
    if a.start:
        net.load_state_dict(torch.load(a.start, map_location=device))
    data = Photos(a.atlas, a.real, a.seed) if face else Strips(a.atlas, a.seed)
    loader = iter(DataLoader(data, a.batch, num_workers=a.workers, prefetch_factor=4))
    opt = torch.optim.AdamW(net.parameters(), a.lr, weight_decay=1e-3)
    begun, step, shown, smooth = time.time(), 0, 0, None
    average = None
    while (used := (time.time() - begun) / a.seconds) < 1:
        rate = min(1, step / 200) * (0.5 + 0.5 * np.cos(np.pi * used)) + 1e-3
        for g in opt.param_groups:
            g["lr"] = a.lr * rate
        # Drawing is slower than learning: each batch is seen a few times, relit.
        if step % a.passes == 0:
            drawn, t = next(loader)
            drawn = drawn.to(device, non_blocking=True).permute(0, 3, 1, 2).float()
            drawn, t = ((drawn - 127.5) / 64).contiguous(), t.to(device)
        x = relit(drawn) if step % a.passes else drawn
        with torch.autocast(device, torch.bfloat16):
            out = net(x)
        loss, part = (face_loss if face else character_loss)(out.float(), t)
        opt.zero_grad(); loss.backward()
        nn = torch.nn.utils.clip_grad_norm_(net.parameters(), 5.0)
        opt.step(); step += 1
        smooth = loss.item() if smooth is None else 0.98 * smooth + 0.02 * loss.item()
        if time.time() - begun > shown + 30:
            shown = time.time() - begun
            print(f"{a.which} {shown:.0f}s step {step} loss {smooth:.4f} part {part.item():.4f}", flush=True)
    net.eval().cpu()
    torch.save(net.state_dict(), f"{a.out}/{a.which}.pt")
    shape = (1, 3, 256, 320) if face else (1, 3, 128, 320)
    torch.onnx.export(net, torch.zeros(shape), f"{a.out}/{a.which}.onnx", input_names=["x"], output_names=["y"],
                      dynamic_axes={"x": {0: "n", 2: "h", 3: "w"}, "y": {0: "n", 2: "h", 3: "w"}}, dynamo=False, opset_version=17)
    print(a.which, "written after", step, "steps", flush=True)


if __name__ == "__main__":
    main()
