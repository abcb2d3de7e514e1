"""Commands about strangers' questions: the log, a letter, the guide to photos."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from ledger.commands.answer import DONE, LOOK, Answer, wrapped
from ledger.commands.place import open_to_read
from ledger.errors import UsageError

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace

    from ledger.domain.enquiry import Enquiry
    from ledger.domain.flock import Flock


def enquiries_words(parser: ArgumentParser) -> None:
    """Words of `enquiries`."""
    parser.add_argument(
        "enquiry", metavar="ID", nargs="?", help="one of them, like q0001"
    )
    parser.add_argument(
        "--letter",
        metavar="FILE",
        type=Path,
        help="write the answer to it: a PDF, or text for any other name",
    )


def guide_words(parser: ArgumentParser) -> None:
    """Words of `guide`."""
    parser.add_argument(
        "--pdf", metavar="FILE", type=Path, help="write it to a PDF with drawings"
    )


def enquiries(words: Namespace) -> Answer:
    """List the enquiries, or show one and write its letter. Changes nothing.

    Raises:
        UsageError: a letter was asked for and no enquiry named.
    """
    if words.letter is not None and words.enquiry is None:
        raise UsageError(
            "--letter needs the enquiry it answers.",
            hint="For example: flock-ledger enquiries q0001 --letter answer.pdf.",
        )
    from ledger.services import enquiries as log

    with open_to_read(words) as ledger:
        if words.enquiry is None:
            return _list(ledger.flock)
        enquiry = log.enquiry_of(ledger.flock, words.enquiry)
        if words.letter is not None:
            from ledger.services import enquiry_letter

            enquiry_letter.write_letter(
                ledger.flock, enquiry.id, words.letter, words.today
            )
        return _one(ledger.flock, enquiry, words)


def _list(flock: Flock) -> Answer:
    from ledger.services import enquiries as log

    lines = log.listed(flock)
    said = [
        f"{line.id}  {line.on or 'no date':<10}  {line.stands}: "
        f"{line.asker or 'someone'} asks about {line.inscription or 'a ring not read'}"
        + (f" (ours: {line.bird})" if line.bird else "")
        for line in lines
    ]
    waiting = sum(line.is_open for line in lines)
    said.append(f"{len(lines)} enquiries; {waiting} wait for an answer.")
    return Answer(
        text=wrapped(said),
        plain={"enquiries": [_plain(e) for e in flock.enquiries.values()]},
        exit_code=LOOK if waiting else DONE,
    )


def _one(flock: Flock, enquiry: Enquiry, words: Namespace) -> Answer:
    from ledger.services import enquiries as log

    found = log.explained(enquiry, words.today)
    bird = flock.birds.get(enquiry.bird or "")
    said = [
        f"Enquiry {enquiry.id}, {enquiry.on or 'no date'}: {log.stands(enquiry)}",
        f"Who asks: {enquiry.asker or 'not written down'} {enquiry.reach}".rstrip(),
    ]
    if enquiry.question:
        said.append(f"Question: {enquiry.question}")
    if bird:
        said.append(f"One of ours: {bird.title} ({bird.id}); contact {enquiry.contact}")
    if words.letter is not None:
        said.append(f"The letter was written to {words.letter}.")
    else:
        said += ["", found.as_text()]
    letter = str(words.letter) if words.letter is not None else ""
    return Answer(
        text=wrapped(said),
        plain={
            "enquiry": _plain(enquiry),
            "explanation": found.as_json(),
            "letter": letter,
        },
    )


def _plain(enquiry: Enquiry) -> dict[str, Any]:
    from ledger.services import enquiries as log

    return {
        "id": enquiry.id,
        "on": str(enquiry.on or ""),
        "asker": enquiry.asker,
        "reach": enquiry.reach,
        "question": enquiry.question,
        "inscription": enquiry.inscription,
        "photos": list(enquiry.photos),
        "species": enquiry.species,
        "hatched": str(enquiry.hatched or ""),
        "size_mm": enquiry.size_mm,
        "colour": enquiry.colour,
        "closure": enquiry.closure,
        "bird": enquiry.bird,
        "contact": str(enquiry.contact),
        "answered": str(enquiry.answered or ""),
        "stands": log.stands(enquiry),
    }


def guide(words: Namespace) -> Answer:
    """Say how to photograph a ring, or print it; needs no ledger."""
    from ledger.services import photo_guide

    lines = photo_guide.guide_lines()
    plain = {
        "title": photo_guide.TITLE,
        "steps": [{"title": t, "says": s} for t, s in photo_guide.STEPS],
        "stop": photo_guide.STOP,
        "pdf": str(words.pdf) if words.pdf is not None else "",
    }
    if words.pdf is None:
        return Answer(text=wrapped(lines), plain=plain)
    photo_guide.print_guide(words.pdf)
    return Answer(text=f"The guide was written to {words.pdf}.", plain=plain)
