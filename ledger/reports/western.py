"""Text in the letters that every PDF reader can print without a font file.

Those are the letters of western Europe. Typographic signs become plain ones, other
accents are dropped, and other scripts are written in Latin letters.
"""

from __future__ import annotations

import unicodedata

_PLAIN = str.maketrans(
    {
        "“": '"', "”": '"', "„": '"', "‘": "'", "’": "'", "–": "-", "—": "-",
        "…": "...", "•": "-", "→": "->", "✓": "x", "ł": "l", "Ł": "L", "đ": "d",
        "Đ": "D", "ı": "i", "œ": "oe", "Œ": "OE", "€": "EUR", "\u00a0": " ",
    }
)  # fmt: skip


def printable(text: str) -> str:
    """A line in those letters; line breaks stay.

    Example:
        >>> printable("“Žofie” – 12 €")
        '"Zofie" - 12 EUR'
    """
    return "".join(map(_sign, text.translate(_PLAIN)))


def _sign(sign: str) -> str:
    if sign == "\n" or (ord(sign) < 256 and sign.isprintable()):
        return sign
    if not sign.isprintable():
        return " " if sign.isspace() else ""
    plain = unicodedata.normalize("NFKD", sign)
    kept = "".join(part for part in plain if ord(part) < 256)
    if kept or unicodedata.combining(sign):
        return kept
    from anyascii import anyascii

    return anyascii(sign) or "*"
