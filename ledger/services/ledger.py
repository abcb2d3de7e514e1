"""An open ledger, and how every act of the keeper is stored in it."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ledger import paths
from ledger.domain.partial_date import PartialDate
from ledger.domain.rules import errors_caused_by
from ledger.errors import NotFoundError, RuleError, StoreReadOnlyError
from ledger.store import open_store

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence
    from types import TracebackType

    from ledger.domain.bird import Bird
    from ledger.domain.change import Change, Put
    from ledger.domain.flock import Flock
    from ledger.domain.history import Act
    from ledger.domain.kind import Kind
    from ledger.domain.ring import Ring
    from ledger.store import Store

When = dt.date | PartialDate
"""A day, or as much of it as is known."""


class Ledger:
    """An open ledger: the flock, and the one way to change it."""

    def __init__(self, store: Store) -> None:
        self._store = store

    @property
    def flock(self) -> Flock:
        """The flock as it is now."""
        return self._store.flock

    @property
    def read_only(self) -> bool:
        """It takes no changes."""
        return self._store.read_only

    @property
    def notices(self) -> tuple[str, ...]:
        """What was found at opening that the keeper must be told, in sentences."""
        return self._store.notices

    @property
    def folder(self) -> Path:
        """Where it lies."""
        return self._store.folder

    def commit(
        self,
        changes: Sequence[Change],
        *,
        author: str,
        what: str,
        undoes: int | None = None,
    ) -> Flock:
        """Store one act of the keeper, all of it or nothing.

        Args:
            changes: In order.
            author: Who does it.
            what: What was done, in words.
            undoes: Number of the act that it takes back.

        Raises:
            RuleError: it would break a rule of the flock; nothing is stored.
            StoreError: it could not be stored.
        """
        after, errors = errors_caused_by(self.flock, changes)
        if errors:
            more = len(errors) - 1
            also = f" (And {more} more of the kind.)" if more else ""
            raise RuleError(errors[0].message + also, errors[0].remedy)
        return self._store.commit(
            changes, author=author, what=what, after=after, undoes=undoes
        )

    def commit_unchecked(
        self,
        changes: Sequence[Change],
        *,
        author: str,
        what: str,
        undoes: int | None = None,
    ) -> Flock:
        """Store what was in the ledger before: no rule may keep it out.

        Raises:
            StoreError: it could not be stored.
        """
        return self._store.commit(changes, author=author, what=what, undoes=undoes)

    def acts(self, mention: Iterable[str] = ()) -> Iterator[Act]:
        """All acts, the last one first; with ids only those that name one of them.

        Raises:
            StoreDamagedError: one cannot be read.
        """
        return self._store.acts(mention)

    def kept_acts(self) -> dict[str, dict[str, Any]]:
        """What is kept of every act, by its number."""
        return self._store.kept_acts()

    def take_over(
        self,
        changes: Sequence[Put],
        last_numbers: Mapping[Kind, int],
        acts: Mapping[str, Mapping[str, Any]],
        *,
        author: str,
        what: str,
    ) -> Flock:
        """Fill an empty ledger with a whole one; no rule may keep anything out.

        Raises:
            StoreError: it could not be stored.
        """
        return self._store.take_over(
            changes, last_numbers, acts, author=author, what=what
        )

    def backup(self, reason: str) -> Path:
        """Keep the whole ledger as it is now, as one file.

        Raises:
            StoreReadOnlyError: the ledger takes no changes.
            StoreError: it could not be written.
        """
        refuse_if_read_only(self)
        return self._store.backup(reason)

    def reload(self) -> Flock:
        """See what another window did since; where it did nothing, the same flock.

        Raises:
            StoreError: as at opening.
        """
        return self._store.reload()

    def close(self) -> None:
        """Let other windows write."""
        self._store.close()

    def __enter__(self) -> Ledger:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()


def place(store: Path | str | None) -> Path:
    """The folder of the ledger: the one asked for, or the keeper's own."""
    return Path(store).expanduser() if store else paths.ledger_folder()


def open_ledger(
    folder: Path, *, read_only: bool = False, create: bool = False
) -> Ledger:
    """Open the ledger in a folder.

    Args:
        folder: Where it lies.
        read_only: Take no lock, change nothing; works while another window writes.
        create: Where there is none yet, start an empty flock.

    Raises:
        StoreError: one of its kinds says why it cannot be used.
    """
    return Ledger(open_store(folder, read_only=read_only, create=create))


def refuse_if_read_only(ledger: Ledger) -> None:
    """For acts that write a file before they commit.

    Raises:
        StoreReadOnlyError: the ledger takes no changes.
    """
    if ledger.read_only:
        raise StoreReadOnlyError(
            f"The ledger in “{ledger.folder}” is open for reading only."
        )


def date_of(when: When) -> PartialDate:
    """A date as the ledger keeps it."""
    return when if isinstance(when, PartialDate) else PartialDate.of(when)


def bird_of(flock: Flock, bird_id: str) -> Bird:
    """The bird with this id.

    Raises:
        NotFoundError: there is none.
    """
    bird = flock.birds.get(bird_id)
    if bird is None:
        raise NotFoundError(
            f"There is no bird {bird_id} in this ledger.",
            "Look it up by name, ring or chip.",
        )
    return bird


def ring_of(flock: Flock, ring_id: str) -> Ring:
    """The ring with this id.

    Raises:
        NotFoundError: there is none.
    """
    ring = flock.rings.get(ring_id)
    if ring is None:
        raise NotFoundError(
            f"There is no ring {ring_id} in this ledger.",
            "Look it up by its inscription.",
        )
    return ring
