"""The letter to who asks about a ring.

It is about the ring alone, unless the breeder decides for contact.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from ledger.domain.bird import Status
from ledger.domain.enquiry import Contact
from ledger.errors import LedgerError, RuleError
from ledger.services.enquiries import enquiry_of, explained
from ledger.services.photo_guide import guide_lines

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Iterator
    from pathlib import Path

    from ledger.domain.bird import Bird
    from ledger.domain.enquiry import Enquiry
    from ledger.domain.flock import Flock
    from ledger.services.explanation import Explanation

_SHORTEST = 3
"""Words of ours with fewer letters are in every text."""
_MOST_HINTS = 6
_TRADE_WORDS = frozenset(
    {"aviary", "aviaries", "bird", "birds", "parrot", "parrots", "farm", "flock",
     "the", "and", "breeders"}
)  # fmt: skip
"""Words of a flock's name that stand in many letters."""


def draft_letter(
    flock: Flock, enquiry: Enquiry, today: dt.date, *, with_guide: bool = False
) -> str:
    """A letter to begin with.

    Args:
        flock: Looked into only where the breeder has decided for contact.
        enquiry: What is answered.
        today: The day it is.
        with_guide: Tell how to photograph the ring. It is told as well where nothing
            can be read.
    """
    found = explained(enquiry, today, with_own_schemes=False)
    ours = enquiry.contact is Contact.YES and enquiry.bird in flock.birds
    paragraphs = [
        f"Hello {enquiry.asker},".replace(" ,", ","),
        _opening(enquiry),
        *([_ours(flock, flock.birds[enquiry.bird])] if ours and enquiry.bird else []),
        _listed("Please take care", found.cautions),
        _what_it_says(found),
        *(_listed(title, said) for title, said in _sections(found)),
    ]
    if with_guide or found.needs_photo:
        paragraphs.append("\n".join(guide_lines()))
    paragraphs.append(_signature(flock) if ours else "With kind regards")
    return "\n\n".join(paragraphs) + "\n"


def _opening(enquiry: Enquiry) -> str:
    if not enquiry.inscription:
        return "thank you for asking. Nothing of the ring could be read so far."
    return (
        f"thank you for asking about the ring that reads “{enquiry.inscription}”. This "
        "is what such a ring can tell, by its inscription alone."
    )


def _what_it_says(found: Explanation) -> str:
    lines = [found.certainty] if found.certainty else []
    lines += [
        f"- {part.text}: {part.field}, {part.says}"
        + (f"; or {'; or '.join(part.also)}" if part.also else "")
        for part in found.parts
    ]
    if found.issuer:
        lines.append(f"Rings of this kind are written so: {found.issuer}.")
    return "\n".join(lines) or "There is nothing to explain yet."


def _sections(found: Explanation) -> Iterator[tuple[str, tuple[str, ...]]]:
    for title, said in found.sections():
        if title in ("Please note", "Hints"):
            yield title, said[:_MOST_HINTS]
        elif title not in ("Take care", "Sources"):
            yield title, said


def _listed(title: str, said: tuple[str, ...]) -> str:
    return f"{title}:\n" + "\n".join(f"- {sentence}" for sentence in said)


def _ours(flock: Flock, bird: Bird) -> str:
    """Who the bird is; its health, its kin and where it lived are not told."""
    name = f", called {bird.name}" if bird.name else ""
    species = f" ({bird.species})" if bird.species else ""
    hatched = f", hatched {bird.hatched}" if bird.hatched else ""
    home = flock.settings.name
    placed = {
        Status.LOST: " It has been missed; please keep it safe and call us.",
        Status.PLACED: " It went from here to a new home.",
        Status.DEAD: " In our books it is dead: please call us, one of us is wrong.",
    }.get(bird.status, " In our books it lives here: please call us.")
    at = f" at {home}" if home else " here"
    return f"The ring is of a bird that we know{at}{name}{species}{hatched}.{placed}"


def _signature(flock: Flock) -> str:
    keeper = flock.people.get(flock.settings.keeper or "")
    lines = ["With kind regards"]
    if keeper:
        lines += [keeper.name, flock.settings.name, keeper.phone, keeper.email]
    else:
        lines.append(flock.settings.name)
    return "\n".join(line for line in lines if line)


def letter_text(flock: Flock, enquiry: Enquiry, today: dt.date) -> str:
    """The answer as drafted by the keeper, else a letter to begin with."""
    return enquiry.answer or draft_letter(flock, enquiry, today)


def told_of_us(flock: Flock, enquiry: Enquiry, text: str) -> tuple[str, ...]:
    """Words in a text that are ours: names, places, birds, health, how to reach us.

    What the asker wrote is theirs, and what every letter on such a ring says is
    nobody's; neither counts.
    """
    if not text:
        return ()
    asked = " ".join(
        (enquiry.asker, enquiry.reach, enquiry.question, enquiry.inscription)
    )
    free = f"{asked} {_about_the_ring_alone(enquiry)}".casefold()
    text = text.casefold()
    found = {
        words: None
        for words in _ours_alone(flock, enquiry)
        if _stands_in(words, text) and not _stands_in(words, free)
    }
    return tuple(found)


def _about_the_ring_alone(enquiry: Enquiry) -> str:
    """All that any letter on this ring may say, whoever writes it."""
    import datetime as dt
    from dataclasses import replace

    from ledger.domain.flock import Flock

    stranger = replace(enquiry, bird=None, contact=Contact.NO)
    day = enquiry.on.latest if enquiry.on else dt.date.max
    return draft_letter(Flock.of(), stranger, day, with_guide=True)


def _stands_in(words: str, text: str) -> bool:
    """Whether they stand there as words of their own; the text in small letters."""
    words = words.casefold()
    # The plain search first: a flock has ten thousand names, and few are found.
    return words in text and bool(re.search(rf"(?<!\w){re.escape(words)}(?!\w)", text))


def _ours_alone(flock: Flock, enquiry: Enquiry) -> Iterator[str]:
    """Everything of the flock that may not stand in a letter, the bird's own first."""
    told: dict[str, None] = {}
    birds = [bird for b in (enquiry.bird,) if b and (bird := flock.birds.get(b))]
    for bird in (*birds, *flock.birds.values()):
        lasting = (*bird.alerts, *bird.medication, *bird.allergies, *bird.health_flags)
        told |= dict.fromkeys((bird.name, bird.id, bird.location, *lasting, bird.notes))
    for person in flock.people.values():
        told |= dict.fromkeys(
            (person.name, person.phone, person.email, person.address, person.id)
        )
    keeper = flock.people.get(flock.settings.keeper or "")
    told |= dict.fromkeys(
        (
            flock.settings.name,
            flock.settings.flock_code,
            *(keeper.name.split() if keeper else ()),
            *(
                word
                for word in flock.settings.name.split()
                if word.casefold() not in _TRADE_WORDS
            ),
            *(ring.inscription for ring in flock.rings.values()),
            *(chip.code for chip in flock.chips.values()),
        )
    )
    yield from (words for words in told if len(words.strip()) >= _SHORTEST)


def refuse_what_tells(flock: Flock, enquiry: Enquiry, text: str) -> None:
    """Nothing of ours leaves the house without the breeder's yes.

    Raises:
        RuleError: the text tells of us.
    """
    if enquiry.contact is Contact.YES and enquiry.bird:
        return
    told = told_of_us(flock, enquiry, text)
    if told:
        named = ", ".join(f"“{words}”" for words in told[:3])
        raise RuleError(
            f"The letter says {named}, which is of your flock, and nobody has decided "
            "to make contact.",
            "Decide for contact, or take it out of the letter.",
        )


def write_letter(
    flock: Flock, enquiry_id: str, path: Path, today: dt.date, text: str | None = None
) -> None:
    """Write the letter to a file: a PDF, or plain text for any other name.

    Args:
        flock: The flock.
        enquiry_id: What is answered.
        path: The file; one that is there is written over.
        today: The day it is.
        text: The letter; None: as drafted.

    Raises:
        NotFoundError: there is no such enquiry.
        RuleError: it tells of us, and the breeder has not decided for contact.
        LedgerError: the file cannot be written.
    """
    enquiry = enquiry_of(flock, enquiry_id)
    text = letter_text(flock, enquiry, today) if text is None else text
    refuse_what_tells(flock, enquiry, text)
    try:
        if path.suffix.lower() == ".pdf":
            from ledger.reports.letter import write_pdf

            write_pdf(path, text, date=today)
        else:
            path.write_text(text, encoding="utf-8")
    except OSError as error:
        raise LedgerError(
            f"The letter could not be written to “{path}”: {error.strerror}.",
            "Check that the folder is there and can be written to.",
        ) from error
