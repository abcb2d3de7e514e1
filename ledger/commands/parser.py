"""The words of the command line, parsed; a wrong word becomes a UsageError."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

from ledger import __version__
from ledger.commands.table import COMMANDS
from ledger.errors import UsageError

if TYPE_CHECKING:
    from collections.abc import Sequence

PROGRAM = "flock-ledger"

EPILOG = """\
exit codes: 0 done; 1 a finding to look at (no ring, unsure, problems found);
2 wrong words; 3 the ledger cannot be used; 70 a fault in the program itself
"""


class Parser(argparse.ArgumentParser):
    """An argument parser that raises instead of printing and ending."""

    def error(self, message: str) -> NoReturn:
        """Say what is wrong with the words.

        Raises:
            UsageError: Always.
        """
        raise UsageError(
            f"{message[:1].upper()}{message[1:]}.", hint=f"See `{self.prog} --help`."
        )


def build_parser() -> Parser:
    """The parser of every command in the table."""
    parser = Parser(
        prog=PROGRAM,
        description="From the photo of a leg ring to the bird, its family and its "
        "health notes. Without a command it opens the ledger.",
        epilog=EPILOG,
        formatter_class=argparse.RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )
    parser.add_argument(
        "--version", action="version", version=f"%(prog)s {__version__}"
    )
    parser.set_defaults(command=None, store=None, json=False, notices=[])
    _add_common(parser)
    commands = parser.add_subparsers(metavar="COMMAND", title="commands")
    for command in COMMANDS:
        words = commands.add_parser(
            command.name,
            help=command.summary,
            description=f"{command.summary[:1].upper()}{command.summary[1:]}.",
            allow_abbrev=False,
        )
        command.add_words(words)
        _add_common(words)
        words.set_defaults(command=command)
    return parser


def parse(argv: Sequence[str]) -> argparse.Namespace:
    """The words as a namespace: `command`, `store`, `json` and the command's own.

    Raises:
        UsageError: A word is missing, unknown or of the wrong form.
        SystemExit: After `--help` and `--version`, which print and are done.
    """
    return build_parser().parse_args(argv)


def _add_common(parser: argparse.ArgumentParser) -> None:
    # Absent words leave the parent's value alone, so both places may carry them.
    parser.add_argument(
        "--store",
        metavar="DIR",
        type=Path,
        default=argparse.SUPPRESS,
        help="the folder of the ledger (else the user's own)",
    )
    parser.add_argument(
        "--json",
        action="store_true",
        default=argparse.SUPPRESS,
        help="answer other programs: JSON on standard output",
    )
