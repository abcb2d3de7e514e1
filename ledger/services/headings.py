"""The headings of a keeper's own spreadsheet, told once and remembered."""

from __future__ import annotations

import json
import os
from typing import TYPE_CHECKING

from ledger import paths
from ledger.errors import LedgerError, UsageError

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from pathlib import Path


def headings_file() -> Path:
    """Where they are kept."""
    return paths.home() / "headings.json"


def remembered() -> dict[str, str]:
    """The keeper's headings, in small letters, with ours for each.

    Raises:
        LedgerError: the file is not what was written.
    """
    path = headings_file()
    try:
        told = json.loads(path.read_text(encoding="utf-8"))
        return {str(theirs): str(ours) for theirs, ours in told.items()}
    except FileNotFoundError:
        return {}
    except (OSError, ValueError, AttributeError) as error:
        raise LedgerError(
            f"The headings kept in “{path}” cannot be read.",
            "Delete the file and give them again with --heading.",
        ) from error


def parse(pairs: Sequence[str]) -> dict[str, str]:
    """`Ring no=ring` as the keeper writes it, each time once.

    Raises:
        UsageError: it is no such pair.
    """
    found = {}
    for pair in pairs:
        theirs, between, ours = pair.rpartition("=")
        if not between or not theirs.strip() or not ours.strip():
            raise UsageError(
                f"“{pair}” names no heading and column.",
                hint='Write --heading "Ring no=ring".',
            )
        found[plain(theirs)] = plain(ours)
    return found


def remember(new: Mapping[str, str]) -> dict[str, str]:
    """Keep these too, and give all back.

    Raises:
        LedgerError: they could not be kept.
    """
    known = remembered()
    known.update(new)
    if new:
        path = headings_file()
        part = path.with_name(f"{path.name}.part")
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            with part.open("w", encoding="utf-8") as file:
                file.write(json.dumps(known, ensure_ascii=False, indent=1) + "\n")
                file.flush()
                os.fsync(file.fileno())
            part.replace(path)
        except OSError as error:
            raise LedgerError(
                f"The headings could not be kept in “{path}”: {error.strerror}."
            ) from error
    return known


def plain(heading: str) -> str:
    """A heading as it is compared: small letters, spaces as `_`."""
    return heading.strip().lower().replace(" ", "_")
