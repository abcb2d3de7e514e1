"""The one exit point: words in, answer out, every failure a sentence and a code."""

from __future__ import annotations

import datetime as dt
import json
import os
import sys
import traceback
from contextlib import suppress
from typing import TYPE_CHECKING, Any

from ledger import paths
from ledger.commands.opening import open_program
from ledger.commands.parser import PROGRAM, parse
from ledger.errors import LedgerError

if TYPE_CHECKING:
    from argparse import Namespace
    from collections.abc import Sequence

    from ledger.commands.answer import Answer

FAULT = 70
"""The program itself is wrong (EX_SOFTWARE of sysexits.h)."""
INTERRUPTED = 130
"""The keeper pressed Ctrl-C (128 + SIGINT)."""
READER_GONE = 141
"""Whoever read our output has closed it (128 + SIGPIPE)."""


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command, or open the program when none is given.

    Args:
        argv: The words after the program's name; `None` takes the process's own.

    Returns:
        The exit code: that of the answer or the error, see the constants above.
    """
    try:
        return _run(sys.argv[1:] if argv is None else list(argv))
    except KeyboardInterrupt:
        return INTERRUPTED
    except BrokenPipeError:
        _stop_writing()
        return READER_GONE


def _run(argv: Sequence[str]) -> int:
    """Answer, or say why not."""
    wants_json = "--json" in argv
    try:
        words = parse(argv)
        answer = _answer(words)
        for notice in words.notices:
            print(_showable(notice, sys.stderr.encoding), file=sys.stderr)
        _print(answer.text, answer.plain, wants_json)
    except LedgerError as error:
        return _tell(str(error), error.hint, error.exit_code, wants_json)
    except BrokenPipeError:
        raise
    except Exception:  # noqa: BLE001 - kept in a log, and told
        return _tell_of_a_fault(argv, wants_json)
    return answer.exit_code


def _answer(words: Namespace) -> Answer:
    words.today = dt.datetime.now().astimezone().date()
    if words.command is None:
        return open_program(words)
    answer: Answer = words.command.run(words)
    return answer


def _print(text: str, plain: dict[str, Any], as_json: bool) -> None:
    """Write the answer to standard output, in a form any terminal can show.

    Raises:
        LedgerError: The output cannot be written; its disk is full.
    """
    # JSON is escaped to ASCII: valid whatever encoding the terminal claims.
    out = json.dumps(plain, indent=2) if as_json else text
    try:
        if out:
            print(_showable(out, sys.stdout.encoding), flush=True)
    except BrokenPipeError:
        raise
    except OSError as error:
        _stop_writing()
        raise LedgerError(
            f"The answer could not be written: {error.strerror}.",
            "Free some space, or send it elsewhere.",
        ) from error


def _tell(sentence: str, hint: str, exit_code: int, as_json: bool) -> int:
    """Say what went wrong: to the person on stderr, to a program on stdout too."""
    for line in (sentence, hint):
        if line:
            print(_showable(line, sys.stderr.encoding), file=sys.stderr)
    if as_json:
        with suppress(LedgerError):  # the person has been told
            _print("", {"error": sentence, "hint": hint}, as_json)
    return exit_code


def _tell_of_a_fault(argv: Sequence[str], as_json: bool) -> int:
    """Keep the traceback in a file and say where; never swallow a fault."""
    trace = traceback.format_exc()
    log = paths.log_file()
    when = dt.datetime.now().astimezone().isoformat(timespec="seconds")
    try:
        log.parent.mkdir(parents=True, exist_ok=True)
        with log.open("a", encoding="utf-8") as lines:
            lines.write(f"{when} {PROGRAM} {list(argv)}\n{trace}\n")
    except OSError:
        # No place to keep it: then the terminal has to.
        return _tell(
            f"A fault in the program stopped it.\n{trace}",
            "What was not confirmed is not stored. Please report the lines above.",
            FAULT,
            as_json,
        )
    return _tell(
        f"A fault in the program stopped it; the details are in {log}.",
        "What was not confirmed is not stored. Please report it with that file.",
        FAULT,
        as_json,
    )


def _showable(text: str, encoding: str | None) -> str:
    """The text without terminal commands, in signs the terminal knows.

    A bird's name is the keeper's; it must not move the cursor or change colours.
    """
    plain = "".join(
        sign if sign.isprintable() or sign in "\n\u00a0" else "\ufffd" for sign in text
    )
    encoding = encoding or "utf-8"
    return plain.encode(encoding, errors="replace").decode(encoding)


def _stop_writing() -> None:
    """Send what is left nowhere, or Python complains once more while ending."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


if __name__ == "__main__":
    sys.exit(main())
