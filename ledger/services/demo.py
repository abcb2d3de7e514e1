"""The demo flock that travels with the program: Tidewrack Aviaries, all invented."""

from __future__ import annotations

import datetime as dt
import shutil
from pathlib import Path

from ledger.errors import NotFoundError, StoreError
from ledger.store import FILE_NAME

DAY = dt.date(2026, 2, 1)
"""The day it always is in the demo: the one after the last in its book, so that what
is due there stays a handful."""
_PACKAGE = Path(__file__).parents[1]
_PLACES = (_PACKAGE / "demo", _PACKAGE.parent)
"""Where `demo_db` and `demo_images` lie: in an installed program, then in a clone."""


def demo_folder() -> Path:
    """The folder of the demo flock as shipped; open it for reading only.

    Raises:
        NotFoundError: this installation carries none.
    """
    return _shipped("demo_db", FILE_NAME)


def demo_photos() -> list[Path]:
    """Pictures of demo rings, those without a ring last; rendered, not photographs.

    `truth.csv` beside them says what is on each. An installed program carries a
    few of the clone's.

    Raises:
        NotFoundError: this installation carries none.
    """
    photos = _shipped("demo_images", "truth.csv").glob("*.jpg")
    return sorted(
        photos, key=lambda photo: (not photo.name.startswith("r"), photo.name)
    )


def private_copy(to: Path) -> Path:
    """The keeper's own copy of the demo flock, to do with as they like.

    Args:
        to: Its folder. One made before is kept, with all that was done in it;
            where there is none it is laid out afresh.

    Returns:
        The folder.

    Raises:
        NotFoundError: this installation carries no demo flock.
        StoreError: the folder cannot be written.
    """
    if not (to / FILE_NAME).exists():
        shipped = demo_folder() / FILE_NAME
        try:
            to.mkdir(parents=True, exist_ok=True)
            # Copied beside its place first: half a copy must not look like a whole.
            part = to / f"{FILE_NAME}.demo.part"
            shutil.copyfile(shipped, part)
            part.replace(to / FILE_NAME)
        except OSError as error:
            raise StoreError(
                f"The demo flock cannot be copied to “{to}”: {error.strerror}.",
                "Give another folder with --store.",
            ) from error
    return to


def now() -> dt.datetime:
    """The time of day it is, on the demo's day."""
    return dt.datetime.combine(DAY, dt.datetime.now().astimezone().timetz())


def _shipped(folder: str, file_name: str) -> Path:
    for place in _PLACES:
        if (place / folder / file_name).is_file():
            return place / folder
    raise NotFoundError(
        f"This installation carries no “{folder}”.",
        "Install the program again, or run it in a copy of its project folder.",
    )
