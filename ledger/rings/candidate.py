"""Birds that a ring may belong to, and the verdict on them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from ledger.domain.bird import Bird
    from ledger.domain.ring import Ring
    from ledger.rings.alignment import Alignment

Doubt = Literal[
    "no bird",
    "several birds",
    "photos lie otherwise",
    "seen at an edge",
    "stranger",
    "too few",
    "contradiction",
    "serial unseen",
    "other order",
    "upside down",
]
Verdict = Literal["sure", "unsure", "unknown ring", "no ring"]


@dataclass(frozen=True)
class Candidate:
    """A bird, through one of its rings; or a ring that is on no bird."""

    ring: Ring
    bird: Bird | None
    probability: float
    """That the ring in hand belongs to this bird, 0..1."""
    by_characters: float
    """The same if the characters alone are asked and only our rings exist."""
    alignment: Alignment


@dataclass(frozen=True)
class Left:
    """One of the birds that the evidence leaves, through one of its rings."""

    ring: Ring
    bird: Bird | None
    probability: float

    @property
    def called(self) -> str:
        """The bird by name; a ring on no bird by what stands on it."""
        return self.bird.title if self.bird else f"ring {self.ring.inscription}"


@dataclass(frozen=True)
class Ranking:
    """What the evidence says about the flock."""

    verdict: Verdict
    candidates: tuple[Candidate, ...]
    """The few left, likeliest first."""
    none_of_ours: float
    """Chance that the ring is on no bird of the ledger and in no drawer of ours."""
    n_left: int
    """How many birds the evidence leaves; may be more than are listed."""
    left: tuple[Left, ...] = ()
    """The likeliest of them, more than are listed: from these the next thing to
    look at is chosen."""
    year_now: int = 0
    """The last year the flock knows of."""
    doubts: tuple[Doubt, ...] = ()
    """What keeps the verdict from being sure."""
