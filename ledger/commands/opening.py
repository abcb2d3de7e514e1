"""Opening the program: on the keeper's ledger, or on a copy of the demo flock."""

from __future__ import annotations

import shlex
import sys
from typing import TYPE_CHECKING

from ledger.commands.answer import Answer
from ledger.errors import UsageError

if TYPE_CHECKING:
    import datetime as dt
    from argparse import Namespace
    from collections.abc import Callable, Sequence
    from pathlib import Path


def open_program(words: Namespace) -> Answer:
    """Open the ledger in the terminal, until the keeper leaves it.

    Raises:
        UsageError: There is no terminal to draw in, or JSON was asked for.
    """
    if words.json:
        raise UsageError(
            "Without a command the program opens, and that answers no JSON.",
            hint="Name a command; `flock-ledger --help` lists them.",
        )
    if not _has_terminal():
        raise UsageError(
            "The program needs a terminal to draw in, and there is none here.",
            hint="Start it in a terminal, or name a command; "
            "`flock-ledger --help` lists them.",
        )
    from ledger.services import book

    return _run(book.place(words.store))


def demo(words: Namespace) -> Answer:
    """Lay out a private copy of the demo flock and open it.

    Without a terminal, or with `--json`, the copy is laid out and its place told:
    every other command can then be tried on it with `--store`.
    """
    from ledger import paths
    from ledger.services import demo

    folder = demo.private_copy(words.store or paths.demo_folder())
    if _has_terminal() and not words.json:
        return _run(folder, photos=demo.demo_photos()[0].parent, now=demo.now)
    photos = demo.demo_photos()
    one_ring = " ".join(shlex.quote(str(photo)) for photo in _of_one_ring(photos))
    return Answer(
        text=f"The demo flock lies in {folder}.\n"
        f"Pictures of its rings lie in {photos[0].parent}.\n"
        f"Try: flock-ledger identify {one_ring} --store {shlex.quote(str(folder))}",
        plain={"store": str(folder), "photos": [str(photo) for photo in photos]},
    )


def _of_one_ring(photos: Sequence[Path]) -> list[Path]:
    """The largest set of pictures of one ring; what stands before `_` names it."""
    sets: dict[str, list[Path]] = {}
    for photo in photos:
        sets.setdefault(photo.name.partition("_")[0], []).append(photo)
    return max(sets.values(), key=len)


def _has_terminal() -> bool:
    return sys.stdin.isatty() and sys.stdout.isatty()


def _run(
    folder: Path,
    photos: Path | None = None,
    now: Callable[[], dt.datetime] | None = None,
) -> Answer:
    from ledger import app

    app.run(folder, photos=photos, now=now)
    return Answer(text="", plain={})
