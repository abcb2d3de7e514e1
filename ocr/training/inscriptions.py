"""Invents what rings say, in the manners of many issuers and of none."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from ocr.characters import ALPHABET, LETTERS_AND_DIGITS

if TYPE_CHECKING:
    from collections.abc import Callable

# fmt: off
COUNTRIES = (
    "IE", "GB", "NL", "DE", "D", "B", "F", "AT", "CH", "BE",
    "FR", "IT", "ES", "PT", "PL", "CZ", "DK", "SE", "HU", "ITA",
    "AUT", "POL", "ESP", "DEU", "USA", "US", "CA", "AU", "ZA", "BR",
)
# fmt: on
LETTERS = ALPHABET[10:36]
DIGITS = ALPHABET[:10]


def _some(rng: np.random.Generator, letters: str, n: int) -> str:
    return "".join(rng.choice(list(letters), n))


def _country(rng: np.random.Generator) -> str:
    return str(rng.choice(COUNTRIES))


def _code(rng: np.random.Generator) -> str:
    return _some(rng, LETTERS, rng.integers(2, 6))


def _year(rng: np.random.Generator) -> str:
    if rng.random() < 0.45:
        return str(rng.integers(1995, 2030))
    return f"{rng.integers(0, 100):02d}"


def _number(rng: np.random.Generator) -> str:
    return _some(rng, DIGITS, rng.integers(1, 6))


def _four_digits(rng: np.random.Generator) -> str:
    return _some(rng, DIGITS, 4)


def _size(rng: np.random.Generator) -> str:
    if rng.random() < 0.8:
        return f"{rng.integers(2, 20)}.{rng.integers(0, 10)}"
    return _some(rng, LETTERS, 1)


def _mixed(rng: np.random.Generator) -> str:
    return _some(rng, LETTERS_AND_DIGITS, rng.integers(2, 7))


def _hyphened(rng: np.random.Generator) -> str:
    return f"{_some(rng, LETTERS, 1)}-{_some(rng, DIGITS, rng.integers(1, 4))}"


_KINDS: tuple[tuple[Callable[[np.random.Generator], str], float], ...] = (
    (_country, 1),
    (_code, 1.4),
    (_year, 1.2),
    (_number, 1.2),
    (_four_digits, 1),
    (_size, 0.6),
    (_mixed, 0.9),
    (_hyphened, 0.15),
)


def words(rng: np.random.Generator) -> list[str]:
    """The two to five parts of one inscription."""
    weights = np.array([weight for _, weight in _KINDS])
    picks = rng.choice(len(_KINDS), rng.integers(2, 6), p=weights / weights.sum())
    return [_KINDS[i][0](rng) for i in picks]


def line(rng: np.random.Generator) -> str:
    """Enough words to go round a ring."""
    return " ".join(words(rng) + words(rng) + words(rng))
