"""Founders that may be kin of each other after all, as the keeper says."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from ledger.errors import LineageError

if TYPE_CHECKING:
    from collections.abc import Mapping

    from numpy.typing import NDArray

    from ledger.lineage.table import ParentTable


@dataclass(frozen=True, eq=False)
class RelatedFounders:
    """Kinship among some founders; all others are unrelated and not inbred."""

    places: NDArray[np.int64]
    """(k,) places of the founders that are named."""
    kinship: NDArray[np.float64]
    """(k, k) kinship among them; the diagonal is (1 + F) / 2."""

    @classmethod
    def of(
        cls, table: ParentTable, kinships: Mapping[tuple[str, str], float]
    ) -> RelatedFounders:
        """Founders with the kinships a keeper believes in.

        Args:
            table: The table they are founders of.
            kinships: Kinship of pairs of founders, 0 to 1; a bird paired with
                itself gives its own (1 + F) / 2, which else is 1/2.

        Raises:
            LineageError: one is no founder, or a kinship cannot be.
        """
        birds = tuple(dict.fromkeys(bird for pair in kinships for bird in pair))
        places = table.places(birds)
        known = [b for b, p in zip(birds, places, strict=True) if table.level[p]]
        if known:
            raise LineageError(
                f"{known[0]} is no founder: a parent of it is entered.",
                "Say which founders are kin; the rest follows from the parents.",
            )
        kinship = np.zeros((len(birds), len(birds)))
        np.fill_diagonal(kinship, 0.5)
        at = {bird: i for i, bird in enumerate(birds)}
        for (a, b), value in kinships.items():
            kinship[at[a], at[b]] = kinship[at[b], at[a]] = value
        own = np.diagonal(kinship)
        if (own < 0.5).any() or (own > 1).any() or (kinship < 0).any():
            raise LineageError(
                "A kinship lies outside what can be.",
                "Give 0 to 1 for two birds, and 0.5 to 1 for a bird with itself.",
            )
        if len(birds) and np.linalg.eigvalsh(kinship)[0] < -1e-9:
            raise LineageError(
                "These kinships of the founders contradict each other.",
                "If A is close kin of B and of C, then B and C are kin too.",
            )
        return cls(places, kinship)

    @property
    def inbreeding(self) -> NDArray[np.float64]:
        """(k,) F of each."""
        inbreeding: NDArray[np.float64] = 2 * np.diagonal(self.kinship) - 1
        return inbreeding

    @property
    def between(self) -> NDArray[np.float64]:
        """(k, k) twice the kinship between them, zeros on the diagonal."""
        between = 2 * self.kinship
        np.fill_diagonal(between, 0.0)
        return between
