"""Entering a pair, one over the keeper's limits only with a reason; these limits."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from ledger.domain.bird import Status
from ledger.domain.breeding import Pair
from ledger.domain.change import Put
from ledger.domain.kind import Kind
from ledger.errors import RuleError
from ledger.services.ledger import bird_of, date_of
from ledger.services.lineage import lineage_of
from ledger.services.lineage_limits import Limits, open_pair, right_sexes, why_not

if TYPE_CHECKING:
    from ledger.domain.flock import Flock
    from ledger.services.ledger import Ledger, When


def enter_pair(
    ledger: Ledger,
    cock_id: str,
    hen_id: str,
    on: When,
    author: str,
    *,
    reason: str = "",
    limits: Limits | None = None,
) -> Pair:
    """Store that a cock and a hen are a pair from now on.

    Args:
        ledger: An open ledger.
        cock_id: The cock.
        hen_id: The hen.
        on: Since when.
        author: Who enters it.
        reason: Why, where a limit is passed; it is kept with the pair.
        limits: None: those the keeper entered.

    Raises:
        NotFoundError: there is no such bird.
        RuleError: they cannot be a pair, or a limit is passed and no reason given.
        LineageError: the parents of the flock contradict each other.
    """
    flock = ledger.flock
    cock, hen = bird_of(flock, cock_id), bird_of(flock, hen_id)
    for bird in (cock, hen):
        if bird.status is not Status.ALIVE:
            raise RuleError(
                f"{bird.title} is entered as {bird.status} and cannot be paired here.",
                "Choose a bird that lives here.",
            )
    if not right_sexes(cock, hen):
        raise RuleError(
            f"{cock.title} ({cock.sex}) and {hen.title} ({hen.sex}) are not a cock "
            "and a hen.",
            "Name the cock first; where a sex is not known, enter it first.",
        )
    already = open_pair(flock, cock)
    if already is not None and already.hen == hen.id:
        raise RuleError(
            f"{cock.title} and {hen.title} are a pair already.",
            "There is nothing to enter.",
        )
    against = reasons_against(flock, cock.id, hen.id, limits)
    if against and not reason.strip():
        raise RuleError(
            " ".join(against),
            "Choose another mate, or enter the pair with a reason.",
        )
    said = (
        f"{' '.join(against)} Reason: {reason.strip()}" if against else reason.strip()
    )
    pair = Pair(
        flock.next_id(Kind.PAIR), cock.id, hen.id, formed=date_of(on), notes=said
    )
    what = f"{cock.title} and {hen.title} paired"
    ledger.commit([Put(pair)], author=author, what=what)
    return pair


def reasons_against(
    flock: Flock, cock_id: str, hen_id: str, limits: Limits | None = None
) -> tuple[str, ...]:
    """Why a reason is needed to pair these two, in sentences; nothing: it is not.

    Raises:
        NotFoundError: there is no such bird.
        LineageError: the parents of the flock contradict each other.
    """
    cock, hen = bird_of(flock, cock_id), bird_of(flock, hen_id)
    inbreeding = lineage_of(flock).kinship(cock.id, hen.id)
    return tuple(why_not(flock, cock, hen, inbreeding, limits or Limits.of(flock)))


def set_limits(ledger: Ledger, limits: Limits, author: str) -> None:
    """Store what the keeper allows without a word of reason.

    Args:
        ledger: An open ledger.
        limits: From now on, for mates, the season and every pair that is entered.
        author: Who sets them.

    Raises:
        RuleError: a limit is no F or no age.
    """
    settings = replace(
        ledger.flock.settings,
        highest_inbreeding=limits.highest_inbreeding,
        youngest_years=limits.youngest_years,
    )
    ledger.commit([Put(settings)], author=author, what="Limits for pairs set")
