"""When a photo was taken, as the camera wrote it into the file."""

from __future__ import annotations

import calendar
import time
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pathlib import Path

# EXIF 2.3: tags of the picture and of its Exif part.
_EXIF_PART = 0x8769
_TAKEN, _CHANGED, _FRACTION = 0x9003, 0x0132, 0x9291


def taken_at(path: Path) -> float | None:
    """Seconds since 1970, by the camera's own clock; None where it did not say.

    The camera's time zone is not known, so only differences mean anything.
    """
    from PIL import Image

    try:
        with Image.open(path) as picture:
            exif = picture.getexif()
            part = exif.get_ifd(_EXIF_PART)
    except (OSError, SyntaxError, ValueError, KeyError, TypeError):
        return None
    written = str(part.get(_TAKEN) or exif.get(_CHANGED) or "").strip("\0 ")
    try:
        moment = time.strptime(written, "%Y:%m:%d %H:%M:%S")
    except ValueError:
        return None
    fraction = str(part.get(_FRACTION) or "").strip("\0 ")
    return calendar.timegm(moment) + (
        float(f"0.{fraction}") if fraction.isdecimal() else 0.0
    )
