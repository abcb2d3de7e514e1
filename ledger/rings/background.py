"""Rings that are not on record: strangers', and our own series' other numbers.

Whether a ring is one of ours is a comparison: how well does the reading fit the
rings on record, and how well inscriptions that only look like them? Strangers
share countries, years and the order of fields with us, so these prove nothing.
A ring of our own series may be in use without being on record.
"""

from __future__ import annotations

import itertools
import re
from collections import Counter
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

from ledger.rings.alphabet import CODE, DIGITS, LETTERS, OTHER, Classes
from ledger.rings.pieces import Inscription, Piece, inscribed, pieces

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from numpy.typing import NDArray

_EVEN_LETTER = dict.fromkeys(LETTERS, 1.0)
_EVEN_DIGIT = dict.fromkeys(DIGITS, 1.0)
# Serials begin low, and are often padded with noughts: common practice, no source.
_FIRST_OF_SERIAL = {**dict.fromkeys(DIGITS, 0.06), "0": 0.4, "1": 0.12}
_FIRST_OF_YEAR = {"2": 0.55, "1": 0.35, "0": 0.08, "9": 0.02}
# Of two- and four-digit years of rings read today.
_YEAR_CLASSES = {
    2: (_FIRST_OF_YEAR, _EVEN_DIGIT),
    4: ({"2": 0.97, "1": 0.03}, {"0": 0.97, "9": 0.03}, _FIRST_OF_YEAR, _EVEN_DIGIT),
}
_COMMON_COUNTRIES = (
    "IE", "GB", "DE", "NL", "BE", "FR", "ES", "IT", "PT", "AT", "CH", "DK", "SE", "PL",
    "CZ", "HU", "US", "CA", "AU", "ZA",
)  # fmt: skip

# The order of fields varies from issuer to issuer: common practice, no source.
# C a country's letter, L a letter, Y a year's digit, S a serial's, # any digit.
_SHAPES = (
    "CC LLL YY SSSS", "CC LLLL YY SSS", "CC LL YY SSSS", "LLL YY SSS", "LLLL YY SS",
    "LL YYYY SSSS", "LLLLL YY SSSSS", "YY LLL SSS", "SSS LLLL YY", "CC YYYY SSSSS",
    "CC SSSSSS", "LLL SSS", "YYYY LL SSS", "CC LLL YYYY SSS #.#", "L #.# L YY SSSS",
    "SSSS CC LLL YY", "YY CC SSSS LLL",
)  # fmt: skip

_RUN = re.compile(r"[A-Z]+|[0-9]+(?:[.\-][0-9]+)*|[^A-Z0-9]")
_MOST_SERIES = 150
_MOST_OWN_SHAPES = 24


@dataclass(frozen=True)
class Series:
    """A ring's kin: the same letters and year, any serial."""

    shape: str
    """The inscription with `S` for the digits of a serial, spaces as recorded."""
    chance: float
    """That a ring of the series, drawn blindly, has this very serial."""


@lru_cache(maxsize=65536)
def series_of(text: str) -> Series:
    """The series that an inscription belongs to, as far as its shape tells."""
    inscription = inscribed(text)
    runs = _runs(inscription)
    numbers = [run for run in runs if run.isdigit()]
    year = _year_at(numbers)
    shape, chance, n = [], 1.0, 0
    for run in runs:
        if run.isdigit():
            if n != year or len(numbers) == 1:
                shape.append("S" * len(run))
                chance *= _serial_chance(run)
            else:
                shape.append(run.lower())
            n += 1
        else:
            shape.append(run.lower())
    return Series(_spaced("".join(shape), inscription), chance)


def _runs(inscription: Inscription) -> list[str]:
    """Runs of letters, of digits, and marks, that no word gap or line end parts."""
    cuts = sorted({*inscription.gaps, *inscription.line_starts, len(inscription.signs)})
    if cuts[0] != 0:
        cuts.insert(0, 0)
    words = [inscription.signs[a:b] for a, b in itertools.pairwise(cuts)]
    return [run for word in words for run in _RUN.findall(word)]


def _year_at(numbers: list[str]) -> int:
    """Which number is likeliest the ring year; -1 where none looks like one."""
    for n, run in enumerate(numbers):
        if len(run) == 4 and run[:2] in ("19", "20"):
            return n
    for n, run in enumerate(numbers):
        if len(run) == 2:
            return n
    return -1


def _serial_chance(run: str) -> float:
    first = _FIRST_OF_SERIAL[run[0]] / sum(_FIRST_OF_SERIAL.values())
    return (first if len(run) > 1 else 0.1) * 0.1 ** (len(run) - 1)


def _spaced(signs: str, inscription: Inscription) -> str:
    parts = []
    for at, sign in enumerate(signs):
        if at and at in inscription.line_starts:
            parts.append("/")
        elif at in inscription.gaps:
            parts.append(" ")
        parts.append(sign)
    return "".join(parts)


@dataclass(frozen=True)
class Background:
    """Made-up inscriptions, each with how likely a ring is to be of its kind."""

    texts: tuple[tuple[Piece, ...], ...]
    weights: NDArray[np.float64]
    """(texts,) summing to 1 over strangers and to 1 over our own series."""
    n_strangers: int
    """So many of the texts are strangers'; the rest are our own series."""
    own_chance: NDArray[np.float64]
    """(rings,) chance that "another ring of our series" means this one, which is
    on record and so is not another."""


def background(texts: Iterable[str], classes: Classes) -> Background:
    """What rings may look like that are not on record.

    Args:
        texts: Inscriptions on record.
        classes: Where classes of characters get their codes.
    """
    known = [series_of(text) for text in texts]
    counts = Counter(series.shape for series in known)
    common = counts.most_common(_MOST_SERIES)
    total = sum(count for _, count in common) or 1
    share = {shape: count / total for shape, count in common}
    strangers = _strangers(counts)
    all_of = list(strangers.items()) + list(share.items())
    return Background(
        tuple(tuple(_template(shape, classes)) for shape, _ in all_of),
        np.array([weight for _, weight in all_of]),
        len(strangers),
        np.array([share.get(s.shape, 0.0) * s.chance for s in known]),
    )


def _strangers(own: Mapping[str, int]) -> dict[str, float]:
    """Shapes of strangers' rings with weights that sum to 1."""
    alike = Counter[str]()
    for shape, count in own.items():
        words = re.findall(r"[a-z]+", shape)
        alike[_loosened(shape, "")] += count
        if len(words) > 1 and len(words[0]) in (2, 3):
            alike[_loosened(shape, words[0])] += count
    shapes = dict.fromkeys(_SHAPES, 0.5 / len(_SHAPES))
    top = alike.most_common(_MOST_OWN_SHAPES)
    total = sum(count for _, count in top)
    for shape, count in top:
        shapes[shape] = shapes.get(shape, 0.0) + 0.5 * count / total
    scale = sum(shapes.values())
    return {shape: weight / scale for shape, weight in shapes.items()}


def _loosened(shape: str, country: str) -> str:
    """The shape of a ring like ours, of any breeder and year, from this country."""

    def loosen(found: re.Match[str]) -> str:
        run = found.group()
        if run.isalpha():
            return run if run == country else "L" * len(run)
        return re.sub(r"[0-9]", "#" if "." in run else "Y", run)

    return re.sub(r"[a-z]+|[0-9.]+", loosen, shape)


def _template(shape: str, classes: Classes) -> list[Piece]:
    """The tracks of a shape; small letters and digits in it stand for themselves."""
    inscription = inscribed(shape.upper())
    signs = [sign for sign in shape if sign not in " /"]
    codes: list[int] = []
    at = 0
    while at < len(signs):
        sign = signs[at]
        length = 1
        while at + length < len(signs) and signs[at + length] == sign:
            length += 1
        if sign in "CLYS#":
            codes += _class_codes(sign, length, classes)
        else:
            codes += [CODE.get(sign.upper(), OTHER)] * length
        at += length
    fixed = Inscription("?" * len(codes), inscription.line_starts, inscription.gaps)
    return pieces(codes, fixed)


def _class_codes(sign: str, length: int, classes: Classes) -> list[int]:
    if sign == "C" and length == 2:
        return [
            classes.code(_mixed([country[at] for country in _COMMON_COUNTRIES]))
            for at in range(2)
        ]
    if sign in "LC":
        return [classes.code(_EVEN_LETTER)] * length
    if sign == "Y" and length in _YEAR_CLASSES:
        return [classes.code(shares) for shares in _YEAR_CLASSES[length]]
    if sign == "S" and length > 1:
        any_digit = classes.code(_EVEN_DIGIT)
        return [classes.code(_FIRST_OF_SERIAL), *[any_digit] * (length - 1)]
    return [classes.code(_EVEN_DIGIT)] * length


def _mixed(letters: list[str]) -> dict[str, float]:
    counts = Counter(letters)
    return {sign: 0.02 + counts[sign] / len(letters) for sign in LETTERS}
