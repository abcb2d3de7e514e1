"""How to photograph a ring, for the page, the letter and the printed sheet."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ledger.errors import LedgerError

if TYPE_CHECKING:
    from pathlib import Path

TITLE = "How to photograph a ring"

STEPS: tuple[tuple[str, str], ...] = (
    (
        "Two people",
        "One holds the bird, wrapped lightly in a cloth, the chest free: it breathes "
        "with it. The other takes the photos. If it pants or has been held for some "
        "minutes, let it go and use what you have.",
    ),
    (
        "Square to the ring",
        "Look at the ring straight from the side, the leg upright in the picture. "
        "Seen from above or below, the characters shrink to a line.",
    ),
    (
        "Near, but not too near",
        "Ring and leg fill a third of the picture. Most phones do not focus closer "
        "than 8 to 10 cm: stay back and cut the picture later.",
    ),
    (
        "Light from the side, no flash",
        "Daylight from a window, from the side. A flash turns metal into one white "
        "stripe. If characters drown in a glare, go a little to the side.",
    ),
    (
        "Three photos round",
        "A ring shows less than half of itself. Go a third of a circle round the bird, "
        "or turn the bird as a whole, between photos; leave the ring as it sits. "
        "Photos must share a few characters.",
    ),
    (
        "The seam and the leg",
        "One photo more of the seam, if there is one, and of the skin above and "
        "below the ring.",
    ),
)
"""Title and sentences of each step: common practice, no source."""

STOP = (
    "Do not turn, push or cut the ring. If the leg is swollen, bleeding, cold or "
    "discoloured, if the ring is stuck or above the hock, or the bird is lame: no "
    "photos, an avian vet today."
)


def guide_lines() -> list[str]:
    """The guide as lines of text."""
    steps = [f"{n}. {title}. {said}" for n, (title, said) in enumerate(STEPS, 1)]
    return [f"{TITLE}:", *steps, STOP]


def guide_markdown() -> str:
    """The guide for a page of help."""
    steps = [f"{n}. **{title}.** {said}" for n, (title, said) in enumerate(STEPS, 1)]
    return "\n".join([f"# {TITLE}", "", *steps, "", f"**{STOP}**"])


def print_guide(path: Path) -> None:
    """Write the guide to a PDF of one page, with drawings.

    Raises:
        LedgerError: the file cannot be written.
    """
    from ledger.reports.photo_guide import write_pdf

    try:
        write_pdf(path, TITLE, STEPS, STOP)
    except OSError as error:
        raise LedgerError(
            f"The guide could not be written to “{path}”: {error.strerror}.",
            "Check that the folder is there and can be written to.",
        ) from error
