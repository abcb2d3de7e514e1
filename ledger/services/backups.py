"""Backups: make one, list them, see what one would change, go back to it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from ledger.domain.bird import Bird
from ledger.domain.change import Drop, Put
from ledger.domain.kind import Kind
from ledger.errors import NotFoundError
from ledger.services.mending_trials import called
from ledger.store import Backup, all_of, flock_in, lay_back

if TYPE_CHECKING:
    from collections.abc import Sequence

    from ledger.domain.change import Change
    from ledger.domain.flock import Flock
    from ledger.services.ledger import Ledger

__all__ = [
    "Backup",
    "Difference",
    "all_of",
    "backup",
    "differences",
    "find",
    "flock_in",
    "lay_back",
    "restore",
    "what_would_change",
]

BY_HAND = "by-hand"
BEFORE_RESTORE = "before-restore"


@dataclass(frozen=True)
class Difference:
    """What going back would do to one kind of things; ids, in order."""

    kind: Kind
    comes_back: tuple[str, ...]
    """In the backup and no more in the ledger."""
    changes_back: tuple[str, ...]
    """In both, and not alike."""
    goes: tuple[str, ...]
    """In the ledger and not yet in the backup."""

    @property
    def count(self) -> int:
        """How many things it touches."""
        return len(self.comes_back) + len(self.changes_back) + len(self.goes)


def backup(ledger: Ledger, reason: str = BY_HAND) -> Path:
    """Keep the whole ledger as it is now. The photos are not in it.

    Args:
        ledger: An open ledger.
        reason: A word for the file's name.

    Raises:
        StoreReadOnlyError: the ledger takes no changes.
        StoreError: the disk refused.
    """
    return ledger.backup(reason)


def find(folder: Path, words: str) -> Backup:
    """The backup with this name, of this day (its last one), or at this path.

    Args:
        folder: The ledger's.
        words: "2026-01-15", "ledger-2026-01-15-daily" or a file.

    Raises:
        NotFoundError: there is none.
    """
    known = all_of(folder)
    for each in known:
        if words in (each.name, each.path.name, str(each.path)):
            return each
    for each in known:
        if words == each.day.isoformat():
            return each
    path = Path(words).expanduser()
    for each in known:
        if path.exists() and each.path.samefile(path):
            return each
    if path.is_file():
        import datetime as dt

        stat = path.stat()
        day = dt.datetime.fromtimestamp(stat.st_mtime).astimezone().date()
        return Backup(path, day, "elsewhere", 1, stat.st_size)
    raise NotFoundError(
        f"There is no backup “{words}”.",
        "`flock-ledger restore` lists those there are."
        if known
        else "None was made yet; `flock-ledger backup` makes one.",
    )


def differences(now: Flock, then: Flock) -> list[Difference]:
    """What going back from one flock to another would change, by kind."""
    found = []
    for kind in Kind:
        here, there = now.all_of(kind), then.all_of(kind)
        difference = Difference(
            kind,
            comes_back=tuple(key for key in there if key not in here),
            changes_back=tuple(
                key for key in there if key in here and here[key] != there[key]
            ),
            goes=tuple(key for key in here if key not in there),
        )
        if difference.count:
            found.append(difference)
    return found


def restore(ledger: Ledger, chosen: Backup, author: str) -> list[Difference]:
    """Make the ledger what it was in a backup, as one more act.

    The list of changes goes on, so that this too can be undone; and what is
    replaced is kept as a backup of its own.

    Args:
        ledger: An open ledger.
        chosen: What to go back to.
        author: Who does it.

    Returns:
        What was changed.

    Raises:
        StoreError: the backup is not whole, or the disk refused.
    """
    then = flock_in(chosen.path)
    found = differences(ledger.flock, then)
    if not found:
        return []
    backup(ledger, BEFORE_RESTORE)
    changes: list[Change] = []
    for difference in found:
        kind = difference.kind
        changes += [Drop(kind, key) for key in difference.goes]
        changes += [
            Put(then.all_of(kind)[key])
            for key in _both(difference.comes_back, difference.changes_back)
        ]
    ledger.commit_unchecked(
        changes, author=author, what=f"Went back to the backup {chosen.name}"
    )
    return found


_NAMED = 8
"""Things of a kind that are named one by one."""


def in_words(found: Sequence[Difference], now: Flock, then: Flock) -> list[str]:
    """What going back would change, a line for each kind and way."""
    return [
        f"{_upper(difference.kind)} that {what}: {_names(flock, difference.kind, keys)}"
        for difference in found
        for what, keys, flock in (
            ("come back", difference.comes_back, then),
            ("change back", difference.changes_back, now),
            ("go", difference.goes, now),
        )
        if keys
    ]


def what_would_change(ledger: Ledger, chosen: Backup) -> list[str]:
    """What going back to a backup would change, in words; empty for nothing.

    Raises:
        StoreError: the backup is not whole.
    """
    now, then = ledger.flock, flock_in(chosen.path)
    return in_words(differences(now, then), now, then)


def _names(flock: Flock, kind: Kind, keys: Sequence[str]) -> str:
    things = [flock.all_of(kind)[key] for key in keys[:_NAMED]]
    named = ", ".join(
        f"{thing.title} ({thing.id})"
        if isinstance(thing, Bird) and thing.name
        else called(flock, thing)
        for thing in things
    )
    more = len(keys) - _NAMED
    return f"{named} and {more} more" if more > 0 else named


def _upper(words: str) -> str:
    return words[:1].upper() + words[1:]


def _both(first: Sequence[str], second: Sequence[str]) -> list[str]:
    return [*first, *second]
