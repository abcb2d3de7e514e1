"""Who signs what is stored."""

from __future__ import annotations

import getpass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ledger.domain.flock import Flock
    from ledger.settings import Settings


def keeper_name(flock: Flock, settings: Settings) -> str:
    """Who signs: as chosen, else the flock's keeper, else the name of the login."""
    if settings.keeper:
        return settings.keeper
    person = flock.people.get(flock.settings.keeper or "")
    if person is not None and person.name:
        return person.name
    try:
        return getpass.getuser()
    except (OSError, KeyError, ImportError):  # as it fails on each system
        return "keeper"
