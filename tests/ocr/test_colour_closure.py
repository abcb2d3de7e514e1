"""Colour, seam and hints on drawn strips. Colours are sRGB values of common paints."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
from drawn_ring import glyph

from ocr.closure import closure_of
from ocr.colour import colour_of
from ocr.hints import edge_share, glare_over, hints
from ocr.reading import Line


def plain(rgb):
    shade = np.linspace(0.75, 1.0, 240)[None, :, None]
    return (np.full((96, 240, 3), rgb[::-1], float) * shade).astype(np.uint8)


@pytest.mark.parametrize(
    ("rgb", "name"),
    [
        ((190, 20, 30), "red"),
        ((230, 120, 20), "orange"),
        ((170, 130, 60), "gold"),
        ((20, 110, 60), "green"),
        ((120, 200, 60), "lightgreen"),
        ((30, 60, 170), "blue"),
        ((110, 180, 220), "lightblue"),
        ((110, 40, 160), "violet"),
        ((25, 25, 27), "black"),
        ((225, 225, 222), "white"),
    ],
)
def test_colour_by_name(rgb, name):
    assert colour_of(plain(rgb)) == name


def test_brushed_grey_metal__is_silver():
    rng = np.random.default_rng(4)
    bands = 130 + 60 * np.sin(np.linspace(0, 9, 240))[None]
    grain = rng.normal(0, 12, (96, 1))
    grey = np.clip(bands + grain, 0, 255).astype(np.uint8)
    assert colour_of(cv2.cvtColor(grey, cv2.COLOR_GRAY2BGR)) == "silver"


def test_faint_tint__is_left_open():
    assert colour_of(plain((190, 170, 143))) == ""


def test_dark_line_from_rim_to_rim__is_a_seam():
    strip = plain((190, 190, 188))
    strip[:, 120:128] = 25
    assert closure_of(strip) == "split"


def test_letters_as_dark_as_a_seam__are_none():
    strip = plain((190, 190, 188))
    for x in range(40, 200, 30):
        strip[18:78, x : x + 7] = 25
    assert closure_of(strip) == "closed"


def test_broad_dark_reflection__is_no_seam():
    strip = plain((190, 190, 188)).astype(float)
    band = 1 - 0.8 * np.exp(-(((np.arange(240) - 120) / 30) ** 2))
    assert closure_of((strip * band[None, :, None]).astype(np.uint8)) != "split"


def written(blur=0.0, glare=False):
    strip = plain((120, 120, 120))
    cv2.putText(strip, "K7", (90, 66), cv2.FONT_HERSHEY_SIMPLEX, 1.4, (20,) * 3, 4)
    if glare:
        strip[:, 84:122] = 255
    return cv2.GaussianBlur(strip, (0, 0), blur) if blur else strip


def lines(sure=0.6):
    glyphs = [glyph(c, phi, sure=sure, width=20) for c, phi in (("K", -10), ("7", 8))]
    return (Line(tuple(glyphs)),)


def test_blur__is_measured_and_told():
    assert edge_share(written(5.0), lines()) > 2 * edge_share(written(), lines())
    assert any("blurred" in h for h in hints(written(6.0), lines()))
    assert not any("blurred" in h for h in hints(written(), lines()))


def test_glare_over_an_uncertain_character__is_told():
    assert glare_over(written(glare=True), lines()) == 1
    assert any("Glare" in h for h in hints(written(glare=True), lines()))


def test_glare_beside_sure_characters__is_none_of_our_business():
    assert hints(written(glare=True), lines(sure=0.99)) == ()


def test_small_and_oblique_rings__are_told():
    told = hints(written(), lines(0.99), ring_height_px=30, toward_deg=40)
    assert any("come nearer" in h for h in told)
    assert any("too far above or below" in h for h in told)
