"""Ring series: ordered, come, and no number twice.

An inscription is looked for among every ring ever entered and among the series that
are still on their way.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from ledger.domain.change import Put
from ledger.domain.kind import Kind
from ledger.domain.mark_rules import called_ring, same_inscription
from ledger.domain.ring import Ring
from ledger.domain.series import SERIAL, RingSeries
from ledger.errors import NotFoundError, RuleError
from ledger.services.ledger import date_of

if TYPE_CHECKING:
    from ledger.domain.flock import Flock
    from ledger.services.ledger import Ledger, When

MOST_RINGS = 1000
"""Of one series; a slip of the keys must not make a million rings."""


def order_series(
    ledger: Ledger, series: RingSeries, author: str, on: When
) -> RingSeries:
    """Enter a series as ordered; its rings come into stock when it arrives.

    Args:
        ledger: An open ledger.
        series: With an empty id; one without an issuer is the flock's own.
        author: Who ordered it.
        on: When.

    Returns:
        The series as stored.

    Raises:
        RuleError: its serials make no sense, or one of its rings is there already.
    """
    flock = ledger.flock
    issuer = series.issuer.strip() or flock.settings.name
    new = replace(
        series, id=flock.next_id(Kind.SERIES), issuer=issuer, ordered=date_of(on)
    )
    _refuse_odd(new)
    refuse_twice(flock, new)
    ledger.commit([Put(new)], author=author, what=f"{called_series(new)} ordered")
    return new


def arrive(
    ledger: Ledger, series_id: str, on: When, author: str, *, batch: str = ""
) -> tuple[Ring, ...]:
    """Take a series that was ordered into stock, ring by ring.

    Args:
        ledger: An open ledger.
        series_id: The series.
        on: When it came.
        author: Who counted it.
        batch: The supplier's number of the batch, where it is told only now.

    Returns:
        Its rings, all in stock.

    Raises:
        NotFoundError: there is no such series.
        RuleError: it is in stock already, or one of its rings is there by now.
    """
    flock = ledger.flock
    series = series_of(flock, series_id)
    if series.arrived is not None or flock.rings_in(series.id):
        raise RuleError(
            f"{called_series(series)} is in stock already.",
            "Look for its rings in the ring stock.",
        )
    refuse_twice(flock, series)
    rings = tuple(
        Ring(
            flock.next_id(Kind.RING, after=number),
            series.inscription(serial),
            series.kind,
            series.colour,
            series.size_mm,
            issuer=series.issuer,
            series=series.id,
        )
        for number, serial in enumerate(series.serials)
    )
    come = replace(series, arrived=date_of(on), batch=batch.strip() or series.batch)
    ledger.commit(
        [Put(come), *(Put(ring) for ring in rings)],
        author=author,
        what=f"{called_series(series)} taken into stock: {_count(len(rings))}",
    )
    return rings


def series_of(flock: Flock, series_id: str) -> RingSeries:
    """The series with this id.

    Raises:
        NotFoundError: there is none.
    """
    series = flock.series.get(series_id)
    if series is None:
        raise NotFoundError(
            f"There is no ring series {series_id} in this ledger.",
            "Look it up in the ring stock.",
        )
    return series


def called_series(series: RingSeries) -> str:
    """A series by its first and last ring."""
    if series.last <= series.first:
        return f"Ring series “{series.inscription(series.first)}”"
    return (
        f"Ring series “{series.inscription(series.first)}” to "
        f"“{series.inscription(series.last)}”"
    )


def refuse_twice(flock: Flock, series: RingSeries) -> None:
    """No number twice: neither on a ring there ever was nor in an order under way.

    Raises:
        RuleError: an inscription of the series is taken; it names the first.
    """
    for serial in series.serials:
        inscription = series.inscription(serial)
        probe = Ring("", inscription, issuer=series.issuer)
        for ring in flock.rings_inscribed(inscription):
            if _issuer(ring.issuer) == _issuer(series.issuer) and (
                ring.series != series.id or not same_inscription(ring, probe)
            ):
                raise RuleError(
                    f"{called_ring(ring)} is there already: it is {ring.state}.",
                    "No number is used twice: begin behind the last serial you had.",
                )
    for other in flock.series.values():
        if other.id == series.id or _issuer(other.issuer) != _issuer(series.issuer):
            continue
        for serial in series.serials:
            if other.serial_of(series.inscription(serial)) is not None:
                raise RuleError(
                    f"“{series.inscription(serial)}” is in another series: "
                    f"{called_series(other)}.",
                    "No number is used twice: begin behind the last serial you had.",
                )


def _refuse_odd(series: RingSeries) -> None:
    if series.pattern.count(SERIAL) != 1:
        raise RuleError(
            f"“{series.pattern}” does not say where the serial stands.",
            f"Write {SERIAL} once, where the number goes: “IE TWK / 27 {SERIAL}”.",
        )
    if not series.serials or series.first < 0:
        raise RuleError(
            f"A series from {series.first} to {series.last} has no rings.",
            "Give the first serial and the last.",
        )
    if len(series.serials) > MOST_RINGS:
        raise RuleError(
            f"A series of {len(series.serials):,} rings is more than {MOST_RINGS:,}.",
            "Enter it in parts, or correct the last serial.",
        )
    if series.size_mm is None or not 1 < series.size_mm < 60:
        raise RuleError(
            "The series has no size that a bird's ring has.",
            "Give the inner diameter in mm, as the maker does: 7.5.",
        )


def _issuer(issuer: str) -> str:
    return " ".join(issuer.casefold().split())


def _count(number: int) -> str:
    return "1 ring" if number == 1 else f"{number} rings"
