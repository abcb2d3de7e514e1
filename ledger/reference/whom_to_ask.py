"""Whom to ask about a ring of a country, in general terms.

Nobody's name stands there but that of public bodies. Sources, as each row says: a
statute, an ordinance, a hobby page, and common practice.
"""

from __future__ import annotations

from ledger.reference.table import rows


def whom_to_ask(country: str) -> tuple[str, ...]:
    """Whom to ask, as the ends of a sentence; nothing where no row has the country.

    Args:
        country: ISO 3166 alpha-2.
    """
    return tuple(
        row.text("ask")
        for row in rows("whom_to_ask.csv")
        if row.text("country") == country
    )
