"""The ring stock as a list: every ring and what became of it, and the sums."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from ledger.domain.kind import id_number
from ledger.domain.ring import RingState
from ledger.domain.series import SERIAL
from ledger.services.stock import ring_year

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from ledger.domain.flock import Flock
    from ledger.domain.ring import Ring
    from ledger.domain.series import RingSeries

_ORDER = (
    "in stock",
    "on the way",
    "on bird",
    "removed and kept",
    "removed",
    "spoiled",
    "lost",
)
"""Every ring is one of these."""


@dataclass(frozen=True, slots=True)
class StockLine:
    """One ring, or a whole series that was ordered and has not come."""

    key: str
    """Ring id, or series id."""
    inscription: str
    size: str
    """In mm; "" where it is not known."""
    kind: str
    colour: str
    year: str
    account: str
    """In stock, on the way, on bird, removed and kept, removed, spoiled or lost."""
    where: str
    """The bird that wears or wore it, or where it is kept."""
    series: str
    """Series id; "" where it belongs to none."""
    notes: str
    count: int = 1
    """Rings."""


def accounted(ring: Ring) -> str:
    """What became of a ring, in the words of the stock."""
    if ring.state is RingState.REMOVED and ring.kept:
        return "removed and kept"
    return str(ring.state)


def stock_lines(flock: Flock, *, all_issuers: bool = False) -> tuple[StockLine, ...]:
    """The flock's own rings and split rings in stock, what is to hand first.

    Args:
        flock: The flock.
        all_issuers: Also rings that came on a bird from somewhere else.
    """
    ours = flock.settings.name.casefold()
    lines = [
        _of_ring(flock, ring)
        for ring in flock.rings.values()
        if all_issuers or _is_ours(ours, ring)
    ]
    lines += [
        StockLine(
            series.id,
            _series_in_short(series),
            _mm(series.size_mm),
            str(series.kind),
            series.colour,
            str(series.ring_year or ""),
            "on the way",
            "",
            series.id,
            " ".join(
                filter(None, [f"Ordered {series.ordered or 'once'}.", series.notes])
            ),
            len(series.serials),
        )
        for series in flock.series.values()
        if series.arrived is None and not flock.rings_in(series.id)
    ]
    return tuple(sorted(lines, key=_place))


def matching(lines: Iterable[StockLine], words: str) -> list[StockLine]:
    """Lines that have every word somewhere: `7.5 stock 2025`."""
    wanted = words.casefold().split()
    return [line for line in lines if all(word in _text(line) for word in wanted)]


def sums(lines: Iterable[StockLine]) -> dict[str, int]:
    """Rings by what became of them; all that are in the list."""
    counted: Counter[str] = Counter()
    for line in lines:
        counted[line.account] += line.count
    return {account: counted[account] for account in _ORDER if counted[account]}


def sums_in_words(lines: Sequence[StockLine]) -> str:
    """The sums as one line."""
    counted = sums(lines)
    parts = [f"{number:,} {account}" for account, number in counted.items()]
    total = sum(counted.values())
    rings = "1 ring" if total == 1 else f"{total:,} rings"
    return f"{rings}: {', '.join(parts)}" if parts else "No rings"


def told(lines: Sequence[StockLine]) -> Iterator[str]:
    """The stock as sentences: the sums, and what is to hand by size and year."""
    yield f"{sums_in_words(lines)}."
    to_hand: dict[tuple[str, str, str], list[StockLine]] = {}
    for line in lines:
        if line.account in ("in stock", "on the way"):
            key = (line.size, line.year, line.account)
            to_hand.setdefault(key, []).append(line)
    for (size, year, account), those in to_hand.items():
        number = sum(line.count for line in those)
        named = ", ".join(line.inscription for line in those[:4])
        more = f" and {len(those) - 4} more" if len(those) > 4 else ""
        yield (
            f"- {size or '?'} mm, {year or 'no year'}, {account}: {number} "
            f"({named}{more})"
        )


def lines_as_plain(lines: Sequence[StockLine]) -> dict[str, Any]:
    """The stock for another program."""
    return {
        "sums": sums(lines),
        "rings": [
            {
                "id": line.key,
                "inscription": line.inscription,
                "size_mm": float(line.size) if line.size else None,
                "kind": line.kind,
                "colour": line.colour,
                "ring_year": int(line.year) if line.year else None,
                "account": line.account,
                "where": line.where,
                "series": line.series or None,
                "rings": line.count,
                "notes": line.notes,
            }
            for line in lines
        ],
    }


def _is_ours(ours: str, ring: Ring) -> bool:
    issued = bool(ours) and ring.issuer.casefold() == ours
    # What no bird ever wore was bought by the keeper, whoever gave it out.
    return issued or bool(ring.series) or ring.bird is None


def _of_ring(flock: Flock, ring: Ring) -> StockLine:
    bird = flock.birds.get(ring.bird or "")
    where = ring.kept or (bird.title if bird else "")
    return StockLine(
        ring.id,
        ring.inscription or ring.id,
        _mm(ring.size_mm),
        str(ring.kind),
        ring.colour,
        str(ring_year(flock, ring) or ""),
        accounted(ring),
        where,
        ring.series or "",
        ring.notes,
    )


def _series_in_short(series: RingSeries) -> str:
    """Its rings in one: `IE TWK / 27 0107 to 0110`."""
    first, last = (
        f"{n:0{max(series.digits, 1)}d}" for n in (series.first, series.last)
    )
    span = first if series.first == series.last else f"{first} to {last}"
    return series.pattern.replace(SERIAL, span)


def _mm(size_mm: float | None) -> str:
    return f"{size_mm:g}" if size_mm is not None else ""


def _place(line: StockLine) -> tuple[int, int, float, int, str]:
    return (
        _ORDER.index(line.account),
        -int(line.year or 0),
        float(line.size or 0),
        id_number(line.key),
        line.key,
    )


def _text(line: StockLine) -> str:
    parts = (
        line.inscription,
        f"{line.size} mm",
        line.kind,
        line.colour,
        line.year,
        line.account,
        line.where,
        line.series,
        line.notes,
    )
    return " ".join(parts).casefold()
