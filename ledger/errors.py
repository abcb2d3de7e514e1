"""Errors a keeper can act on.

LedgerError                     exit code 1
├── UsageError                  2   the words of a command are off
├── NotFoundError               1   no such bird, ring, photo
├── RuleError                   1   the change would break a rule of the flock
├── ImportFailedError           1   a file as a whole cannot be taken in
├── ReadingError                1   a photo cannot be read
├── LineageError                1   a table of parents contradicts itself
│   └── LoopError                   a bird is its own ancestor
└── StoreError                  3   the ledger's files cannot be used
    ├── StoreInUseError             another window holds it
    ├── StoreDamagedError           it is not a whole ledger
    ├── StoreChangedError           another program changed it
    ├── StoreNewerError             a later version of the program wrote it
    ├── StoreReadOnlyError          it was opened for reading only
    └── StoreMissingError           there is none at that place
"""

from __future__ import annotations


class LedgerError(Exception):
    """Something the keeper can act on.

    `str(error)` says what happened and to which file or bird; `hint` says what
    to do. Both are whole sentences.
    """

    exit_code = 1
    hint = ""

    def __init__(self, message: str, hint: str | None = None) -> None:
        super().__init__(message)
        if hint is not None:
            self.hint = hint


class UsageError(LedgerError):
    """The words of a command are off."""

    exit_code = 2


class NotFoundError(LedgerError):
    """What was asked for is not in the ledger or on the disk."""


class RuleError(LedgerError):
    """The change would break a rule of the flock; nothing was stored."""


class ImportFailedError(LedgerError):
    """A file as a whole cannot be taken in; nothing was stored.

    Single rows that are wrong are no error: they stand in the import's result.
    """


class ReadingError(LedgerError):
    """A photo cannot be read."""


class LineageError(LedgerError):
    """A table of parents contradicts itself, or lacks what was asked for."""


class LoopError(LineageError):
    """A bird is its own ancestor; `loop` names the birds, each a parent of the last."""

    def __init__(
        self, message: str, hint: str | None = None, loop: tuple[str, ...] = ()
    ) -> None:
        super().__init__(message, hint)
        self.loop = loop


class StoreError(LedgerError):
    """The ledger's files cannot be used."""

    exit_code = 3


class StoreInUseError(StoreError):
    """Another window holds the ledger."""

    hint = "Close the other window, or go on here without changing anything."


class StoreDamagedError(StoreError):
    """The file is not a whole ledger."""

    hint = "Nothing was changed. Restore a backup, or copy the folder and ask for help."


class StoreChangedError(StoreError):
    """Another program changed the file since it was read."""

    hint = "Open the ledger again; what you just did was not stored."


class StoreNewerError(StoreError):
    """A later version of the program wrote this ledger."""

    hint = "Update the program; this version leaves the ledger untouched."


class StoreReadOnlyError(StoreError):
    """The ledger was opened for reading only; nothing was stored."""

    hint = "Close the window that holds it, then open it again to make changes."


class StoreMissingError(StoreError):
    """There is no ledger at that place."""

    hint = "Give the right folder with --store, or start an empty flock there."
