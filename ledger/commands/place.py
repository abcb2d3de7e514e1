"""The ledger that a command works on, and what must be told about its files."""

from __future__ import annotations

from contextlib import contextmanager
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from argparse import Namespace
    from collections.abc import Iterator
    from pathlib import Path

    from ledger.services.ledger import Ledger


def folder_of(words: Namespace) -> Path:
    """Where the ledger of this command lies."""
    from ledger.services import book

    return book.place(words.store)


@contextmanager
def open_to_read(words: Namespace) -> Iterator[Ledger]:
    """The ledger, for looking only: takes no lock, writes nothing.

    Raises:
        StoreError: it cannot be used.
    """
    with _opened(words, read_only=True) as ledger:
        yield ledger


@contextmanager
def open_to_write(words: Namespace, *, create: bool = False) -> Iterator[Ledger]:
    """The ledger, for changing it.

    Args:
        words: Of the command.
        create: Begin one where there is none.

    Raises:
        StoreError: it cannot be used, or another window has it.
    """
    with _opened(words, create=create) as ledger:
        yield ledger


@contextmanager
def _opened(words: Namespace, **how: bool) -> Iterator[Ledger]:
    from ledger.services import book

    with book.open_ledger(folder_of(words), **how) as ledger:
        words.notices = list(ledger.notices)
        yield ledger
