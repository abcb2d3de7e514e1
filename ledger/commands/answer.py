"""What a command gives back."""

from __future__ import annotations

import re
import textwrap
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Iterable

DONE = 0
LOOK = 1
"""There is a finding the caller must look at: no ring, unsure, problems found."""


@dataclass(frozen=True)
class Answer:
    """The same answer twice: for a person, and for another program."""

    text: str
    """Sentences for the keeper; empty where there is nothing to say."""
    plain: dict[str, Any]
    """What `--json` prints."""
    exit_code: int = DONE


def wrapped(lines: Iterable[str], width: int = 80) -> str:
    """Lines folded between words, what follows set in under what it follows.

    Args:
        lines: Lines, or pieces of several lines.
        width: Characters in a line at most, words longer than that apart.
    """
    return "\n".join(
        _folded(line, width) for piece in lines for line in piece.split("\n")
    )


def _folded(line: str, width: int) -> str:
    if len(line) <= width:
        return line
    # Under the second column where there is one: "  77       serial: ...".
    start = re.match(r" *(- )?(\S+ {2,})?", line)
    indent = start.end() if start and start.end() else 4
    return textwrap.fill(
        line,
        width,
        subsequent_indent=" " * indent,
        break_long_words=False,
        break_on_hyphens=False,
    )
