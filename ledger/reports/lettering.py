"""A PDF page that prints every letter a keeper writes, in one typeface.

FiraGO (SIL Open Font License) knows Latin with all accents, Greek, Cyrillic, Arabic,
Hebrew, Thai, Georgian and Devanagari. Signs it lacks, Chinese and Japanese among
them, are written in Latin letters: the page says so.
"""

from __future__ import annotations

import tempfile
from contextlib import contextmanager
from functools import cache
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator

    from fpdf import FPDF

FAMILY = "FiraGO"
_FILES = {"": "FiraGO_Regular", "B": "FiraGO_Bold"}
_FIRST_SHAPED = 0x0590
"""Hebrew; below it letters stand side by side, and that is quicker."""


@contextmanager
def lettered(pdf: FPDF, words: str) -> Iterator[FPDF]:
    """The document with the typeface at hand, upright and bold.

    It must be put out before the context ends: the fonts are read until then.

    Args:
        pdf: A new document.
        words: All that will stand in it.
    """
    # Where a file that is still open cannot be dropped, it is left behind.
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as folder:
        for style, name in _FILES.items():
            path = Path(folder) / f"{name}.ttf"
            path.write_bytes(import_module(f"pymupdf_fonts.{name}").fontbuffer)
            pdf.add_font(FAMILY, style, path)
        pdf.set_font(FAMILY, "", 10)
        if any(ord(sign) >= _FIRST_SHAPED for sign in words):
            # Joins Arabic and Devanagari letters, and sets both ways of writing.
            pdf.set_text_shaping(True)
        yield pdf


def printable(text: str) -> str:
    """The text in signs that the typeface has; line breaks stay.

    Example:
        >>> printable("Žofie, 鹦鹉")
        'Žofie, YingWu'
    """
    return "".join(_sign(sign) for sign in text)


def is_rewritten(text: str) -> bool:
    """Signs in it are written in Latin letters instead."""
    return any(
        ord(sign) not in _known() and sign.isprintable() and not sign.isspace()
        for sign in text
    )


def _sign(sign: str) -> str:
    if sign == "\n" or (ord(sign) in _known() and sign.isprintable()):
        return sign
    if not sign.isprintable():
        return " " if sign.isspace() else ""
    from anyascii import anyascii

    return anyascii(sign) or "*"


@cache
def _known() -> frozenset[int]:
    """Code points that both weights have."""
    import io

    from fontTools.ttLib import TTFont

    known = [
        set(
            TTFont(
                io.BytesIO(import_module(f"pymupdf_fonts.{name}").fontbuffer), lazy=True
            ).getBestCmap()
        )
        for name in _FILES.values()
    ]
    return frozenset(set.intersection(*known))
