"""Parents that are not certain: "one of two cocks", with a chance for each.

Every way the doubts can fall is a table of its own; what is asked is computed in
each, and told as the mean by their chances, with the least and the most. Chicks of
one clutch share one doubt: either all are his or none.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product
from math import isclose, prod
from typing import TYPE_CHECKING, Literal

import numpy as np

from ledger.errors import LineageError
from ledger.lineage.inbreeding import inbreeding, kinship_of_pairs
from ledger.lineage.table import ParentTable

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from ledger.lineage.table import Parents

TABLES_AT_MOST = 4096


@dataclass(frozen=True)
class Doubt:
    """Who may be a parent of some birds."""

    birds: tuple[str, ...]
    """Those that share the doubt: all have the same parent."""
    role: Literal["sire", "dam"]
    chances: Mapping[str | None, float]
    """Of each candidate; None is a bird not entered. They sum to 1."""


@dataclass(frozen=True)
class Expected:
    """A figure that hangs on doubts."""

    mean: float
    """By the chances of the doubts."""
    least: float
    most: float

    @property
    def is_certain(self) -> bool:
        """The doubts do not matter for it."""
        return isclose(self.least, self.most, abs_tol=1e-12)


def tables(
    parents: Mapping[str, Parents],
    doubts: Sequence[Doubt],
    *,
    sexes: Mapping[str, str] | None = None,
    at_most: int = TABLES_AT_MOST,
) -> Iterator[tuple[float, ParentTable]]:
    """Every table the doubts allow, with its chance.

    Args:
        parents: Sire and dam; what a doubt is about is overruled by it.
        doubts: Independent of each other.
        sexes: As `ParentTable.of`.
        at_most: How many ways are gone through.

    Raises:
        LineageError: chances do not sum to 1, there are too many ways, or one
            way contradicts itself.
    """
    for doubt in doubts:
        _check(parents, doubt)
    ways = prod(len(doubt.chances) for doubt in doubts)
    if ways > at_most:
        raise LineageError(
            f"The doubts about parents can fall in {ways:,} ways; "
            f"{at_most:,} are computed at most.",
            "Settle some of them, or ask about birds that fewer of them touch.",
        )
    for choice in product(*(doubt.chances.items() for doubt in doubts)):
        chance = prod(part for _, part in choice)
        if not chance:
            continue
        yield chance, _table(parents, doubts, [who for who, _ in choice], sexes)


def drawn_tables(
    parents: Mapping[str, Parents],
    doubts: Sequence[Doubt],
    count: int,
    seed: int,
    *,
    sexes: Mapping[str, str] | None = None,
) -> Iterator[tuple[float, ParentTable]]:
    """Some of very many ways, drawn by their chances; all weigh the same.

    Args:
        parents: As `tables`.
        doubts: As `tables`.
        count: How many are drawn.
        seed: The same seed draws the same ways.
        sexes: As `ParentTable.of`.

    Raises:
        LineageError: chances do not sum to 1, or a way contradicts itself.
    """
    for doubt in doubts:
        _check(parents, doubt)
    random = np.random.default_rng(seed)
    drawn = []
    for doubt in doubts:
        chances = np.array(list(doubt.chances.values()))
        drawn.append(random.choice(len(chances), count, p=chances / chances.sum()))
    candidates = [list(doubt.chances) for doubt in doubts]
    for places in zip(*drawn, strict=True):
        chosen = [who[i] for who, i in zip(candidates, places, strict=True)]
        yield 1 / count, _table(parents, doubts, chosen, sexes)


def _table(
    parents: Mapping[str, Parents],
    doubts: Sequence[Doubt],
    chosen: Sequence[str | None],
    sexes: Mapping[str, str] | None,
) -> ParentTable:
    """The table in which each doubt falls on the one chosen."""
    told = dict(parents)
    for doubt, parent in zip(doubts, chosen, strict=True):
        for bird in doubt.birds:
            sire, dam = told[bird]
            told[bird] = (parent, dam) if doubt.role == "sire" else (sire, parent)
    return ParentTable.of(told, sexes=sexes)


def expected_kinship(
    parents: Mapping[str, Parents], doubts: Sequence[Doubt], first: str, second: str
) -> Expected:
    """Kinship of two birds; of a bird with itself (1 + F) / 2.

    Raises:
        LineageError: as `tables`, or a bird is not there.
    """
    return _expected(
        (
            chance,
            float(
                kinship_of_pairs(
                    table,
                    np.array([table.place(first)]),
                    np.array([table.place(second)]),
                    inbreeding(table),
                )[0]
            ),
        )
        for chance, table in tables(parents, doubts)
    )


def expected_inbreeding(
    parents: Mapping[str, Parents], doubts: Sequence[Doubt], bird: str
) -> Expected:
    """F of a bird.

    Raises:
        LineageError: as `tables`, or the bird is not there.
    """
    return _expected(
        (chance, float(inbreeding(table)[table.place(bird)]))
        for chance, table in tables(parents, doubts)
    )


def _expected(figures: Iterator[tuple[float, float]]) -> Expected:
    told = list(figures)
    values = [value for _, value in told]
    mean = sum(chance * value for chance, value in told)
    return Expected(mean, min(values), max(values))


def _check(parents: Mapping[str, Parents], doubt: Doubt) -> None:
    named = ", ".join(doubt.birds)
    missing = [bird for bird in doubt.birds if bird not in parents]
    if missing:
        raise LineageError(
            f"There is no bird {missing[0]} to be in doubt about.",
            "Enter the bird first.",
        )
    chances = doubt.chances.values()
    if any(chance < 0 for chance in chances) or not isclose(
        sum(chances), 1.0, abs_tol=1e-6
    ):
        raise LineageError(
            f"The chances for the {doubt.role} of {named} sum to {sum(chances):g}.",
            "Give each candidate a chance of 0 to 1, 1 in all.",
        )
