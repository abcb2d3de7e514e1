"""`python -m ocr PHOTO... [--steps DIR] [--json]`: read one ring, without the ledger.

Exit codes: 0 read; 1 no ring, or too unsure to rely on; 2 wrong usage, or a file
that cannot be used.
"""

from __future__ import annotations

import argparse
import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import ocr
from ocr.as_text import as_text, is_reliable

if TYPE_CHECKING:
    from collections.abc import Sequence

READ, UNSURE, UNUSABLE = 0, 1, 2


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
    return READ if is_reliable(reading) else UNSURE


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
