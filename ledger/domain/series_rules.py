"""What must hold for ring series and the rings in them: no number twice."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ledger.domain.finding import Finding, Severity
from ledger.domain.mark_rules import called_ring
from ledger.domain.series import SERIAL

if TYPE_CHECKING:
    from collections.abc import Iterator

    from ledger.domain.flock import Flock
    from ledger.domain.ring import Ring
    from ledger.domain.series import RingSeries


def check_series(flock: Flock, series: RingSeries) -> Iterator[Finding]:
    """A series has a place for the serial, and shares no number with another."""
    if SERIAL not in series.pattern:
        yield Finding(
            Severity.ERROR,
            series.id,
            f"The ring series {series.id} does not say where the serial stands.",
            f"Write its inscription with {SERIAL} in it.",
        )
        return
    for other in flock.series.values():
        if other.id == series.id:
            break  # told once, from the later one
        if _issuer(other) != _issuer(series):
            continue
        shared = [n for n in (series.first, series.last) if _has(other, series, n)]
        shared += [n for n in (other.first, other.last) if _has(series, other, n)]
        if shared:
            inscription = (
                series if shared[0] in series.serials else other
            ).inscription(shared[0])
            yield Finding(
                Severity.ERROR,
                series.id,
                f"“{inscription}” is in two ring series, {other.id} and {series.id}.",
                "Correct the serials of one of them: no number is used twice.",
                "first",
                (other.id,),
            )


def check_ring_series(flock: Flock, ring: Ring) -> Iterator[Finding]:
    """A ring of a series is one of its serials."""
    if ring.series is None:
        return
    series = flock.series.get(ring.series)
    if series is None:
        yield Finding(
            Severity.WARNING,
            ring.id,
            f"{called_ring(ring)} names the series {ring.series}, and there is no such "
            "series.",
            "Enter the series, or leave it open.",
            "series",
        )
    elif series.serial_of(ring.inscription) is None:
        yield Finding(
            Severity.WARNING,
            ring.id,
            f"{called_ring(ring)} is none of the series {series.id}, which runs from "
            f"“{series.inscription(series.first)}” to "
            f"“{series.inscription(series.last)}”.",
            "Correct the inscription, or the series.",
            "series",
        )


def _has(one: RingSeries, other: RingSeries, serial: int) -> bool:
    """A ring of the other series reads like one of this series."""
    if serial not in other.serials:
        return False
    return one.serial_of(other.inscription(serial)) is not None


def _issuer(series: RingSeries) -> str:
    return " ".join(series.issuer.casefold().split())
