"""Draw unrolled rings with known characters: lit metal, ink, wear, bad light.

A strip is drawn as base colour x light, with the text as colour, relief or
both, then spoilt the way a camera and a careless pose spoil it. Every
character carries its box and turn; one that cannot be seen is marked so that
training passes over it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import cv2
import numpy as np

ALPHABET = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ.-"
HEIGHT = 128
COUNTRIES = "IE GB NL DE D B F AT CH BE FR IT ES PT PL CZ DK SE HU ITA AUT POL ESP DEU USA US CA AU ZA BR".split()


@dataclass
class Mark:
    """One character: class, centre, size in pixels, quarter turns, seen or not."""

    label: int
    x: float
    y: float
    w: float
    h: float
    turn: int
    seen: bool


class Faces:
    """Pictures of characters in many faces, cap height 64 pixels."""

    def __init__(self, path: str) -> None:
        table = np.load(path)
        bad = ("Jessen", "Hamlet", "Outline", "Havana", "It.", "_RI", "_I.", "_RBI", "BdIta")
        keep = [i for i, n in enumerate(table["names"]) if not any(b in n for b in bad)]
        self.cells, self.advance = table["cells"][keep], table["advance"][keep]

    def glyph(self, face: int, label: int) -> tuple[np.ndarray, float]:
        return self.cells[face, label], float(self.advance[face, label])


def noise(rng, h, w, scale_y, scale_x):
    """Smooth noise of unit variance, its grain `scale_y` by `scale_x` pixels."""
    sh, sw = max(2, int(h / scale_y) + 2), max(2, int(w / scale_x) + 2)
    small = rng.standard_normal((sh, sw)).astype(np.float32)
    big = cv2.resize(small, (w, h), interpolation=cv2.INTER_CUBIC if min(sh, sw) > 3 else cv2.INTER_LINEAR)
    return big / (big.std() + 1e-6)


def words(rng):
    """The parts of an inscription, in the manners of many issuers and of none."""
    letters = lambda n: "".join(rng.choice(list("ABCDEFGHIJKLMNOPQRSTUVWXYZ"), n))
    digits = lambda n: "".join(rng.choice(list("0123456789"), n))
    year = lambda: str(rng.integers(1995, 2030)) if rng.random() < 0.45 else f"{rng.integers(0, 100):02d}"
    kinds = [
        lambda: str(rng.choice(COUNTRIES)), lambda: letters(rng.integers(2, 6)), year,
        lambda: digits(rng.integers(1, 6)), lambda: digits(4),
        lambda: f"{rng.integers(2, 20)}.{rng.integers(0, 10)}" if rng.random() < 0.8 else letters(1),
        lambda: "".join(rng.choice(list(ALPHABET[:36]), rng.integers(2, 7))),
        lambda: f"{letters(1)}-{digits(rng.integers(1, 4))}",
    ]
    weights = np.array([1, 1.4, 1.2, 1.2, 1, 0.6, 0.9, 0.15])
    picks = rng.choice(len(kinds), rng.integers(2, 6), p=weights / weights.sum())
    return [kinds[i]() for i in picks]


def dot_glyph(cell, rng, pitch):
    """A character beaten in dots: the strokes sampled on a coarse grid."""
    gw = int(rng.integers(5, 8)); gh = int(rng.integers(7, 10))
    ys, xs = np.where(cell > 100)
    if len(ys) == 0:
        return cell
    y0, y1, x0, x1 = ys.min(), ys.max() + 1, xs.min(), xs.max() + 1
    small = cv2.resize(cell[y0:y1, x0:x1], (gw, gh), interpolation=cv2.INTER_AREA)
    out = np.zeros_like(cell)
    level = max(70, np.quantile(small, 0.5))
    r = int(rng.integers(2, 5))
    for j in range(gh):
        for i in range(gw):
            if small[j, i] >= level:
                cx = x0 + (i + 0.5) * (x1 - x0) / gw; cy = y0 + (j + 0.5) * (y1 - y0) / gh
                cv2.circle(out, (int(cx * 4 + rng.normal(0, 2)), int(cy * 4 + rng.normal(0, 2))), r * 4, 255, -1, cv2.LINE_AA, 2)
    return out


class Sheet:
    """The text of one strip as a coverage picture, with every character's box."""

    def __init__(self, rng, faces, w):
        self.rng, self.faces, self.w = rng, faces, w
        self.mask = np.zeros((HEIGHT, w), np.float32)
        self.marks: list[Mark] = []
        self.face = int(rng.integers(len(faces.cells)))
        self.wide = float(np.exp(rng.normal(0, 0.22)))
        self.space = float(rng.choice([0, 0.05, 0.15, 0.3])) + float(abs(rng.normal(0, 0.04)))
        self.dots = rng.random() < 0.14
        self.grow = int(rng.choice([-1, 0, 0, 0, 1, 2]))

    def put(self, label, x, y, cap, turn):
        """Draw one character with its centre at (x, y)."""
        cell, _ = self.faces.glyph(self.face, label)
        if self.dots:
            cell = dot_glyph(cell, self.rng, 0)
        elif self.grow:
            k = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (2 * abs(self.grow) + 1,) * 2)
            cell = cv2.dilate(cell, k) if self.grow > 0 else (cv2.erode(cell, k[:2, :2]) if cell.mean() > 30 else cell)
        ys, xs = np.where(cell > 60)
        if len(ys) == 0:
            return
        gx0, gx1, gy0, gy1 = xs.min(), xs.max() + 1, ys.min(), ys.max() + 1
        s = cap / 64
        a = math.radians(turn)
        # the cell's own centre line is column 56, its baseline row 72, its middle row 40
        fx, fy = s * self.wide, s
        m = np.array([[math.cos(a) * fx, math.sin(a) * fy], [-math.sin(a) * fx, math.cos(a) * fy]])
        t = np.array([x, y]) - m @ np.array([56, 40])
        small = cell
        if s < 0.5:
            small = cv2.GaussianBlur(cell, (0, 0), 0.35 / s)
        drawn = cv2.warpAffine(small, np.hstack([m, t[:, None]]).astype(np.float32), (self.w, HEIGHT), flags=cv2.INTER_LINEAR)
        np.maximum(self.mask, drawn.astype(np.float32) / 255, out=self.mask)
        c = m @ np.array([(gx0 + gx1) / 2, (gy0 + gy1) / 2]) + t
        bw, bh = (gx1 - gx0) * fx, max((gy1 - gy0) * fy, 3)
        if turn in (90, 270):
            bw, bh = bh, bw
        inside = -2 < c[0] < self.w + 2
        if inside:
            self.marks.append(Mark(label, float(c[0]), float(c[1]), float(bw), float(bh), turn, True))

    def advance(self, label, cap):
        return (self.faces.glyph(self.face, label)[1] * self.wide + 64 * self.space) * cap / 64

    def row(self, text, y, cap, turn, start):
        """Text round the ring from `start`, to the right (or left, upside down)."""
        way = 1 if turn == 0 else -1
        x = start
        for ch in text:
            if ch == " ":
                x += way * cap * self.gap
                continue
            label = ALPHABET.index(ch); adv = self.advance(label, cap)
            if -40 < x + way * adv / 2 < self.w + 40:
                self.put(label, x + way * adv / 2, y, cap, turn)
            x += way * adv
            if not -60 < x < self.w + 60 and way * (x - self.w / 2) > 0:
                break
        return x

    gap = 0.6

    def column(self, text, x, cap, turn, middle):
        """Text along the ring's axis, centred at (x, middle)."""
        text = text.replace(" ", "")
        advs = [self.advance(ALPHABET.index(c), cap) for c in text]
        total = sum(advs); room = HEIGHT * 0.92
        if total > room:
            cap *= room / total; advs = [a * room / total for a in advs]; total = room
        way = -1 if turn == 90 else 1
        y = middle - way * total / 2
        for ch, adv in zip(text, advs):
            self.put(ALPHABET.index(ch), x, y + way * adv / 2, cap, turn)
            y += way * adv


def lay_out(rng, faces, w):
    """A sheet of text in one of the manners rings are written."""
    sheet = Sheet(rng, faces, w)
    sheet.gap = float(rng.uniform(0.35, 0.9))
    up = 0 if rng.random() < 0.5 else 180
    manner = rng.choice(["one", "two", "three", "axial", "mixed"], p=[0.4, 0.24, 0.04, 0.2, 0.12])
    parts = words(rng)
    line = lambda: " ".join(words(rng) + words(rng) + words(rng))
    if manner == "one":
        cap = HEIGHT * rng.uniform(0.25, 0.8)
        y = HEIGHT / 2 + rng.normal(0, 0.06) * HEIGHT
        start = rng.uniform(-60, w * 0.6)
        sheet.row(line(), y, cap, up, start if up == 0 else w - start)
    elif manner in ("two", "three"):
        n = 2 if manner == "two" else 3
        cap = HEIGHT / n * rng.uniform(0.5, 0.82)
        for i in range(n):
            y = HEIGHT * (i + 0.5) / n * 0.94 + HEIGHT * 0.03 + rng.normal(0, 1.5)
            start = rng.uniform(-60, w * 0.6)
            text = line() if rng.random() < 0.7 else " ".join(words(rng))
            sheet.row(text, y, cap, up, start if up == 0 else w - start)
    else:
        turn = int(rng.choice([90, 270])); x = rng.uniform(0, 40)
        cap = HEIGHT * rng.uniform(0.17, 0.42)
        k = 0
        while x < w + 20 and k < 9:
            if manner == "mixed" and rng.random() < 0.45:
                c = HEIGHT * rng.uniform(0.3, 0.6)
                text = parts[k % len(parts)]
                width = sum(sheet.advance(ALPHABET.index(ch), c) for ch in text)
                sheet.row(text, HEIGHT / 2, c, up, x if up == 0 else x + width)
                x += width + cap * 0.5
            else:
                sheet.column(parts[k % len(parts)], x + cap / 2, cap, turn, HEIGHT / 2 + rng.normal(0, 3))
                x += cap * rng.uniform(1.15, 2.0)
            k += 1
    return sheet


COLOURS = {
    "silver": (175, 178, 180), "steel": (140, 145, 150), "red": (40, 35, 190), "orange": (30, 110, 230),
    "gold": (60, 165, 205), "yellow": (50, 215, 235), "green": (70, 130, 40), "lime": (60, 220, 150),
    "blue": (160, 70, 30), "light": (215, 180, 110), "violet": (150, 45, 110), "pink": (170, 120, 235),
    "black": (30, 28, 28), "white": (225, 228, 230), "brown": (50, 80, 120),
}


def lighting(rng, w, metal):
    """Light over the strip: soft across, banded round the ring as metal mirrors its room."""
    x = np.linspace(-1, 1, w, dtype=np.float32)
    light = 0.75 + 0.25 * np.cos(x * 1.3 + rng.normal(0, 0.6))
    if metal:
        bands = noise(rng, 2, w, 2, w / rng.uniform(2, 14))[0] * rng.uniform(0.1, 0.5)
        light = light * np.exp(bands)
    for _ in range(rng.integers(0, 3)):
        light = light + rng.uniform(0.1, 1.0) * np.exp(-0.5 * ((x - rng.uniform(-1, 1)) / rng.uniform(0.02, 0.35)) ** 2)
    both = np.repeat(light[None], HEIGHT, 0)
    both = both * (1 + rng.normal(0, 0.12) * np.linspace(-1, 1, HEIGHT, dtype=np.float32)[:, None])
    return both


def relief(rng, mask, depth):
    """Shading of strokes sunk into (or raised from) the metal, lit from one side."""
    soft = cv2.GaussianBlur(mask.astype(np.float32), (0, 0), rng.uniform(0.6, 2.2))
    gx = cv2.Sobel(soft, cv2.CV_32F, 1, 0); gy = cv2.Sobel(soft, cv2.CV_32F, 0, 1)
    a = rng.uniform(0, 2 * math.pi)
    shade = (gx * math.cos(a) + gy * math.sin(a)) * rng.choice([-1, 1])
    shine = np.maximum(shade, 0) * rng.uniform(0.4, 1.6) + np.minimum(shade, 0) * rng.uniform(0.4, 1.6)
    return depth * (shine - rng.uniform(-0.15, 0.5) * soft)


def paint(rng, sheet):
    """Colour the strip with and without its text: (H, W, 3) float32 both."""
    w = sheet.w; mask = sheet.mask
    name = str(rng.choice(list(COLOURS)))
    base = np.array(COLOURS[name], np.float32) * rng.uniform(0.6, 1.2) + rng.normal(0, 10, 3)
    metal = rng.random() < 0.75
    plain = np.ones((HEIGHT, w, 3), np.float32) * np.clip(base, 8, 245)
    tint = 1 + noise(rng, 2, w, 2, w / rng.uniform(1.5, 5))[0][None, :, None] * rng.normal(0, 0.06, 3)
    grain = noise(rng, HEIGHT, w, rng.uniform(0.8, 2), rng.uniform(8, 90)) if rng.random() < 0.6 else noise(rng, HEIGHT, w, rng.uniform(1, 3), rng.uniform(1, 3))
    if rng.random() < 0.1:
        grain = noise(rng, HEIGHT, w, rng.uniform(8, 60), 1.2)
    plain *= tint.astype(np.float32) * (1 + grain * rng.uniform(0, 0.16 if metal else 0.04))[..., None]
    marked = plain.copy()
    kind = rng.choice(["ink", "laser", "relief", "cut"], p=[0.3, 0.25, 0.32, 0.13])
    m = mask.copy()
    if rng.random() < 0.4:
        holes = noise(rng, HEIGHT, w, rng.uniform(1, 6), rng.uniform(1, 6)) > rng.uniform(0.8, 2.5)
        m = m * (1 - holes * rng.uniform(0.3, 1.0))
    grey = float(base.mean())
    if kind in ("ink", "laser"):
        lighter = grey < 60 or (grey < 190 and rng.random() < 0.5)
        if name in ("silver", "steel") and rng.random() < 0.8:
            lighter = False
        strength = rng.uniform(0.35, 1.0) if kind == "laser" else rng.uniform(0.6, 1.0)
        target = rng.uniform(170, 250) if lighter else rng.uniform(5, min(70, grey * 0.6 + 10))
        ink = np.full(3, target, np.float32) + rng.normal(0, 8, 3)
        if rng.random() < 0.12:
            ink = rng.uniform(0, 255, 3)
        alpha = cv2.GaussianBlur(m, (0, 0), rng.uniform(0.3, 0.9))[..., None] * strength
        marked = marked * (1 - alpha) + ink.astype(np.float32) * alpha
        if rng.random() < 0.35:
            marked *= 1 + relief(rng, m, rng.uniform(0.1, 0.6))[..., None]
    elif kind == "cut":
        bare = np.array([200, 203, 206], np.float32) * rng.uniform(0.7, 1.15)
        alpha = cv2.GaussianBlur(m, (0, 0), 0.5)[..., None] * rng.uniform(0.6, 1)
        marked = marked * (1 - alpha) + bare * alpha
        marked *= 1 + relief(rng, m, rng.uniform(0.2, 0.9))[..., None]
    else:
        marked *= np.clip(1 + relief(rng, m, rng.uniform(0.35, 1.6)), 0.15, 2.5)[..., None]
    light = lighting(rng, w, metal)[..., None].astype(np.float32)
    plain, marked = plain.astype(np.float32), marked.astype(np.float32)
    return plain * light, marked * light


def spoil(rng, plain, marked, marks):
    """Stains, scratches, cover, a careless pose, blur and noise; finds what is seen."""
    h, w = HEIGHT, plain.shape[1]
    if rng.random() < 0.35:
        stain = (noise(rng, h, w, rng.uniform(6, 40), rng.uniform(6, 40)) > rng.uniform(0.6, 2)).astype(np.float32)
        stain = cv2.GaussianBlur(stain, (0, 0), rng.uniform(0.6, 4))[..., None] * rng.uniform(0.1, 0.6)
        tone = rng.uniform(20, 230, 3).astype(np.float32)
        plain, marked = (p * (1 - stain) + tone * stain for p in (plain, marked))
    for _ in range(rng.integers(0, 6) if rng.random() < 0.35 else 0):
        p, q = rng.uniform(0, w, 2), rng.uniform(0, h, 2)
        line = np.zeros((h, w), np.float32)
        cv2.line(line, (int(p[0]), int(q[0])), (int(p[0] + rng.normal(0, 40)), int(q[1])), 1, 1, cv2.LINE_AA)
        g = 1 + line[..., None] * rng.uniform(-0.5, 0.8)
        plain, marked = plain * g, marked * g
    cover = np.zeros((h, w), np.float32)
    if rng.random() < 0.2:
        c = (rng.uniform(0, w), rng.choice([0, h]) + rng.normal(0, 10))
        cv2.ellipse(cover, (int(c[0]), int(c[1])), (int(rng.uniform(15, 90)), int(rng.uniform(8, 60))), rng.uniform(-30, 30), 0, 360, 1, -1, cv2.LINE_AA)
        tone = np.array(rng.choice([(130, 150, 200), (90, 110, 160), (60, 60, 60), (80, 160, 90)]), np.float32) * rng.uniform(0.5, 1.3)
        tex = (tone * (1 + 0.1 * noise(rng, h, w, 6, 6)[..., None]))
        plain, marked = (p * (1 - cover[..., None]) + tex * cover[..., None] for p in (plain, marked))
    # rims and what lies beyond them, as a pose a little off shows
    up, dn = rng.uniform(-0.03, 0.06, 2) * h
    bow, shear, roll = rng.normal(0, 0.02) * h, rng.normal(0, 0.02), rng.normal(0, 0.012)
    yy, xx = np.mgrid[0:h, 0:w].astype(np.float32)
    u = (xx - w / 2) / (w / 2)
    sy = -up + yy * (h + up + dn) / h + bow * u * u + roll * w * u
    sx = xx + shear * (yy - h / 2) + rng.normal(0, 0.01) * w * u ** 3
    edge = rng.uniform(5, 200, 3).astype(np.float32)
    rim_light = rng.uniform(-0.5, 0.7)
    sx, sy = sx.astype(np.float32), sy.astype(np.float32)
    out = []
    for p in (plain, marked):
        q = cv2.remap(p, sx, sy, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
        far = np.clip(np.maximum(-sy, sy - (h - 1)) / 2, 0, 1)[..., None]
        rim = np.exp(-np.minimum(np.abs(sy - 1), np.abs(sy - h + 2)) / 2)[..., None]
        q = q * (1 + rim * rim_light) * (1 - far) + edge * far
        out.append(q)
    plain, marked = out
    covered = cv2.remap(cover, sx, sy, cv2.INTER_LINEAR)
    for mk in marks:
        uu = (mk.x - w / 2) / (w / 2)
        mk.y = float((mk.y + up - bow * uu * uu - roll * w * uu) * h / (h + up + dn))
        mk.x = float(mk.x - shear * (mk.y - h / 2))
    # the camera
    small = rng.uniform(0.22, 1.0) if rng.random() < 0.6 else 1.0
    sig = abs(rng.normal(0, 0.9)) + 0.2
    motion = None
    if rng.random() < 0.2:
        n = int(rng.integers(3, 9)); motion = np.zeros((n, n), np.float32)
        a = rng.uniform(0, math.pi); c = (n - 1) / 2
        cv2.line(motion, (int(round(c - c * math.cos(a))), int(round(c - c * math.sin(a)))), (int(round(c + c * math.cos(a))), int(round(c + c * math.sin(a)))), 1)
        motion /= motion.sum()
    span = 1.31
    squeeze = np.clip(1 / np.cos(np.linspace(-span, span, w)) - 1, 0, 4)
    out = []
    for p in (plain, marked):
        q = cv2.GaussianBlur(p, (0, 0), sig)
        if motion is not None:
            q = cv2.filter2D(q, -1, motion)
        wide = cv2.GaussianBlur(q, (0, 0), sigmaX=2.2, sigmaY=0.3)
        q = q + (wide - q) * np.clip(squeeze / 2, 0, 1)[None, :, None].astype(np.float32)
        if small < 1:
            q = cv2.resize(cv2.resize(q, (max(8, int(w * small)), max(8, int(h * small))), interpolation=cv2.INTER_AREA), (w, h), interpolation=cv2.INTER_LINEAR)
        out.append(q)
    plain, marked = out
    gain = rng.uniform(0.4, 1.25); amount = float(rng.uniform(0.5, 9) if rng.random() < 0.7 else 1)
    grainy = rng.standard_normal((h, w, 3)).astype(np.float32)
    if rng.random() < 0.5:
        grainy = cv2.GaussianBlur(grainy, (0, 0), 0.8) * 2
    white = rng.uniform(0.85, 1.15, 3).astype(np.float32)
    photo = np.clip(marked * gain * white + grainy * amount, 0, 255)
    away = np.abs(np.clip(marked * gain, 0, 255) - np.clip(plain * gain, 0, 255)).max(2)
    for mk in marks:
        x0, x1 = int(max(0, mk.x - mk.w / 2)), int(min(w, mk.x + mk.w / 2 + 1))
        y0, y1 = int(max(0, mk.y - mk.h / 2)), int(min(h, mk.y + mk.h / 2 + 1))
        shown = max(0, x1 - x0) * max(0, y1 - y0) / max(1.0, (mk.w + 1) * (mk.h + 1))
        if shown < 0.55:
            # Half a character is ground, else it is read as another one.
            mk.label = -1
            continue
        if shown < 0.78:
            mk.seen = False
            continue
        patch = away[y0:y1, x0:x1]
        strong = float(np.sqrt((patch ** 2).mean()))
        if strong < max(3.5, 0.9 * amount * 0.6) or covered[y0:y1, x0:x1].mean() > 0.25 or min(max(mk.w, mk.h) * small, 99) < 5:
            mk.seen = False
    photo = photo.astype(np.uint8)
    if rng.random() < 0.5:
        _, code = cv2.imencode(".jpg", photo, [cv2.IMWRITE_JPEG_QUALITY, int(rng.integers(35, 95))])
        photo = cv2.imdecode(code, cv2.IMREAD_COLOR)
    return photo


def strip(rng, faces):
    """One strip: (HEIGHT, W, 3) uint8 BGR and its marks."""
    w = int(np.clip(HEIGHT * 1.309 * np.exp(rng.uniform(np.log(0.75), np.log(3.1))), 110, 520))
    sheet = lay_out(rng, faces, w)
    if rng.random() < 0.06:
        sheet.mask[:] = 0; sheet.marks = []
    plain, marked = paint(rng, sheet)
    picture = spoil(rng, plain, marked, sheet.marks)
    return picture, [m for m in sheet.marks if m.label >= 0]
