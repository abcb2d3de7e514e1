"""Every text stands out: WCAG 2.2, success criterion 1.4.3, asks for 4.5 to 1.

https://www.w3.org/TR/WCAG22/#contrast-minimum (relative luminance and ratio as
defined there).
"""

import pytest
from textual.color import Color

from ledger.widgets.inscription import LEGEND, MARKS, Inscription
from ledger.widgets.themes import THEMES

TEXTS = [
    "foreground",
    "text-primary",
    "text-secondary",
    "text-accent",
    "text-success",
    "text-warning",
    "text-error",
    "text-muted",
    "text-disabled",
]
GROUNDS = ["background", "surface", "panel"]
PAIRS = [
    ("block-cursor-foreground", "block-cursor-background"),
    ("block-cursor-blurred-foreground", "block-cursor-blurred-background"),
    ("footer-foreground", "footer-background"),
    ("footer-key-foreground", "footer-background"),
    ("input-cursor-foreground", "input-cursor-background"),
    ("foreground", "input-selection-background"),
]


def luminance(color):
    def linear(part):
        part /= 255
        return part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4

    red, green, blue = (linear(part) for part in (color.r, color.g, color.b))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one, other):
    lighter, darker = sorted([luminance(one), luminance(other)], reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def test_contrast__measures_as_the_standard_says():
    """Black on white is 21 to 1; #767676 on white is the known border case."""
    white = Color.parse("#ffffff")
    assert contrast(Color.parse("#000000"), white) == pytest.approx(21)
    assert contrast(Color.parse("#767676"), white) == pytest.approx(4.54, abs=0.01)


@pytest.mark.parametrize("theme", THEMES, ids=lambda theme: theme.name)
@pytest.mark.parametrize(
    ("text", "ground"), [(t, g) for t in TEXTS for g in GROUNDS] + PAIRS
)
def test_theme__text_stands_out_from_its_ground(theme, text, ground):
    colours = theme.to_color_system().generate()
    text_colour, ground_colour = (
        Color.parse(colours[text]),
        Color.parse(colours[ground]),
    )
    assert text_colour.a == 1
    assert contrast(text_colour, ground_colour) >= 4.5


def test_theme__one_is_dark_and_one_is_light():
    assert {theme.dark for theme in THEMES} == {True, False}


def test_certainty__is_told_by_shape_and_word_not_by_colour_alone():
    solid = [mark for mark in MARKS.values() if mark.strip()]
    assert len(solid) == len(set(solid)) == 4
    for mark in solid:
        assert mark in LEGEND
    assert len(Inscription.COMPONENT_CLASSES) == len(MARKS) + 2
