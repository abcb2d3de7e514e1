"""A photo taken with the machine's own camera."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ledger import paths
from ledger.errors import ReadingError

if TYPE_CHECKING:
    import datetime as dt
    from pathlib import Path


def take_photo(number: int, now: dt.datetime) -> Path:
    """Take several frames and keep the sharpest.

    Args:
        number: Which camera of the machine, from 0.
        now: When; names the file.

    Returns:
        The photo, in a folder beside the ledger's.

    Raises:
        ReadingError: there is no camera, or it gives no picture.
    """
    from ocr.camera import take_photo as take
    from ocr.errors import OcrError

    try:
        return take(paths.home() / "camera", now=now, camera=number)
    except OcrError as error:
        raise ReadingError(str(error), error.hint) from error
