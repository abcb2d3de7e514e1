"""The keeper's own ringing days, species by species."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from ledger.care.sizes import same_species
from ledger.domain.change import Put
from ledger.domain.people import OwnWindow
from ledger.errors import RuleError

if TYPE_CHECKING:
    from ledger.services.ledger import Ledger

LAST_THINKABLE_DAY = 60
"""No closed ring goes over a foot later; a number beyond is a slip."""


def set_ringing_days(
    ledger: Ledger, species: str, first: str, last: str, author: str
) -> OwnWindow | None:
    """Store in which days of age chicks of a species are ringed here.

    Args:
        ledger: An open ledger.
        species: As the keeper's birds have it.
        first: First day as typed; with `last` empty too: the usual days again.
        last: Last day as typed.
        author: Who sets them.

    Returns:
        What is stored; None where the usual days hold again.

    Raises:
        RuleError: these are no days, or not in this order.
    """
    settings = ledger.flock.settings
    others = tuple(
        own for own in settings.own_windows if not same_species(own.species, species)
    )
    if not first.strip() and not last.strip():
        what = f"{species}: the usual ringing days again"
        after = replace(settings, own_windows=others)
        ledger.commit([Put(after)], author=author, what=what)
        return None
    window = OwnWindow(species, _day(first), _day(last))
    if window.first_day > window.last_day:
        raise RuleError(
            f"Day {window.first_day} comes after day {window.last_day}.",
            "Write the first day first.",
        )
    after = replace(settings, own_windows=(*others, window))
    what = f"{species}: ringing days {window.first_day} to {window.last_day}"
    ledger.commit([Put(after)], author=author, what=what)
    return window


def _day(words: str) -> int:
    words = words.strip()
    if not words.isascii() or not words.isdigit() or int(words) > LAST_THINKABLE_DAY:
        raise RuleError(
            f"“{words}” is no day of age at which a chick is ringed.",
            f"Write a whole number from 0 to {LAST_THINKABLE_DAY}.",
        )
    return int(words)
