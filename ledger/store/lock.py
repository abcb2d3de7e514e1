"""One writer at a time."""

from __future__ import annotations

from typing import TYPE_CHECKING

from filelock import FileLock, Timeout

from ledger.errors import StoreError, StoreInUseError

if TYPE_CHECKING:
    from pathlib import Path


class FolderLock:
    """Held by the one window that may write to a ledger's folder.

    The system lets go of it when the program ends, however it ends; the file
    that stays behind means nothing.
    """

    def __init__(self, folder: Path) -> None:
        """Take the lock.

        Raises:
            StoreInUseError: another window holds it.
            StoreError: the folder cannot be written to.
        """
        # Not bound to one thread: it is let go by whichever closes the ledger.
        self._lock = FileLock(folder / "ledger.lock", thread_local=False)
        try:
            self._lock.acquire(timeout=0)
        except Timeout as error:
            raise StoreInUseError(
                f"The ledger in “{folder}” is open in another window."
            ) from error
        except OSError as error:
            raise StoreError(
                f"The folder “{folder}” cannot be written to: {error.strerror}.",
                "Open the ledger for reading only, or mend the folder's permissions.",
            ) from error

    @property
    def is_held(self) -> bool:
        """It was not let go yet."""
        return self._lock.is_locked

    def release(self) -> None:
        """Let others write; twice does no harm."""
        self._lock.release()
