"""The ring stock: series ordered and come, and what became of each ring.

Rings come in by `ledger.services.ring_series` and go on a bird by
`ledger.services.marks`; here they leave the stock otherwise.
"""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING

from ledger.care.sizes import is_size
from ledger.domain.change import Put
from ledger.domain.mark_rules import called_ring
from ledger.domain.ring import RingKind, RingState
from ledger.errors import RuleError
from ledger.services.ledger import ring_of
from ledger.services.ring_series import (
    arrive,
    called_series,
    order_series,
    series_of,
)

if TYPE_CHECKING:
    from ledger.domain.flock import Flock
    from ledger.domain.ring import Ring
    from ledger.services.ledger import Ledger, When

__all__ = [
    "arrive",
    "called_series",
    "found_again",
    "keep",
    "lose",
    "next_serial",
    "order_series",
    "ring_year",
    "series_of",
    "spoil",
]


def next_serial(
    flock: Flock,
    size_mm: float,
    kind: RingKind = RingKind.CLOSED,
    *,
    year: int | None = None,
) -> Ring | None:
    """The next free ring of a size: lowest serial of the newest ring year in stock.

    Args:
        flock: The flock.
        size_mm: Inner diameter; rings count that measure so within what makers may
            be off.
        kind: Of ring.
        year: Only rings of this ring year; a closed ring of another year would tell
            a wrong hatch year.

    Returns:
        A ring in stock, or None where there is no such ring.
    """
    fitting = [
        ring
        for ring in flock.rings_in_stock()
        if ring.kind is kind and is_size(ring.size_mm, size_mm)
    ]
    if year is not None:
        fitting = [ring for ring in fitting if ring_year(flock, ring) == year]
    return min(fitting, key=lambda ring: _order(flock, ring), default=None)


def ring_year(flock: Flock, ring: Ring) -> int | None:
    """The year a ring was made for: by its series, else by its inscription."""
    series = flock.series.get(ring.series or "")
    if series is not None and series.ring_year is not None:
        return series.ring_year
    return _year_on(ring.inscription)


def spoil(ledger: Ledger, ring_id: str, on: When, author: str, why: str) -> Ring:
    """Enter that a ring in stock was spoiled and goes on no bird.

    Raises:
        NotFoundError: there is no such ring.
        RuleError: it is not in stock, or no reason is given.
    """
    return _leave_stock(ledger, ring_id, RingState.SPOILED, on, author, why)


def lose(ledger: Ledger, ring_id: str, on: When, author: str, why: str) -> Ring:
    """Enter that a ring in stock is gone.

    Raises:
        NotFoundError: there is no such ring.
        RuleError: it is not in stock, or nothing is said about it.
    """
    return _leave_stock(ledger, ring_id, RingState.LOST, on, author, why)


def found_again(ledger: Ledger, ring_id: str, on: When, author: str) -> Ring:
    """Enter that a ring lost from stock turned up; it is in stock again.

    Raises:
        NotFoundError: there is no such ring.
        RuleError: it is not lost, or a bird wore it: then it is no stock.
    """
    ring = ring_of(ledger.flock, ring_id)
    if ring.state is not RingState.LOST:
        raise RuleError(
            f"{called_ring(ring)} is not lost: it is {ring.state}.",
            "Look up the ring that was found.",
        )
    if ring.bird is not None:
        raise RuleError(
            f"{called_ring(ring)} was on a bird, so it goes on no other.",
            "Say where it is kept.",
        )
    back = _noted(replace(ring, state=RingState.IN_STOCK), f"Found again {on}.")
    ledger.commit([Put(back)], author=author, what=f"{called_ring(ring)} found again")
    return back


def keep(ledger: Ledger, ring_id: str, where: str, author: str) -> Ring:
    """Enter where a ring that came off a bird is kept.

    Raises:
        NotFoundError: there is no such ring.
        RuleError: it did not come off a bird, or no place is given.
    """
    ring = ring_of(ledger.flock, ring_id)
    worn = ring.state is RingState.LOST and ring.bird is not None
    if ring.state is not RingState.REMOVED and not worn:
        raise RuleError(
            f"{called_ring(ring)} did not come off a bird: it is {ring.state}.",
            "Only a ring that came off is kept as a proof; others lie in stock.",
        )
    if not where.strip():
        raise RuleError(
            f"It is not said where {called_ring(ring)} is kept.",
            "Name the place: “envelope in the ring drawer”.",
        )
    kept = replace(ring, state=RingState.REMOVED, kept=where.strip())
    ledger.commit(
        [Put(kept)],
        author=author,
        what=f"{called_ring(ring)} kept: {where.strip()}",
    )
    return kept


def _leave_stock(
    ledger: Ledger, ring_id: str, state: RingState, on: When, author: str, why: str
) -> Ring:
    ring = ring_of(ledger.flock, ring_id)
    if ring.state is not RingState.IN_STOCK:
        on_bird = ring.state is RingState.ON_BIRD
        raise RuleError(
            f"{called_ring(ring)} is not in stock: it is {ring.state}.",
            "Enter on the bird's page how it came off."
            if on_bird
            else "Look up the ring that is meant.",
        )
    if not why.strip():
        raise RuleError(
            f"It is not said why {called_ring(ring)} leaves the stock.",
            "Write a few words: “bent when opened”, “fell into the litter”.",
        )
    gone = _noted(
        replace(ring, state=state),
        f"{str(state).capitalize()} {on}: {why.strip().rstrip('.')}.",
    )
    ledger.commit(
        [Put(gone)],
        author=author,
        what=f"{called_ring(ring)} {state}: {why.strip()}",
    )
    return gone


def _noted(ring: Ring, said: str) -> Ring:
    return replace(ring, notes=" ".join(filter(None, [ring.notes, said])))


def _order(flock: Flock, ring: Ring) -> tuple[int, int, str]:
    """Newest ring year first, then by serial."""
    series = flock.series.get(ring.series or "")
    serial = series.serial_of(ring.inscription) if series else None
    digits = re.findall(r"\d+", ring.inscription)
    number = serial if serial is not None else int(digits[-1]) if digits else 0
    return -(ring_year(flock, ring) or 0), number, ring.id


def _year_on(inscription: str) -> int | None:
    """The one year that an inscription can mean; None where there are several."""
    words = re.findall(r"\d+", inscription)
    whole = {int(word) for word in words if re.fullmatch(r"(19|20)\d\d", word)}
    short = {2000 + int(word) for word in words if re.fullmatch(r"[0-4]\d", word)}
    years = whole or short
    return years.pop() if len(years) == 1 else None
