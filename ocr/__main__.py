"""`python -m ocr PHOTO... [--steps DIR] [--json]`: read one ring, without the ledger.

Exit codes: 0 read; 1 no ring, or too unsure to rely on; 2 wrong usage, or a file
that cannot be used.
"""

from __future__ import annotations

import argparse
import json
import math
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import ocr

if TYPE_CHECKING:
    from collections.abc import Sequence

    from ocr.reading import Reading

READ, UNSURE, UNUSABLE = 0, 1, 2
RELIABLE = 0.5
"""A reading less likely right than wrong is a finding to look at."""


def main(arguments: Sequence[str] | None = None) -> int:
    """Read the photos named on the command line and print what they show."""
    options = _parser().parse_args(arguments)
    try:
        steps = None
        if options.steps is not None:
            from ocr.steps import StepWriter

            steps = StepWriter(options.steps)
        reading = ocr.read_ring(options.photos, steps=steps)
    except ocr.OcrError as error:
        print(f"{error} {error.hint}".strip(), file=sys.stderr)
        return UNUSABLE
    if options.json:
        print(json.dumps(reading.as_json(), ensure_ascii=False, indent=2))
    else:
        print("\n".join(as_text(reading)))
    sure = reading.ring_found and reading.lines and reading.confidence >= RELIABLE
    return READ if sure else UNSURE


def as_text(reading: Reading) -> list[str]:
    """The reading in lines for a person."""
    if not reading.ring_found:
        return ["No ring found.", *_doubts(reading)]
    text = [
        f"{line.text}  ({_percent(math.prod(g.probability for g in line.glyphs))})"
        for line in reading.lines
    ]
    if not text:
        text = ["A ring, but no characters could be read on it."]
    else:
        text.append(f"All of it right: {_percent(reading.confidence)}")
    ring = [reading.colour, "" if reading.closure == "unsure" else reading.closure]
    if any(ring):
        text.append(f"Ring: {', '.join(part for part in ring if part)}")
    return [*text, *_doubts(reading)]


def _doubts(reading: Reading) -> list[str]:
    """Every doubt once; those of one photo with its name where there are several."""
    several = len(reading.photos) > 1
    found = list(reading.doubts)
    for photo in reading.photos:
        for doubt in photo.doubts:
            if doubt not in reading.doubts:
                found.append(f"{photo.file}: {doubt}" if several else doubt)
    return [f"- {doubt}" for doubt in dict.fromkeys(found)]


def _percent(share: float) -> str:
    return f"{100 * share:.0f} %"


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="python -m ocr",
        description="Read the inscription of one leg ring from photos of it.",
        epilog="Exit codes: 0 read, 1 no ring or unsure, 2 usage or unusable file.",
    )
    parser.add_argument(
        "photos", nargs="+", type=Path, metavar="PHOTO", help="JPEG, PNG, WebP or HEIC"
    )
    parser.add_argument(
        "--steps", type=Path, metavar="DIR", help="write every stage as a picture"
    )
    parser.add_argument("--json", action="store_true", help="print the reading as JSON")
    return parser


if __name__ == "__main__":
    raise SystemExit(main())
