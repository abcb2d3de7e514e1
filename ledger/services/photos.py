"""Photos beside the ledger, each kept once under the name of its content."""

from __future__ import annotations

import hashlib
import os
import shutil
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

from ledger.domain.change import Put
from ledger.domain.kind import Kind
from ledger.domain.people import Photo
from ledger.errors import NotFoundError, RuleError, StoreError
from ledger.services.ledger import refuse_if_read_only

if TYPE_CHECKING:
    from collections.abc import Sequence

    from ledger.domain.flock import Flock
    from ledger.domain.partial_date import PartialDate
    from ledger.services.ledger import Ledger

FOLDER = "photos"
"""Name of the folder beside the ledger's file."""


def photo_file(ledger: Ledger, photo: Photo) -> Path:
    """Where the picture lies; whether it is there, the caller finds out."""
    name = f"{photo.sha256}{Path(photo.file_name).suffix.lower()}"
    return ledger.folder / FOLDER / name


def add_photo(
    ledger: Ledger,
    path: Path,
    author: str,
    *,
    bird_id: str | None = None,
    ring_id: str | None = None,
    taken: PartialDate | None = None,
) -> Photo:
    """Keep a photo beside the ledger. A picture that is there already is kept once.

    Args:
        ledger: An open ledger.
        path: The picture; it stays where it is, a copy is kept.
        author: Who adds it.
        bird_id: The bird it shows.
        ring_id: The ring it shows.
        taken: When it was taken.

    Raises:
        NotFoundError: there is no such file.
        StoreError: it could not be kept.
        RuleError: there is no such bird or ring.
    """
    refuse_if_read_only(ledger)
    (photo,) = keep_photos(
        ledger, [path], bird_id=bird_id, ring_id=ring_id, taken=taken
    )
    if photo.id not in ledger.flock.photos:
        ledger.commit([Put(photo)], author=author, what=f"added photo {path.name}")
    return photo


def lay_back(ledger: Ledger, photo: Photo, path: Path) -> None:
    """Bring back the picture of a photo that is known, from wherever it is now.

    Raises:
        NotFoundError: there is no such file.
        RuleError: it is another picture, or no longer quite the same one.
        StoreError: it could not be kept.
    """
    refuse_if_read_only(ledger)
    if _digest(path) != photo.sha256:
        raise RuleError(
            f"“{path.name}” is not the picture that was kept as photo {photo.id}: its "
            "content differs.",
            "Find the one of then, unchanged; or add this one as a photo of its own.",
        )
    _copy(path, photo_file(ledger, photo))


def keep_photos(
    ledger: Ledger,
    files: Sequence[Path],
    *,
    bird_id: str | None,
    ring_id: str | None,
    taken: PartialDate | None,
) -> list[Photo]:
    """Copy pictures beside the ledger; the caller commits what is given back.

    A copy whose commit then fails harms nothing: it is a file nobody names.
    """
    photos: dict[str, Photo] = {}
    new = 0
    for path in files:
        digest = _digest(path)
        known = photos.get(digest) or _known(ledger.flock, digest)
        if known is None:
            new_id = ledger.flock.next_id(Kind.PHOTO, after=new)
            new += 1
            known = Photo(new_id, digest, path.name, bird_id, ring_id, taken)
        photos[digest] = known
        _copy(path, photo_file(ledger, known))
    return list(photos.values())


def _known(flock: Flock, digest: str) -> Photo | None:
    return next((p for p in flock.photos.values() if p.sha256 == digest), None)


def _digest(path: Path) -> str:
    """SHA-256 of a file's bytes."""
    try:
        with path.open("rb") as picture:
            return hashlib.file_digest(picture, "sha256").hexdigest()
    except OSError as error:
        raise NotFoundError(
            f"The photo “{path}” cannot be read: {error.strerror}.",
            "Check its name and that you may read it.",
        ) from error


def _copy(path: Path, target: Path) -> None:
    """Copy one picture, unless it is there. A copy is whole or not there."""
    if target.exists():
        return
    try:
        target.parent.mkdir(exist_ok=True)
        handle, name = tempfile.mkstemp(dir=target.parent, suffix=".part")
        part = Path(name)
        try:
            with os.fdopen(handle, "wb") as copy, path.open("rb") as picture:
                shutil.copyfileobj(picture, copy)
                copy.flush()
                os.fsync(copy.fileno())
            part.chmod(0o644)
            part.replace(target)
        except BaseException:
            part.unlink(missing_ok=True)
            raise
    except OSError as error:
        raise StoreError(
            f"The photo “{path.name}” could not be kept in “{target.parent}”: "
            f"{error.strerror}.",
            "Free some space or mend the folder's permissions, then do it again.",
        ) from error
