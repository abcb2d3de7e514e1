"""Draw and vary photos of ringed legs, with the ring's face and axis as truth.

Two sources: rings drawn here (a strip from `strips.py` wrapped on a cylinder,
leg, fingers, wire, feathers, any background) and the tuning pictures turned,
scaled, relit and covered.
"""

from __future__ import annotations

import math

import cv2
import numpy as np

from ocr.training import strips

W, H = 320, 256


def background(rng):
    """Whatever lies behind a leg: cloth, wood, print, leaves, blur."""
    tone = rng.uniform(10, 235, 3)
    picture = np.ones((H, W, 3), np.float32) * tone
    for _ in range(rng.integers(1, 4)):
        s = np.exp(rng.uniform(np.log(2), np.log(90), 2))
        picture += strips.noise(rng, H, W, s[0], s[1])[..., None] * rng.normal(0, 22, 3)
    if rng.random() < 0.25:
        for _ in range(rng.integers(2, 40)):
            p = (int(rng.uniform(0, W)), int(rng.uniform(0, H)))
            c = tuple(rng.uniform(0, 255, 3))
            cv2.ellipse(picture, p, (int(rng.uniform(2, 60)), int(rng.uniform(2, 25))), rng.uniform(0, 180), 0, 360, c, -1)
    if rng.random() < 0.2:
        a = rng.uniform(0, math.pi); step = rng.uniform(10, 60)
        yy, xx = np.mgrid[0:H, 0:W]
        d = (xx * math.cos(a) + yy * math.sin(a)) % step
        picture[d < rng.uniform(1, 5)] = rng.uniform(60, 240, 3)
    if rng.random() < 0.2:
        picture = np.clip(picture, 0, 255).astype(np.uint8)
        for k in range(14):
            text = "".join(rng.choice(list(strips.ALPHABET[:36] + "    "), 30))
            cv2.putText(picture, text, (int(rng.uniform(-40, 30)), 8 + k * 18), cv2.FONT_HERSHEY_SIMPLEX, rng.uniform(0.3, 0.6), tuple(rng.uniform(0, 120, 3)), 1, cv2.LINE_AA)
    return cv2.GaussianBlur(picture.astype(np.float32), (0, 0), rng.uniform(0.3, 6))


def tube(rng, xx, yy, radius, texture):
    """A lit cylinder across local x, endless along local y; (colour, cover)."""
    u = xx / radius
    inside = np.clip((radius - np.abs(xx)) + 0.5, 0, 1)
    side = rng.uniform(-0.8, 0.8)
    n = np.sqrt(np.clip(1 - u * u, 0, 1))
    light = np.clip(0.45 + 0.6 * (n * math.cos(side) + u * math.sin(side)), 0.1, 1.3)
    tone = rng.uniform(25, 225, 3)
    if texture:
        step = rng.uniform(8, 30)
        ridges = 1 - 0.3 * np.exp(-(((yy + 3 * u * u) % step) / 1.6) ** 2)
        scales = 1 + 0.12 * np.sin(yy / rng.uniform(1, 5)) * np.sin(np.arcsin(np.clip(u, -1, 1)) * rng.uniform(4, 12))
        light = light * (ridges if rng.random() < 0.5 else scales)
    return (tone * light[..., None]).astype(np.float32), inside.astype(np.float32)


def ring_scene(rng, faces, with_ring):
    """(picture, face cover, axis angle): angle with y up, radians."""
    picture = background(rng)
    centre = np.array([W / 2 + rng.normal(0, 45), H / 2 + rng.normal(0, 32)])
    radius = W / 2 * np.exp(rng.uniform(np.log(0.13), np.log(0.76)))
    half = radius / np.exp(rng.uniform(np.log(0.62), np.log(3.3)))
    tilt = rng.normal(0, 0.16)
    turn = rng.normal(0, 0.35) + (math.pi / 2 if rng.random() < 0.25 else 0)
    taper = rng.normal(0, 0.02)
    yy, xx = np.mgrid[0:H, 0:W].astype(np.float32)
    dx, dy = xx - centre[0], yy - centre[1]
    lx, ly = dx * math.cos(turn) + dy * math.sin(turn), -dx * math.sin(turn) + dy * math.cos(turn)
    grow = 1 + taper * ly / radius
    lx = lx / grow
    leg = radius * rng.uniform(0.4, 0.92)
    bend = rng.normal(0, 0.0006) * ly * ly
    shift = rng.uniform(-1, 1) * (radius - leg) * 0.7
    if rng.random() < 0.93:
        colour, cover = tube(rng, lx - shift - bend, ly, leg, True)
        picture = picture * (1 - cover[..., None]) + colour * cover[..., None]
    face = np.zeros((H, W), np.float32)
    if with_ring:
        w = int(np.clip(strips.HEIGHT * 2.7 * radius / (2 * half), 110, 900))
        sheet = strips.lay_out(rng, faces, w)
        if rng.random() < 0.1:
            sheet.mask[:] = 0
        _, skin = strips.paint(rng, sheet)
        u = np.clip(lx / radius, -0.9999, 0.9999)
        depth = np.sqrt(1 - u * u)
        bulge = radius * math.sin(tilt) * depth
        z = (ly - bulge) / math.cos(tilt)
        inside = np.clip(radius - np.abs(lx) + 0.5, 0, 1)
        # the far wall shows inside through the open end
        wall = rng.uniform(0.84, 0.95)
        zb = (ly + bulge) / math.cos(tilt)
        back = inside * np.clip(half - np.abs(zb) + 0.5, 0, 1)
        ui = lx / (radius * wall)
        hole = np.clip(ly * np.sign(tilt), None, None)
        end = -np.sign(tilt) * half * math.cos(tilt)
        oval = (lx / radius) ** 2 + ((ly - end) / max(1.0, abs(radius * math.sin(tilt)))) ** 2 < 1
        inner = (ui ** 2 + ((ly - end) / max(1.0, abs(radius * wall * math.sin(tilt)))) ** 2) < 1
        tone = skin.mean((0, 1))
        rim = (oval & ~inner)
        legpic = picture.copy()
        picture[oval & ~(np.abs(lx - shift - bend) < leg)] = tone * rng.uniform(0.2, 0.8)
        picture[rim] = np.clip(tone * rng.uniform(0.7, 1.6), 0, 255)
        face = inside * np.clip(half - np.abs(z) + 0.5, 0, 1)
        mx = (w / 2 + np.arcsin(u) / 1.35 * w / 2).astype(np.float32)
        my = ((z / half + 1) / 2 * (strips.HEIGHT - 1)).astype(np.float32)
        step = max(1.0, strips.HEIGHT / (2 * half))
        soft = cv2.GaussianBlur(skin, (0, 0), 0.45 * step) if step > 1.2 else skin
        drawn = cv2.remap(soft, mx, my, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
        edge = np.exp(-((half - np.abs(z)) / 1.2) ** 2)[..., None]
        drawn = drawn * (1 + edge * rng.uniform(-0.5, 0.6))
        picture = picture * (1 - face[..., None]) + drawn * face[..., None]
    elif rng.random() < 0.35:
        c = (int(centre[0]), int(centre[1])); tone = tuple(rng.uniform(20, 230, 3))
        if rng.random() < 0.5:
            cv2.circle(picture, c, int(radius), tone, -1, cv2.LINE_AA)
        else:
            cv2.rectangle(picture, (c[0] - int(radius), c[1] - int(half)), (c[0] + int(radius), c[1] + int(half)), tone, -1)
    return picture, face, math.pi / 2 - turn


def cover_some(rng, picture):
    """Fingers, feathers and wire before the leg."""
    for _ in range(rng.integers(0, 4)):
        yy, xx = np.mgrid[0:H, 0:W].astype(np.float32)
        a = rng.uniform(0, math.pi); c = rng.uniform(0, 1, 2) * (W, H)
        kind = rng.random()
        r = rng.uniform(14, 55) if kind < 0.55 else rng.uniform(1, 5)
        lx = (xx - c[0]) * math.cos(a) + (yy - c[1]) * math.sin(a)
        ly = -(xx - c[0]) * math.sin(a) + (yy - c[1]) * math.cos(a)
        colour, cover = tube(rng, lx, ly, r, rng.random() < 0.3)
        if kind < 0.55:
            tip = np.clip(r - np.sqrt(lx * lx + np.maximum(-ly, 0) ** 2) + 0.5, 0, 1)
            cover = np.where(ly < 0, tip, cover)
            skin = np.array(rng.choice([(140, 165, 215), (95, 125, 180), (60, 80, 120)]), np.float32)
            colour = colour.mean(2, keepdims=True) / 120 * skin
            if rng.random() < 0.7 and cover[H // 3 : 2 * H // 3, W // 3 : 2 * W // 3].mean() > 0.35:
                continue
        picture = picture * (1 - cover[..., None]) + colour * cover[..., None]
    return picture


def camera(rng, picture):
    """Blur, noise, light and white balance of a hurried photo."""
    if rng.random() < 0.6:
        picture = cv2.GaussianBlur(picture, (0, 0), abs(rng.normal(0, 1.0)) + 0.2)
    picture = picture * rng.uniform(0.35, 1.5) * rng.uniform(0.8, 1.2, 3)
    if rng.random() < 0.15:
        picture = np.repeat(picture.mean(2, keepdims=True), 3, 2)
    picture = picture + rng.standard_normal((H, W, 3)) * rng.uniform(0, 9)
    picture = np.clip(picture, 0, 255)
    if rng.random() < 0.3:
        picture = 255 * (picture / 255) ** rng.uniform(0.6, 1.6)
    return picture.astype(np.uint8)


def from_photo(rng, photo, polygon, axis):
    """A tuning picture seen another way: (picture, face, angle)."""
    h, w = photo.shape[:2]
    turn = rng.normal(0, 0.25) + rng.choice([0, 0, 0, math.pi, math.pi / 2, -math.pi / 2])
    scale = W / max(w, h) * np.exp(rng.uniform(np.log(0.7), np.log(1.7)))
    flip = rng.random() < 0.5
    m = scale * np.array([[math.cos(turn), -math.sin(turn)], [math.sin(turn), math.cos(turn)]])
    if flip:
        m = m @ np.diag([-1.0, 1.0])
    middle = polygon.mean(0) if len(polygon) else np.array([w / 2, h / 2])
    to = np.array([W / 2 + rng.normal(0, 35), H / 2 + rng.normal(0, 25)])
    t = to - m @ middle
    a = np.hstack([m, t[:, None]]).astype(np.float32)
    picture = cv2.warpAffine(photo, a, (W, H), flags=cv2.INTER_AREA, borderMode=cv2.BORDER_REPLICATE).astype(np.float32)
    face = np.zeros((H * 4, W * 4), np.float32)
    angle = 0.0
    if len(polygon):
        p = polygon @ m.T + t
        cv2.fillPoly(face, [np.round((p + 0.5) * 4).astype(np.int32)], 1.0)
        d = m @ axis
        angle = math.atan2(-d[1], d[0])
    face = cv2.resize(face, (W, H), interpolation=cv2.INTER_AREA)
    if rng.random() < 0.2:
        picture = picture[..., rng.permutation(3)]
    return picture, face, angle


def sample(rng, faces, real):
    """One training pair: uint8 (H, W, 3); float32 (H/2, W/2, 3): face, cos 2a, sin 2a."""
    if real and rng.random() < 0.5:
        picture, face, angle = from_photo(rng, *real[rng.integers(len(real))])
    else:
        picture, face, angle = ring_scene(rng, faces, rng.random() < 0.85)
    if rng.random() < 0.5:
        picture = cover_some(rng, picture)
    picture = camera(rng, picture)
    face = cv2.resize(face, (W // 2, H // 2), interpolation=cv2.INTER_AREA)
    truth = np.stack([face, np.full_like(face, math.cos(2 * angle)), np.full_like(face, math.sin(2 * angle))], -1)
    return picture, truth.astype(np.float32)
