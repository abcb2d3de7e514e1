"""How much room a text takes in a terminal."""

from __future__ import annotations

import unicodedata


def width_of(text: str) -> int:
    """Cells of a terminal that a text takes: wide letters two, marks over one none."""
    return sum(
        0
        if unicodedata.combining(sign)
        else 2
        if unicodedata.east_asian_width(sign) in "WF"
        else 1
        for sign in text
    )
