"""Putting a finding right: the ways there are, and doing one of them."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from ledger.domain.change import Drop, Put
from ledger.domain.enquiry import Enquiry
from ledger.domain.event import Event
from ledger.domain.finding import Severity
from ledger.domain.kind import Kind
from ledger.domain.removal import Removal
from ledger.domain.walk import Sighting
from ledger.errors import RuleError, StoreError
from ledger.services.ledger import refuse_if_read_only
from ledger.services.mending_fields import parsed
from ledger.services.mending_trials import Way, count, tried
from ledger.services.photos import lay_back, photo_file

if TYPE_CHECKING:
    from ledger.domain.change import Change
    from ledger.domain.finding import Finding
    from ledger.domain.people import Photo
    from ledger.services.ledger import Ledger

__all__ = ["ASIDE", "Way", "mend", "ways"]

_WITH_PHOTOS = (Event, Removal, Sighting, Enquiry)

ASIDE = "set-aside"
"""Name of the folder, beside the ledger, of files that were taken away from it."""


def ways(ledger: Ledger, finding: Finding) -> list[Way]:
    """Every way to put a finding right, the likeliest first; at least one for each.

    Args:
        ledger: An open ledger.
        finding: One that `checking.check` gave.
    """
    found = tried(ledger.flock, finding)
    photo = ledger.flock.photos.get(finding.subject_id)
    if photo is not None and not photo_file(ledger, photo).is_file():
        found += _ways_of_photo(ledger, photo)
    if finding.file:
        aside = f"Move “{finding.file}” into the folder {ASIDE}, out of the way"
        found.append(Way(aside, deed=partial(_set_aside, finding.file)))
    elif not finding.subject_id:
        found.append(Way("Make a backup of all as it is now", deed=_back_up))
    if finding.severity is Severity.WARNING and finding.subject_id:
        it_is_so = "It is so: do not tell it again"
        found.append(Way(it_is_so, deed=partial(_accept, finding.message)))
    return found


def mend(
    ledger: Ledger, finding: Finding, way: Way, author: str, said: str = ""
) -> str:
    """Put a finding right in one of its ways, as one act.

    Args:
        ledger: An open ledger.
        finding: What is wrong.
        way: One of its `ways`.
        author: Who does it.
        said: What the keeper says, where the way asks for it.

    Returns:
        What was done, as a sentence.

    Raises:
        RuleError: with that the finding would still stand, or a rule says no.
        NotFoundError: what was said names nothing in the ledger, or no file.
        StoreError: it could not be stored.
    """
    refuse_if_read_only(ledger)
    if way.deed is not None:
        way.deed(ledger, author, said)
        return f"{way.does}{f': {said}' if said else ''}. Done."
    changes, does = way.changes, way.does
    if way.asks is not None:
        value = parsed(ledger.flock, way.asks, said)
        changes = (Put(way.asks.holding(value)),)
        does = f"{way.does}: {value}"
    stands = count(ledger.flock, finding)
    if count(ledger.flock.changed(changes), finding) >= stands:
        raise RuleError(
            f"With that it still stands: {finding.message}", "Nothing was stored."
        )
    ledger.commit(changes, author=author, what=f"Mended: {does}")
    return f"{does}. Done."


def _ways_of_photo(ledger: Ledger, photo: Photo) -> list[Way]:
    """The picture comes back, or the ledger forgets it."""
    without: list[Change] = []
    for thing in ledger.flock:
        if isinstance(thing, _WITH_PHOTOS) and photo.id in thing.photos:
            kept = tuple(name for name in thing.photos if name != photo.id)
            without.append(Put(replace(thing, photos=kept)))
    without.append(Drop(Kind.PHOTO, photo.id))
    return [
        Way(
            f"Lay the picture of photo {photo.id} back",
            deed=partial(_lay_back, photo),
            prompt=f"Where is “{photo.file_name}” now? The path of the file",
        ),
        Way(
            f"Forget photo {photo.id} (“{photo.file_name}”)",
            deed=partial(_forget, photo, tuple(without)),
        ),
    ]


def _lay_back(photo: Photo, ledger: Ledger, _author: str, said: str) -> None:
    lay_back(ledger, photo, Path(said.strip()).expanduser())


def _forget(
    photo: Photo, changes: tuple[Change, ...], ledger: Ledger, author: str, _: str
) -> None:
    what = f"Mended: forgot photo {photo.id}, whose picture is gone"
    ledger.commit(changes, author=author, what=what)


def _set_aside(name: str, ledger: Ledger, _author: str, _said: str) -> None:
    folder = ledger.folder / ASIDE
    target, number = folder / name, 1
    while target.exists():
        number += 1
        target = folder / f"{name}-{number}"
    try:
        folder.mkdir(exist_ok=True)
        (ledger.folder / name).rename(target)
    except OSError as error:
        raise StoreError(
            f"“{name}” could not be moved into “{folder}”: {error.strerror}.",
            "Mend the folder's permissions, or move it yourself.",
        ) from error


def _back_up(ledger: Ledger, _author: str, _said: str) -> None:
    ledger.backup("by-hand")


def _accept(message: str, ledger: Ledger, author: str, _said: str) -> None:
    settings = ledger.flock.settings
    if message in settings.accepted:
        return
    after = replace(settings, accepted=(*settings.accepted, message))
    ledger.commit([Put(after)], author=author, what=f"Accepted as it is: {message}")
