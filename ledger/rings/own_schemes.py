"""Ways of writing a ring that a keeper adds to the table of the program.

They stand in a file of the same columns as `schemes.csv`. A row that cannot be used
is passed over and told; the others count.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ledger.rings.schemes import COLUMNS, NEEDED, Scheme, scheme_of

if TYPE_CHECKING:
    from pathlib import Path

_MOST_ROWS = 1000


@dataclass(frozen=True)
class OwnSchemes:
    """What the keeper's file holds."""

    schemes: tuple[Scheme, ...] = ()
    troubles: tuple[str, ...] = ()
    """What in it cannot be used, as sentences."""


def read_own_schemes(path: Path) -> OwnSchemes:
    """The keeper's own ways of writing; nothing where there is no such file.

    Args:
        path: A CSV in UTF-8 whose first line names the columns.
    """
    try:
        text = path.read_text(encoding="utf-8-sig")
    except FileNotFoundError:
        return OwnSchemes()
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or "it is not UTF-8"
        return OwnSchemes(
            troubles=(f"{path.name} cannot be read: {why}. It is passed over.",)
        )
    rows = csv.DictReader(text.splitlines())
    missing = [name for name in NEEDED if name not in (rows.fieldnames or ())]
    if missing:
        wanted = ", ".join(COLUMNS)
        return OwnSchemes(
            troubles=(
                f"{path.name} has no column “{missing[0]}”: its first line must name "
                f"the columns {wanted}. It is passed over.",
            )
        )
    return _of_rows(path.name, rows)


def _of_rows(name: str, rows: csv.DictReader[str]) -> OwnSchemes:
    found: list[Scheme] = []
    troubles: list[str] = []
    for row in rows:
        at = f"{name}, line {rows.line_num}"
        if len(found) >= _MOST_ROWS:
            troubles.append(f"{at}: more than {_MOST_ROWS} rows; the rest is left out.")
            break
        try:
            if None in row:
                raise ValueError("There are more cells than columns.")
            found.append(scheme_of(row))
        except ValueError as error:
            troubles.append(f"{at}: {error} This row is passed over.")
    return OwnSchemes(tuple(found), tuple(troubles))
