"""Open a photo: turned as the camera meant it, and never larger than we can work on."""

from __future__ import annotations

import struct
import warnings
import zlib
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from PIL import Image, ImageOps, UnidentifiedImageError

from ocr.errors import NotAPictureError, PhotoMissingError, PictureTooLargeError

if TYPE_CHECKING:
    from pathlib import Path

    from numpy.typing import NDArray

MAX_PIXELS = 100_000_000
"""More is refused before a single pixel is decoded: it would fill the memory."""
WORKING_SIDE_PX = 2000
"""A ring fills enough of its photo that no letter is lost at this size."""

_FORMATS = ("JPEG", "PNG", "WEBP")
_ORIENTATION = 0x0112  # EXIF 2.3, tag 274
_DAMAGED = (
    OSError,
    SyntaxError,  # Pillow's word for a broken PNG
    ValueError,
    EOFError,
    RuntimeError,
    IndexError,
    KeyError,
    TypeError,
    struct.error,
    zlib.error,
)


@dataclass(frozen=True)
class Photo:
    """A picture ready to work on, and its way back to the file."""

    bgr: NDArray[np.uint8]
    """(H, W, 3) uint8, upright by EXIF, longest side at most `WORKING_SIDE_PX`."""
    stored_size: tuple[int, int]
    """Width and height of the picture as stored, before the EXIF turn."""
    orientation: int = 1
    """EXIF orientation of the stored picture, 1..8."""

    def to_stored(self, points_xy: NDArray[np.float64]) -> NDArray[np.float64]:
        """Points of `bgr` in pixels of the picture as stored.

        Args:
            points_xy: (..., 2) pixels of `bgr`; whole numbers are pixel centres.

        Returns:
            (..., 2) pixels of the stored picture, same convention.
        """
        height, width = self.bgr.shape[:2]
        x = (np.asarray(points_xy, dtype=np.float64)[..., 0] + 0.5) / width
        y = (np.asarray(points_xy, dtype=np.float64)[..., 1] + 0.5) / height
        x, y = _UNTURNED[self.orientation](x, y)
        return np.stack(
            [x * self.stored_size[0] - 0.5, y * self.stored_size[1] - 0.5], axis=-1
        )


_UNTURNED = {
    # Upright fractions of width and height to stored ones, by EXIF orientation.
    1: lambda x, y: (x, y),
    2: lambda x, y: (1 - x, y),
    3: lambda x, y: (1 - x, 1 - y),
    4: lambda x, y: (x, 1 - y),
    5: lambda x, y: (y, x),
    6: lambda x, y: (y, 1 - x),
    7: lambda x, y: (1 - y, 1 - x),
    8: lambda x, y: (1 - y, x),
}


def open_photo(path: Path) -> Photo:
    """Open a JPEG, PNG, WebP or HEIC photo.

    Args:
        path: The file; any name the file system allows.

    Raises:
        PhotoMissingError: no such file, a folder, or it may not be read.
        NotAPictureError: another kind of file, or a damaged one.
        PictureTooLargeError: more than `MAX_PIXELS` pixels.
    """
    if not path.is_file():
        what = "is not a file" if path.exists() else "does not exist"
        raise PhotoMissingError(f"The photo {path} {what}.")
    try:
        with path.open("rb") as file:
            head = file.read(32)
            if not head:
                raise NotAPictureError(f"The photo {path} is empty.")
            file.seek(0)
            # Our own bound below is stricter in words and looser in pixels.
            with warnings.catch_warnings(
                action="ignore", category=Image.DecompressionBombWarning
            ):
                picture = Image.open(file, formats=_formats(head))
            with picture:
                return _decode(picture, path)
    except PermissionError as error:
        raise PhotoMissingError(f"The photo {path} may not be read.") from error
    except Image.DecompressionBombError as error:
        raise PictureTooLargeError(_too_large(path)) from error
    except UnidentifiedImageError as error:
        raise NotAPictureError(
            f"The file {path} is not a JPEG, PNG, WebP or HEIC picture."
        ) from error
    except _DAMAGED as error:
        raise NotAPictureError(f"The photo {path} is damaged or cut short.") from error


def _formats(head: bytes) -> tuple[str, ...]:
    """The decoders to offer; HEIC's is loaded for HEIC files alone, being slow to."""
    if head[4:8] != b"ftyp":
        return _FORMATS
    from pillow_heif import register_heif_opener

    register_heif_opener()
    return ("HEIF",)


def _decode(picture: Image.Image, path: Path) -> Photo:
    """Decode, reduce, turn."""
    stored_size = picture.size
    if stored_size[0] * stored_size[1] > MAX_PIXELS:
        raise PictureTooLargeError(_too_large(path))
    orientation = picture.getexif().get(_ORIENTATION, 1)
    if orientation not in _UNTURNED:
        orientation = 1
    reduce_by = max(stored_size) / WORKING_SIDE_PX
    if reduce_by > 1:
        # JPEG can be decoded at half or quarter size, which saves most of the time.
        width, height = (int(side / reduce_by) for side in stored_size)
        picture.draft("RGB", (width, height))
    picture.load()
    upright = ImageOps.exif_transpose(picture)
    if reduce_by > 1:
        upright.thumbnail(
            (WORKING_SIDE_PX, WORKING_SIDE_PX),
            Image.Resampling.LANCZOS,
            reducing_gap=2.0,
        )
    rgb = np.asarray(_rgb(upright))
    return Photo(np.ascontiguousarray(rgb[..., ::-1]), stored_size, orientation)


def _rgb(picture: Image.Image) -> Image.Image:
    """Any kind of picture as 8-bit RGB, see-through parts white."""
    if picture.mode.startswith("I;16") or picture.mode in ("I", "F"):
        deep = np.asarray(picture, dtype=np.float64)
        return Image.fromarray((deep / 257.0).clip(0, 255).astype(np.uint8)).convert(
            "RGB"
        )
    if picture.has_transparency_data:
        clear = picture.convert("RGBA")
        white = Image.new("RGBA", clear.size, "white")
        return Image.alpha_composite(white, clear).convert("RGB")
    return picture.convert("RGB")


def _too_large(path: Path) -> str:
    return (
        f"The photo {path} has more than {MAX_PIXELS // 1_000_000} million pixels, "
        "too many to open."
    )
