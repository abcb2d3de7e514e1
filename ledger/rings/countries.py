"""Countries as rings print them: ISO 3166 letters, and the trade's short forms."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Literal

# Distinguishing signs of vehicles in international traffic, which rings borrow
# (from memory); D on German federation rings: de.zxc.wiki "Zuechterring".
_SHORT_FORMS = {
    "A": "AT", "B": "BE", "D": "DE", "E": "ES", "F": "FR", "H": "HU", "I": "IT",
    "L": "LU", "N": "NO", "P": "PT", "S": "SE", "UK": "GB", "SF": "FI", "FL": "LI",
    "GBR": "GB", "IRL": "IE", "EIR": "IE", "NIR": "GB", "ENG": "GB", "SCO": "GB",
}  # fmt: skip

# Where most closed rings of cage and aviary birds come from: common practice, no
# source. It only orders readings; every country is kept.
_COMMON = frozenset({
    "AT", "AU", "BE", "BR", "CA", "CH", "CZ", "DE", "DK", "ES", "FI", "FR",
    "GB", "GR", "HR", "HU", "IE", "IT", "LU", "NL", "NO", "NZ", "PL", "PT",
    "RO", "RS", "SE", "SI", "SK", "TR", "US", "ZA",
})  # fmt: skip

How = Literal["two letters", "three letters", "short form"]


@dataclass(frozen=True)
class Country:
    """A country and the way a ring writes it."""

    alpha_2: str
    name: str
    how: How

    @property
    def is_common(self) -> bool:
        """Many rings come from there."""
        return self.alpha_2 in _COMMON

    @property
    def says(self) -> str:
        """The country and why the letters mean it, in words."""
        by = "" if self.how == "short form" else " by ISO 3166"
        return f"{self.name} ({self.how}{by})"


@cache
def countries_written(letters: str) -> tuple[Country, ...]:
    """The countries that these capitals may stand for; ISO 3166 first.

    Example:
        >>> [c.alpha_2 for c in countries_written("GBR")]
        ['GB']
    """
    import pycountry

    found: dict[str, Country] = {}
    by_two = pycountry.countries.get(alpha_2=letters)
    by_three = pycountry.countries.get(alpha_3=letters)
    if by_two is not None:
        found[by_two.alpha_2] = Country(by_two.alpha_2, _name(by_two), "two letters")
    if by_three is not None:
        alpha_2 = by_three.alpha_2
        found[alpha_2] = Country(alpha_2, _name(by_three), "three letters")
    short = _SHORT_FORMS.get(letters)
    if short and short not in found:
        entry = pycountry.countries.get(alpha_2=short)
        found[short] = Country(short, _name(entry), "short form")
    return tuple(found.values())


def _name(entry: object) -> str:
    return str(getattr(entry, "common_name", None) or getattr(entry, "name", ""))
