"""Parts that several papers share: the bird, its chain, its ring's picture."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ledger.domain.bird import Sex
from ledger.domain.ring import RingState
from ledger.reports.paper import Part
from ledger.services.identity import chain_gaps, chain_in_words, keeper_of
from ledger.services.photos import photo_file

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Iterator
    from pathlib import Path

    from ledger.domain.bird import Bird
    from ledger.domain.flock import Flock
    from ledger.domain.people import Person, Photo
    from ledger.services.ledger import Ledger

CODE_SAID = (
    "This code holds in plain text who the bird is: scan it with any phone. It names "
    "its rings and chips."
)


def below_title(flock: Flock, today: dt.date) -> str:
    """Whose paper it is, and the day."""
    keeper = keeper_of(flock)
    return ", ".join(
        filter(
            None,
            [
                flock.settings.name,
                keeper.name if keeper else "",
                f"printed {today.isoformat()}",
            ],
        )
    )


def about_bird(flock: Flock, bird: Bird) -> Part:
    """Who it is."""
    sex = "not known" if bird.sex is Sex.UNKNOWN else str(bird.sex)
    lines = [
        ("Name", f"{bird.title} ({bird.id} in the ledger)"),
        ("Species", bird.species or "not entered"),
        ("Sex", sex),
        ("Hatched", str(bird.hatched) if bird.hatched else "not known"),
    ]
    sire, dam = flock.parents_of(bird.id)
    for label, parent in (("Sire", sire), ("Dam", dam)):
        if parent is not None:
            rings = "; ".join(_worn(flock, parent.id)) or "no ring entered"
            lines.append((label, f"{parent.title} ({rings})"))
        else:
            lines.append((label, "not known"))
    return Part("The bird", tuple(lines))


def chain_part(flock: Flock, bird_id: str) -> Part:
    """Every ring and chip it ever carried, and whether they are joined."""
    chain = chain_in_words(flock, bird_id)
    gaps = chain_gaps(flock, bird_id)
    lines = [("", f"{number}. {said}") for number, said in enumerate(chain, 1)]
    if not chain:
        lines.append(("", "No ring and no chip was ever entered."))
    elif not gaps:
        lines.append(("", "The chain is unbroken: every mark leads to the next."))
    lines += [("", f"Broken here: {gap}") for gap in gaps]
    return Part("Identity chain", tuple(lines))


def reached(person: Person | None) -> str:
    """Name, phone, mail and address in one line."""
    if person is None:
        return "not entered"
    return ", ".join(
        filter(None, [person.name, person.phone, person.email, person.address])
    )


def ring_picture(
    ledger: Ledger,
    bird_id: str,
    among: tuple[str, ...] = (),
    ring_id: str | None = None,
) -> tuple[Path | None, str]:
    """The newest photo of its ring, and what stands below it.

    Args:
        ledger: An open ledger.
        bird_id: The bird.
        among: Ids of photos that come first.
        ring_id: Its ring; None: any of its rings.
    """
    photos = ledger.flock.photos
    first = [photos[photo_id] for photo_id in among if photo_id in photos]
    of_ring = [
        photo
        for photo in ledger.flock.photos_of(bird_id)
        if photo.ring and ring_id in (None, photo.ring)
    ]
    for photo in (*first, *reversed(of_ring)):
        path = photo_file(ledger, photo)
        if path.is_file():
            return path, _picture_said(ledger.flock, photo)
    if first or of_ring:
        return None, "Photos of the ring are entered, but they are not on this machine."
    return None, "No photo of the ring is entered."


def _picture_said(flock: Flock, photo: Photo) -> str:
    ring = flock.rings.get(photo.ring or "")
    what = f"Ring “{ring.inscription}”" if ring else "The bird"
    return f"{what}, photo taken {photo.taken}" if photo.taken else f"{what}, photo"


def _worn(flock: Flock, bird_id: str) -> Iterator[str]:
    for ring in flock.rings_of(bird_id):
        if ring.state is RingState.ON_BIRD:
            yield f"ring “{ring.inscription}”"
    for chip in flock.chips_of(bird_id):
        yield f"chip {chip.code}"
