"""What a keeper means by a number typed: a fraction, years, a count."""

from __future__ import annotations

import re

from ledger.errors import RuleError


def fraction(words: str) -> float:
    """A part of one, as `0.0625`, `1/16` or `6.25 %`.

    Raises:
        RuleError: It is none, or lies outside 0 to 1.
    """
    bare = words.strip().replace(",", ".")
    percent = re.fullmatch(r"(\d{1,3}(?:\.\d+)?)\s*%", bare)
    over = re.fullmatch(r"(\d{1,6})\s*/\s*([1-9]\d{0,5})", bare)
    plain = re.fullmatch(r"\d?(?:\.\d+)?", bare) and bare
    if percent:
        value = float(percent.group(1)) / 100
    elif over:
        value = int(over.group(1)) / int(over.group(2))
    elif plain:
        value = float(plain)
    else:
        value = -1.0
    if not 0 <= value <= 1:
        raise RuleError(
            f"“{words.strip()}” is no F.",
            "Write a fraction from 0 to 1, such as 0.0625 or 6.25%.",
        )
    return value


def years(words: str) -> float:
    """An age in years.

    Raises:
        RuleError: It is none.
    """
    bare = words.strip().lower().removesuffix("years").strip().replace(",", ".")
    if not re.fullmatch(r"\d{1,2}(\.\d+)?", bare):
        raise RuleError(
            f"“{words.strip()}” is no age in years.", "Write a number such as 2 or 1.5."
        )
    return float(bare)


def count(words: str) -> int:
    """How many, from 1 on.

    Raises:
        RuleError: It is no such number.
    """
    if not re.fullmatch(r"\s*[0-9]{1,4}\s*", words) or not int(words):
        raise RuleError(
            f"“{words.strip()}” is no number of them.", "Write 1 or more, in digits."
        )
    return int(words)
