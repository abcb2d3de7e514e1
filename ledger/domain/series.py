"""A year's rings: what was ordered together and came together."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, ClassVar

from ledger.domain.kind import Kind
from ledger.domain.ring import RingKind, compact

if TYPE_CHECKING:
    from collections.abc import Mapping

    from ledger.domain.partial_date import PartialDate

SERIAL = "{serial}"
"""Where the serial stands in a pattern."""


@dataclass(frozen=True, slots=True)
class RingSeries:
    """Rings of one size whose serials follow each other.

    The rings themselves are things of their own, each naming its series.
    """

    KIND: ClassVar[Kind] = Kind.SERIES

    id: str
    pattern: str = ""
    """Inscription with `{serial}` where the serial stands: `IE TWK / 26 {serial}`."""
    ring_year: int | None = None
    first: int = 1
    """First serial."""
    last: int = 0
    """Last serial; below the first where there are none yet."""
    digits: int = 3
    """Of a serial, leading zeros counted."""
    size_mm: float | None = None
    """Inner diameter."""
    kind: RingKind = RingKind.CLOSED
    colour: str = ""
    issuer: str = ""
    batch: str = ""
    """The supplier's own number of the batch."""
    ordered: PartialDate | None = None
    arrived: PartialDate | None = None
    notes: str = ""
    extra: Mapping[str, Any] = field(default_factory=dict, hash=False)

    @property
    def serials(self) -> range:
        """Its serials, first first."""
        return range(self.first, self.last + 1)

    def inscription(self, serial: int) -> str:
        """What stands on the ring with this serial."""
        return self.pattern.replace(SERIAL, f"{serial:0{max(self.digits, 1)}d}")

    def serial_of(self, inscription: str) -> int | None:
        """The serial on a ring of this series; None where it is none of its rings."""
        before, _, after = (compact(part) for part in self.pattern.partition(SERIAL))
        written = compact(inscription)
        middle = written.removeprefix(before).removesuffix(after)
        if not middle.isdecimal() or before + middle + after != written:
            return None
        return int(middle) if int(middle) in self.serials else None
