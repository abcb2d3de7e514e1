"""Files beside a ledger that this program did not put there, or kept from harm."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from ledger.store.loading import Places

if TYPE_CHECKING:
    from pathlib import Path

FILE_NAME = "ledger.json"


def copies_in_conflict(folder: Path) -> list[Path]:
    """Other ledgers beside the ledger, as programs that keep folders alike leave them.

    Each such program has a name of its own for a second version of a file: they
    all begin like the file and end like it.
    """
    places = Places(folder / FILE_NAME)
    ours = {
        path.name
        for path in (
            places.snapshot,
            places.journal,
            places.old_snapshot,
            places.old_journal,
        )
    }
    looks_like_it = re.compile(r"ledger\b.*\.(json|journal)", re.IGNORECASE | re.DOTALL)
    return sorted(
        path
        for path in folder.iterdir()
        if looks_like_it.fullmatch(path.name)
        and path.name not in ours
        and path.is_file()
    )


def kept_from_damage(folder: Path) -> list[Path]:
    """Damaged files, and ends of journals, that were set aside."""
    return sorted(
        path
        for pattern in ("ledger.*.damaged-*", "ledger.*.cut-off-*")
        for path in folder.glob(pattern)
    )
