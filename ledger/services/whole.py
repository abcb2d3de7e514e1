"""The whole ledger out to one JSON file, and back in from one."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from ledger.domain.change import Put
from ledger.domain.kind import Kind
from ledger.errors import ImportFailedError, NotFoundError, RuleError
from ledger.services.csv_out import written
from ledger.services.ledger import refuse_if_read_only
from ledger.store import whole

if TYPE_CHECKING:
    from pathlib import Path

    from ledger.services.ledger import Ledger


def export_json(ledger: Ledger, path: Path) -> int:
    """Write everything in the ledger, its history too; the photos stay where they are.

    Returns:
        How many birds were written.

    Raises:
        LedgerError: the file could not be written; an older one is untouched.
    """
    plain = whole.as_plain(ledger.flock, ledger.kept_acts())
    written(path, json.dumps(plain, ensure_ascii=False, indent=1) + "\n")
    return len(ledger.flock.birds)


def import_json(
    ledger: Ledger, path: Path, *, dry_run: bool = False, author: str = "import"
) -> int:
    """Take a whole ledger in, history and all; only an empty ledger takes one.

    The ledger is then equal to the one that was written, one act longer.

    Args:
        ledger: An open ledger with nothing in it.
        path: A file that `export_json` wrote, or another program by its schema.
        dry_run: Store nothing; say what would be.
        author: Who imports.

    Returns:
        How many birds are in it.

    Raises:
        NotFoundError: there is no such file.
        ImportFailedError: it is no whole ledger; the message says where.
        RuleError: the ledger has something in it already.
        StoreError: it could not be stored.
    """
    try:
        things, last_numbers, acts = whole.from_plain(json.loads(path.read_bytes()))
    except OSError as error:
        raise NotFoundError(
            f"The file “{path}” cannot be read: {error.strerror}.",
            "Check its name and that you may read it.",
        ) from error
    except (ValueError, RecursionError) as error:
        raise ImportFailedError(
            f"“{path}” cannot be taken in as a whole ledger: {error}.",
            "Nothing was stored. Write it again with `flock-ledger export FILE.json`.",
        ) from error
    if len(ledger.flock):
        raise RuleError(
            f"The ledger in “{ledger.folder}” has something in it already.",
            "A whole ledger goes into an empty one: give another folder with --store.",
        )
    if not dry_run:
        refuse_if_read_only(ledger)
        changes = [Put(thing) for thing in things]
        ledger.take_over(
            changes,
            last_numbers,
            acts,
            author=author,
            what=f"The whole ledger taken in from {path.name}",
        )
    return sum(thing.KIND is Kind.BIRD for thing in things)
