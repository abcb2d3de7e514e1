"""Pairs, clutches and eggs looked up, and a clutch with one egg changed."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from ledger.care.clutches import LIVE_FATES
from ledger.errors import NotFoundError, RuleError

if TYPE_CHECKING:
    from ledger.domain.bird import Bird
    from ledger.domain.breeding import Clutch, Egg, Pair
    from ledger.domain.flock import Flock


def pair_of(flock: Flock, pair_id: str) -> Pair:
    """The pair with this id.

    Raises:
        NotFoundError: there is none.
    """
    pair = flock.pairs.get(pair_id)
    if pair is None:
        raise NotFoundError(
            f"There is no pair {pair_id} in this ledger.", "Enter the pair first."
        )
    return pair


def clutch_of(flock: Flock, clutch_id: str) -> Clutch:
    """The clutch with this id.

    Raises:
        NotFoundError: there is none.
    """
    clutch = flock.clutches.get(clutch_id)
    if clutch is None:
        raise NotFoundError(
            f"There is no clutch {clutch_id} in this ledger.",
            "Look in the nests for it.",
        )
    return clutch


def live_egg(flock: Flock, clutch_id: str, number: int) -> tuple[Clutch, Egg]:
    """A clutch and an egg of it that may still hatch.

    Raises:
        NotFoundError: there is no such clutch or egg.
        RuleError: its fate is known already.
    """
    clutch = clutch_of(flock, clutch_id)
    for egg in clutch.eggs:
        if egg.number != number:
            continue
        if egg.fate not in LIVE_FATES:
            raise RuleError(
                f"Egg {number} of clutch {clutch.id} is entered as {egg.fate}.",
                "If that was a slip, take it back first: `flock-ledger undo`.",
            )
        return clutch, egg
    raise NotFoundError(
        f"Clutch {clutch.id} has no egg {number}.", "Enter the egg as laid first."
    )


def clutch_of_chick(flock: Flock, bird: Bird) -> Clutch | None:
    """The clutch that a bird hatched in; None where it is not entered."""
    for parent in filter(None, (bird.dam, bird.sire)):
        for pair in flock.pairs_of(parent):
            for clutch in flock.clutches_of(pair.id):
                if any(egg.chick == bird.id for egg in clutch.eggs):
                    return clutch
    return None


def with_egg(clutch: Clutch, egg: Egg) -> Clutch:
    """The clutch with this egg in the place of the one of its number."""
    eggs = tuple(egg if it.number == egg.number else it for it in clutch.eggs)
    return replace(clutch, eggs=eggs)


def called_pair(flock: Flock, pair: Pair | None) -> str:
    """A pair by its birds: "Rook and Wren"."""
    if pair is None:
        return "A pair that is not entered"
    both = (flock.birds.get(bird_id or "") for bird_id in (pair.cock, pair.hen))
    return " and ".join(bird.title if bird else "not known" for bird in both)
