"""Commands that start from a ring: read it, find its bird, explain it.

Services are imported inside the functions: `flock-ledger --help` must not wait
for the image libraries.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from ledger.commands.answer import DONE, LOOK, Answer, wrapped
from ledger.commands.place import open_to_read
from ledger.errors import RuleError, UsageError

if TYPE_CHECKING:
    from argparse import Namespace
    from collections.abc import Iterator

    from ledger.services.identify import Candidate, Identification


def read(words: Namespace) -> Answer:
    """Read one ring from one or several photos of it; needs no ledger."""
    from ledger.services import ring_reading

    reading = ring_reading.read(words.photos)
    return Answer(
        text=wrapped([ring_reading.as_text(reading)]),
        plain=reading.as_json(),
        exit_code=DONE if ring_reading.is_reliable(reading) else LOOK,
    )


def identify(words: Namespace) -> Answer:
    """Rank the birds whose ring it may be; when sure, show the emergency card."""
    _photos_or_text(words)
    from ledger.services import card, identify, ring_reading

    known = {"leg": words.leg, "colour": words.colour, "at": words.at}
    with open_to_read(words) as ledger:
        if words.text is not None:
            found = identify.by_text(ledger.flock, words.text, **known)
            said: list[str] = []
        else:
            reading = ring_reading.read(words.photos)
            found = identify.by_reading(ledger.flock, reading, **known)
            said = [ring_reading.as_text(reading), ""]
        said += _identification_lines(found)
        bird_id = found.candidates[0].bird if found.verdict == "sure" else None
        if bird_id is not None:
            its_card = card.emergency_card(ledger.flock, bird_id, words.today)
            said += ["", card.as_text(its_card)]
    return Answer(
        text=wrapped(said),
        plain=found.as_json(),
        exit_code=DONE if found.verdict == "sure" else LOOK,
    )


def explain(words: Namespace) -> Answer:
    """Say what an unfamiliar ring tells, proves and cannot prove."""
    _photos_or_text(words)
    from ledger.services import explain, ring_reading

    said = _owner_says(words)
    if words.text is not None:
        explanation = explain.explain(words.text, today=words.today, **said)
        exit_code = DONE
    else:
        reading = ring_reading.read(words.photos)
        explanation = explain.explain(reading, today=words.today, **said)
        exit_code = DONE if ring_reading.is_reliable(reading) else LOOK
    return Answer(
        text=wrapped([explanation.as_text()]),
        plain=explanation.as_json(),
        exit_code=exit_code,
    )


def _owner_says(words: Namespace) -> dict[str, Any]:
    """What the owner says of bird and ring, by what `explain` calls it.

    Raises:
        UsageError: The size is none, or the date.
    """
    from ledger.services import typed

    try:
        size_mm = typed.millimetres(words.size or "")
        hatched = typed.date(words.hatched, words.today) if words.hatched else None
    except RuleError as error:
        raise UsageError(str(error), error.hint) from error
    return {
        "species": words.species or "",
        "colour": words.colour or "",
        "closure": words.closure or "",
        "size_mm": size_mm,
        "hatched": hatched,
    }


def _photos_or_text(words: Namespace) -> None:
    """Hold the caller to one of the two ways in.

    Raises:
        UsageError: Neither photos nor text, both, or an empty text.
    """
    if bool(words.photos) == (words.text is not None):
        raise UsageError(
            "Give either photos of one ring or --text with what is legible, not both."
            if words.photos
            else "Neither a photo nor a text was given.",
            hint=f"For example: flock-ledger {words.command.name} photo.jpg, "
            f'or flock-ledger {words.command.name} --text "TWK 24".',
        )
    if words.text is not None and not any(sign.isalnum() for sign in words.text):
        raise UsageError(
            "The text after --text holds no letter and no digit.",
            hint="Type what is legible; ? stands for one character, * for several.",
        )


def _identification_lines(found: Identification) -> Iterator[str]:
    """The verdict, the birds it may be, and what to look at next."""
    yield f"Verdict: {found.verdict}"
    for one in found.candidates:
        yield f"  {one.probability:5.0%}  {_whose(one)}: {one.why}"
    more = found.n_left - len(found.candidates)
    if more > 0:
        yield f"  and {more} more"
    if found.look_next:
        yield f"Look next: {found.look_next}"


def _whose(one: Candidate) -> str:
    if one.bird is None:
        return f"ring {one.ring}, on no bird"
    name = f"{one.name} ({one.bird})" if one.name != one.bird else one.bird
    return f"{name}, ring {one.ring}"
