"""Commands that keep the ledger from harm: backup and restore."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from ledger.commands.answer import DONE, LOOK, Answer, wrapped
from ledger.commands.place import folder_of, open_to_read, open_to_write
from ledger.errors import NotFoundError, StoreDamagedError

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace
    from collections.abc import Iterator
    from pathlib import Path

    from ledger.services.backups import Backup, Difference


def restore_words(parser: ArgumentParser) -> None:
    """What `restore` takes."""
    parser.add_argument(
        "backup", metavar="BACKUP", nargs="?", help="its name, its day, or a file"
    )
    parser.add_argument(
        "--yes", action="store_true", help="do it; without it only what would change"
    )


def backup(words: Namespace) -> Answer:
    """Keep the whole ledger as it is now, as one file."""
    from ledger.services import backups

    with open_to_write(words) as ledger:
        path = backups.backup(ledger)
        birds = len(ledger.flock.birds)
    return Answer(
        text=f"{birds} birds and all about them kept in {path}.\nThe photos are not in "
        "it: copy the folder photos too.",
        plain={"backup": str(path), "birds": birds},
    )


def restore(words: Namespace) -> Answer:
    """List the backups; show what one would change; with --yes go back to it."""
    from ledger.services import backups

    folder = folder_of(words)
    if words.backup is None:
        return _list(backups.all_of(folder), folder)
    chosen = backups.find(folder, words.backup)
    then = backups.flock_in(chosen.path)
    try:
        with open_to_read(words) as ledger:
            found = backups.differences(ledger.flock, then)
            said = backups.in_words(found, ledger.flock, then)
    except StoreDamagedError as error:
        return _over_a_damaged_one(words, chosen, str(error))
    if words.yes and found:
        from ledger.services.keeper import keeper_name
        from ledger.settings import load_settings

        with open_to_write(words) as ledger:
            author = keeper_name(ledger.flock, load_settings())
            backups.restore(ledger, chosen, author)
    done = bool(words.yes and found)
    return Answer(
        text=wrapped(_difference_lines(chosen, said, done=done)),
        plain={
            "backup": str(chosen.path),
            "restored": done,
            "differences": [_as_plain(difference) for difference in found],
        },
        exit_code=LOOK if found and not done else DONE,
    )


def _list(known: list[Backup], folder: Path) -> Answer:
    if not known:
        raise NotFoundError(
            f"There is no backup in “{folder}”.",
            "`flock-ledger backup` makes one; the first change of a day makes one too.",
        )
    lines = [
        f"{each.name}  {each.size / 1000:,.0f} kB  {each.reason}" for each in known
    ]
    lines.append("Name one to see what going back to it would change.")
    return Answer(
        text="\n".join(lines),
        plain={
            "backups": [
                {
                    "name": each.name,
                    "file": str(each.path),
                    "day": each.day.isoformat(),
                    "reason": each.reason,
                    "bytes": each.size,
                }
                for each in known
            ]
        },
    )


def _over_a_damaged_one(words: Namespace, chosen: Backup, trouble: str) -> Answer:
    """The ledger cannot be compared: only lay the backup in its place."""
    from ledger.services import backups

    kept: list[str] = []
    lines = [trouble]
    if words.yes:
        kept = [str(path) for path in backups.lay_back(folder_of(words), chosen.path)]
        lines.append(
            f"{chosen.name} was laid in its place. The damaged files are kept:"
        )
        lines += kept
    else:
        lines.append(f"--yes lays {chosen.name} in its place; the damaged files stay.")
    return Answer(
        text=wrapped(lines),
        plain={
            "backup": str(chosen.path),
            "restored": bool(words.yes),
            "damaged": trouble,
            "kept": kept,
        },
        exit_code=DONE if words.yes else LOOK,
    )


def _difference_lines(chosen: Backup, said: list[str], *, done: bool) -> Iterator[str]:
    if not said:
        yield f"The ledger is what it was in {chosen.name}; there is nothing to do."
        return
    yield from said
    if done:
        yield f"The ledger is again what it was in {chosen.name}."
        yield "What it was before is kept as a backup of its own."
    else:
        yield "Nothing was changed. Add --yes to go back."


def _as_plain(difference: Difference) -> dict[str, Any]:
    return {
        "kind": str(difference.kind),
        "comes_back": list(difference.comes_back),
        "changes_back": list(difference.changes_back),
        "goes": list(difference.goes),
    }
