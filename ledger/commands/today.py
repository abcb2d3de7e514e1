"""The command that tells what is due."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import TYPE_CHECKING

from ledger.commands.answer import DONE, LOOK, Answer, wrapped
from ledger.commands.place import open_to_read
from ledger.errors import UsageError

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace


def today_words(parser: ArgumentParser) -> None:
    """What `today` takes."""
    parser.add_argument(
        "--on", metavar="DAY", help="another day than today, such as 2026-12-05"
    )
    parser.add_argument(
        "--everything",
        action="store_true",
        help="also what comes within a week and what is routine",
    )
    parser.add_argument(
        "--about", metavar="WORDS", default="", help="only what has all of these words"
    )
    parser.add_argument(
        "--pdf", metavar="FILE", type=Path, help="write the round; .txt for text"
    )


def today(words: Namespace) -> Answer:
    """All that is due, aviary by aviary where it is printed.

    Raises:
        UsageError: `--on` is no day.
    """
    from ledger.services import round_print
    from ledger.services import today as today_lists

    day = words.today
    if words.on is not None:
        try:
            day = dt.date.fromisoformat(words.on)
        except ValueError as error:
            raise UsageError(
                f"“{words.on}” is no day.", hint="Write it as 2026-12-05."
            ) from error
    with open_to_read(words) as ledger:
        the_list = today_lists.day_list(ledger.flock, day)
        chosen = the_list.chosen(words.about, everything=words.everything)
        lines = [f"{day}: {the_list.summary}.", *today_lists.as_lines(chosen)]
        if words.pdf is not None:
            round_print.print_round(ledger.flock, the_list, chosen, words.pdf)
            lines.append(f"The round is written to {words.pdf}.")
    return Answer(
        text=wrapped(lines),
        plain=today_lists.as_plain(the_list, chosen),
        exit_code=LOOK if any(the_list.pressing) else DONE,
    )
