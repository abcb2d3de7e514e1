"""What a season's plan for one species says: pairs, what others cost, who is left."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ledger.lineage.doubt import Expected


@dataclass(frozen=True)
class PlannedPair:
    """One pair of a plan."""

    cock: str
    hen: str
    """Bird ids."""
    inbreeding: float
    """Expected F of the young."""
    relation: str
    """What the cock is to the hen; "" where no kinship is known."""
    warnings: tuple[str, ...]
    """Age, and health flags in both families."""
    in_doubt: Expected | None = None
    """Where a parent is in doubt: mean, least and most F of the young."""


@dataclass(frozen=True)
class Alternative:
    """Another pair instead, and the best plan around it."""

    cock: str
    hen: str
    mean_kinship_more: float
    """How much higher the mean kinship of all young would be."""
    inbreeding_more: float
    """How much higher their mean F would be; may be less than 0."""
    is_least: bool = True
    """It is proved that no plan with this pair costs less."""


@dataclass(frozen=True)
class Comparison:
    """What a simpler way to choose as many pairs comes to."""

    way: str
    mean_kinship: float
    mean_inbreeding: float


@dataclass(frozen=True)
class SpeciesSeason:
    """The plan for one species."""

    species: str
    pairs: tuple[PlannedPair, ...]
    mean_kinship: float
    """Of the next generation: all young of the plan, each with itself included."""
    mean_inbreeding: float
    is_best: bool
    """It is proved that no set of as many pairs has a lower mean kinship."""
    bound: float
    """No set of as many pairs has a lower mean kinship than this."""
    others: tuple[Comparison, ...]
    alternatives: tuple[Alternative, ...]
    """Other pairs, the least costly first: all where they can be counted out."""
    single: tuple[str, ...]
    """Candidates that stay without a mate."""
    left_out: tuple[str, ...]
    """Not grown or not free, and why."""
    said: tuple[str, ...] = ()
    """Doubts about parents and kin of founders that bear on it, in sentences."""
