"""Names of birds: which ones mean the same species in the published tables.

The tables follow different lists of names ("Eolophus roseicapillus" here,
"Eolophus roseicapilla" there; "Blue-fronted" and "Turquoise-fronted Amazon"), so
names are compared without case, hyphens and Latin gender endings, and an English
name found in one table opens the others. `trade_names.csv` adds names that
keepers use and no table prints.
"""

from __future__ import annotations

import difflib
import re
from functools import cache, lru_cache
from typing import TYPE_CHECKING

from ledger.errors import NotFoundError
from ledger.reference.table import Row, rows

if TYPE_CHECKING:
    from collections.abc import Iterator

_TABLES = ("ring_sizes.csv", "weights.csv", "breeding.csv", "longevity.csv")
_ENDING = re.compile(r"(?:us|um|is|a|e|i)$")
_IN_BRACKETS = re.compile(r"\(([^)]*)\)")


def scientific_name(words: str) -> str:
    """The scientific name, as the first table that has the bird prints it.

    Args:
        words: A scientific, English or trade name.

    Raises:
        NotFoundError: no table lists it; the hint names those that sound like it.
    """
    for key in keys_of(words):
        printed = _printed().get(key)
        if printed:
            return printed
    near = difflib.get_close_matches(words.casefold(), _spoken(), n=3, cutoff=0.75)
    raise NotFoundError(
        f"No published table lists a bird called “{words}”.",
        f"Did you mean {' or '.join(_spoken()[name] for name in near)}?"
        if near
        else "Try its scientific name.",
    )


@lru_cache(maxsize=4096)
def species_key(words: str) -> str:
    """What tells species apart: the scientific name where a table knows it."""
    try:
        return scientific_name(words).casefold()
    except NotFoundError:
        return " ".join(words.split()).casefold()


def rows_of(table: str, words: str) -> tuple[Row, ...]:
    """Rows of a table that are of this species; none where it is not listed.

    A row that bears the name itself comes before one that another table or a
    trade name leads to.
    """
    index = _index(table)
    keys = keys_of(words)
    others = [other for key in keys for other in _aliases().get(key, ())]
    for key in (*keys, *others):
        if key in index:
            return _with_namesakes(index, index[key])
    return ()


def _with_namesakes(
    index: dict[str, tuple[Row, ...]], found: tuple[Row, ...]
) -> tuple[Row, ...]:
    """Rows, and those that give the same species no English name, or another."""
    species = dict.fromkeys(_key(row.text("scientific_name")) for row in found)
    namesakes = [row for key in species for row in index[key] if row not in found]
    return (*found, *namesakes)


def keys_of(words: str) -> tuple[str, ...]:
    """What a name is compared by: the words outside brackets, then those inside."""
    outside = _IN_BRACKETS.sub(" ", words)
    parts = (outside, *_IN_BRACKETS.findall(words))
    return tuple(key for part in parts if (key := _key(part)))


def _key(words: str) -> str:
    """A name without case, hyphens, apostrophes and Latin gender endings."""
    plain = re.sub(r"[’'`.]", "", words.casefold()).replace("-", " ")
    first, *rest = plain.split() or [""]
    return " ".join([first, *(_ENDING.sub("", word) for word in rest)])


def _names(row: Row) -> tuple[str, ...]:
    return row.text("scientific_name"), row.text("english_name")


@cache
def _index(table: str) -> dict[str, tuple[Row, ...]]:
    """Rows by every key of their names."""
    found: dict[str, list[Row]] = {}
    for row in rows(table):
        for key in dict.fromkeys(k for name in _names(row) for k in keys_of(name)):
            found.setdefault(key, []).append(row)
    return {key: tuple(listed) for key, listed in found.items()}


def _same_bird() -> Iterator[tuple[str, ...]]:
    """Names that stand in one row of a table."""
    for table in _TABLES:
        for row in rows(table):
            yield _names(row)
    for row in rows("trade_names.csv"):
        yield row.text("scientific_name"), row.text("trade_name")


@cache
def _aliases() -> dict[str, tuple[str, ...]]:
    """For each key the other keys that a row of any table puts beside it."""
    beside: dict[str, dict[str, None]] = {}
    for names in _same_bird():
        keys = [key for name in names for key in keys_of(name)]
        for key in keys:
            beside.setdefault(key, {}).update(
                dict.fromkeys(k for k in keys if k != key)
            )
    return {key: tuple(others) for key, others in beside.items()}


@cache
def _printed() -> dict[str, str]:
    """Scientific names as printed, by every key."""
    printed: dict[str, str] = {}
    for names in _same_bird():
        for name in names:
            for key in keys_of(name):
                printed.setdefault(key, names[0])
    return printed


@cache
def _spoken() -> dict[str, str]:
    """All names as printed, by what a typing slip is measured against."""
    return {name.casefold(): name for names in _same_bird() for name in names if name}
