"""One way to read an inscription."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from ledger.rings.fields import Field

if TYPE_CHECKING:
    from ledger.rings.fields import Part
    from ledger.rings.schemes import Scheme


@dataclass(frozen=True)
class InscriptionReading:
    """One way to read an inscription."""

    parts: tuple[Part, ...]
    """In reading order, as far as it is known where the text begins."""
    score: float
    """Share among all readings that were found, 0..1."""
    scheme: Scheme | None = None
    ring_years: tuple[int, ...] = ()
    """The years it can be; several where only the last digit stands there."""
    size_mm: float | None = None
    closure: str = ""
    """"closed" or "open" where the inscription itself tells, else ""."""
    why: tuple[str, ...] = ()

    def _text(self, field: Field) -> str:
        return next((p.text for p in self.parts if p.field is field), "")

    @property
    def flock_code(self) -> str:
        """The letters of breeder, club or flock."""
        return self._text(Field.FLOCK_CODE)

    @property
    def ring_year(self) -> int | None:
        """The full year, where it is one."""
        return self.ring_years[0] if len(self.ring_years) == 1 else None

    @property
    def year_printed(self) -> str:
        """The year as it stands there."""
        return self._text(Field.RING_YEAR)

    @property
    def serial(self) -> str:
        """The number within its series, noughts in front kept."""
        return self._text(Field.SERIAL)

    @property
    def country(self) -> str:
        """ISO 3166 two letters; "" where none stands there."""
        part = next((p for p in self.parts if p.field is Field.COUNTRY), None)
        return part.value if part else ""

    @property
    def size_code(self) -> str:
        """Size letter or ordinal; "" where the size stands there in mm."""
        part = next((p for p in self.parts if p.field is Field.SIZE), None)
        return part.text if part and not part.value else ""

    @property
    def issuer(self) -> str:
        """Name of the way of writing that it follows; "" if it is nobody's."""
        return self.scheme.name if self.scheme else ""
