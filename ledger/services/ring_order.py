"""The year's ring order: worked out, numbered on, and entered as series."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from ledger.care.ring_order import OrderLine, OrderPlan, plan_order
from ledger.care.sizes import is_size
from ledger.domain.change import Put
from ledger.domain.kind import Kind
from ledger.domain.ring import RingKind
from ledger.domain.series import SERIAL, RingSeries
from ledger.errors import RuleError
from ledger.reference.ring_colours import colours_of, years_of
from ledger.services.ledger import date_of
from ledger.services.ring_series import called_series, refuse_twice
from ledger.services.stock import ring_year

if TYPE_CHECKING:
    import datetime as dt

    from ledger.domain.flock import Flock
    from ledger.domain.people import FlockSettings
    from ledger.services.ledger import Ledger, When

_COM = "COM"
"""Confederation Ornithologique Mondiale, whose colours most rings follow."""
_ROOM_FOR_COUNTRY_MM = 6.0
"""Smaller rings have no room for the country. Common practice, no source."""
_SECOND_HALF = 7
"""From this month on the next order is that of the next year."""


@dataclass(frozen=True, slots=True)
class YearOrder:
    """A plan, and the series that it would be entered as."""

    plan: OrderPlan
    series: tuple[RingSeries, ...]
    """One for each line of the plan that has rings to order; their ids are empty."""
    notes: tuple[str, ...]

    def series_of(self, line: OrderLine) -> RingSeries | None:
        """What a line of the plan would be entered as."""
        return next((it for it in self.series if it.size_mm == line.size_mm), None)


def next_year(today: dt.date) -> int:
    """The year whose rings are ordered now."""
    return today.year + (today.month >= _SECOND_HALF)


def order_for(
    flock: Flock, year: int, *, clutches_a_pair: int = 0, colour: str = ""
) -> YearOrder:
    """Work out the rings to order for a year.

    Args:
        flock: The flock.
        year: Ring year.
        clutches_a_pair: To reckon with; 0: as experience has it, at least one.
        colour: Of the rings to order.

    Raises:
        RuleError: the year or the clutches make no sense.
    """
    if not 1900 <= year <= 2999:
        raise RuleError(f"{year} is no ring year.", "Give four digits: 2027.")
    if not 0 <= clutches_a_pair <= 12:
        raise RuleError(
            f"No pair has {clutches_a_pair} clutches in a season.", "Give 1 to 12."
        )
    plan = plan_order(
        flock, year, on_the_way(flock, year), clutches_a_pair=clutches_a_pair
    )
    series, serial = [], next_number(flock, year)
    for line in plan.lines:
        if line.to_order:
            last = serial + line.to_order - 1
            series.append(_series(flock, year, line.size_mm, serial, last, colour))
            serial = last + 1
    return YearOrder(plan, tuple(series), (*plan.notes, *colour_notes(year, colour)))


def enter_order(
    ledger: Ledger, order: YearOrder, author: str, on: When
) -> tuple[RingSeries, ...]:
    """Enter all series of an order as ordered, in one act.

    Raises:
        RuleError: there is nothing to order, or a number is there already.
    """
    flock = ledger.flock
    if not order.series:
        raise RuleError(
            f"There is nothing to order for {order.plan.year}.",
            "What the year may take is in stock or on its way.",
        )
    entered = tuple(
        replace(
            series, id=flock.next_id(Kind.SERIES, after=number), ordered=date_of(on)
        )
        for number, series in enumerate(order.series)
    )
    for series in entered:
        refuse_twice(flock, series)
    ledger.commit(
        [Put(series) for series in entered],
        author=author,
        what=f"Rings of {order.plan.year} ordered: "
        + "; ".join(called_series(series) for series in entered),
    )
    return entered


def on_the_way(flock: Flock, year: int) -> dict[float, int]:
    """Own closed rings of a year by size, in stock or ordered and not come yet."""
    have: Counter[float] = Counter()
    for ring in flock.rings_in_stock():
        closed = ring.kind is RingKind.CLOSED and ring.size_mm is not None
        if closed and ring.size_mm and ring_year(flock, ring) == year:
            have[ring.size_mm] += 1
    for series in flock.series.values():
        coming = series.arrived is None and not flock.rings_in(series.id)
        is_of_year = series.ring_year == year and series.kind is RingKind.CLOSED
        if coming and is_of_year and series.size_mm:
            have[series.size_mm] += len(series.serials)
    return dict(have)


def coloured(order: YearOrder, colour: str) -> YearOrder:
    """The same order in another colour."""
    return replace(
        order, series=tuple(replace(it, colour=colour) for it in order.series)
    )


def colour_notes(year: int, colour: str = "") -> tuple[str, ...]:
    """What the year's colour is where one is printed, and what a colour tells.

    Args:
        year: Ring year.
        colour: As the keeper chose it.
    """
    of_year = [it for it in colours_of(year) if it.scheme.startswith(_COM)]
    told = [
        f"{it.scheme} gives {year} the colour {it.colour.lower()} ({it.source})."
        for it in of_year
    ]
    told.append(
        "A colour is never one year: colours come round again after five or six years, "
        "and schemes differ."
    )
    warning = colour_warning(year, colour)
    return (*told, warning) if warning else tuple(told)


def colour_warning(year: int, colour: str) -> str:
    """Which years a colour would be taken for, where this is none of them; else ""."""
    others = [it.year for it in years_of(colour) if it.scheme.startswith(_COM)]
    if not others or year in others:
        return ""
    return (
        f"Whoever goes by the COM colours takes {colour.strip().lower()} rings for "
        f"rings of {', '.join(map(str, sorted(others)))}, not of {year}."
    )


def pattern_for(settings: FlockSettings, year: int, size_mm: float) -> str:
    """An inscription for a new series, where no earlier one shows the layout."""
    code = settings.flock_code or "?"
    if size_mm < _ROOM_FOR_COUNTRY_MM or not settings.country:
        return f"{code} {year % 100:02d} / {SERIAL}"
    return f"{settings.country} {code} / {year % 100:02d} {SERIAL}"


def _series(
    flock: Flock, year: int, size_mm: float, first: int, last: int, colour: str
) -> RingSeries:
    own = _own_series(flock)
    alike = [it for it in own if is_size(it.size_mm, size_mm)]
    pattern = next(
        filter(None, (_turned(it, year) for it in reversed(alike))),
        pattern_for(flock.settings, year, size_mm),
    )
    digits = own[-1].digits if own else 3
    return RingSeries(
        "", pattern, year, first, last, digits, size_mm,
        colour=colour, issuer=flock.settings.name,
    )  # fmt: skip


def _turned(series: RingSeries, year: int) -> str:
    """The layout of an earlier series with another year; "" where it shows none."""
    if series.ring_year is None:
        return ""
    for old, new in (
        (f"{series.ring_year:04d}", f"{year:04d}"),
        (f"{series.ring_year % 100:02d}", f"{year % 100:02d}"),
    ):
        found = re.findall(rf"(?<!\d){old}(?!\d)", series.pattern)
        if len(found) == 1:
            return re.sub(rf"(?<!\d){old}(?!\d)", new, series.pattern)
    return ""


def next_number(flock: Flock, year: int) -> int:
    """Where the serials of a year begin: numbers run on, or begin at 1 each year."""
    own = _own_series(flock)
    of_year = [it.last for it in own if it.ring_year == year]
    if of_year:
        return max(of_year) + 1
    newest = max((it.ring_year for it in own if it.ring_year), default=None)
    firsts = [it.first for it in own if it.ring_year == newest]
    if not firsts or min(firsts) == 1:
        return 1
    return max(it.last for it in own) + 1


def _own_series(flock: Flock) -> list[RingSeries]:
    """The flock's own series, the oldest ring year first."""
    name = flock.settings.name.casefold()
    own = [it for it in flock.series.values() if it.issuer.casefold() == name]
    return sorted(own, key=lambda it: (it.ring_year or 0, it.first))
