"""Opening the program: on the keeper's ledger, or on a copy of the demo flock."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

from ledger.commands.answer import Answer
from ledger.errors import UsageError

if TYPE_CHECKING:
    from argparse import Namespace
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
        return _run(folder)
    photos = [str(photo) for photo in demo.demo_photos()]
    return Answer(
        text=f"The demo flock lies in {folder}.\n"
        f"Pictures of its rings lie in {demo.demo_photos()[0].parent}.\n"
        f"Try: flock-ledger identify {photos[0]} --store {folder}",
        plain={"store": str(folder), "photos": photos},
    )


def _has_terminal() -> bool:
    return sys.stdin.isatty() and sys.stdout.isatty()


def _run(folder: Path) -> Answer:
    from ledger import app

    app.run(folder)
    return Answer(text="", plain={})
