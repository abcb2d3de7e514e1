"""What a keeper means by the words typed, pasted or dropped at the start.

Terminals paste a dropped file as a path: bare, in quotes, with backslashes
before spaces, or as a file:// address, several in one line or on several lines.
Everything else is what someone could read on a ring.
"""

from __future__ import annotations

import os
import re
import shlex
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.request import url2pathname

from ledger.domain.partial_date import PartialDate
from ledger.errors import NotFoundError, RuleError
from ledger.services.inbox import PHOTO_SUFFIXES

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Callable, Iterator


@dataclass(frozen=True)
class Photos:
    """Photos of one ring."""

    paths: tuple[Path, ...]


@dataclass(frozen=True)
class Folder:
    """A folder; it could be the photo inbox."""

    path: Path


@dataclass(frozen=True)
class Fragment:
    """What is legible on a ring; `?` one character unread, `*` any number."""

    text: str


@dataclass(frozen=True)
class Unclear:
    """Nothing to go on yet; `sentence` says why, empty for no words at all."""

    sentence: str = ""


Meaning = Photos | Folder | Fragment | Unclear


def understand(words: str) -> Meaning:
    """Tell photos from a fragment of an inscription.

    Args:
        words: As typed, pasted or dropped.

    Returns:
        `Photos` if every path is a file. A path that leads nowhere is `Unclear`,
        never a fragment.
    """
    words = words.strip().strip("\0")
    if not words:
        return Unclear()
    if not looks_like_path(words):
        if any(sign.isalnum() for sign in words):
            return Fragment(words)
        return Unclear("Type the letters and digits you can read; ? stands for one.")
    missing = ""
    for paths in _ways_to_split(words):
        found = [path for path in paths if _is(Path.is_file, path)]
        if paths and len(found) == len(paths):
            return Photos(tuple(dict.fromkeys(paths)))
        if len(paths) == 1 and _is(Path.is_dir, paths[0]):
            return Folder(paths[0])
        gone = [path for path in paths if path not in found]
        missing = missing or (f"No photo at {gone[0]}" if gone else "")
    return Unclear(missing or "This path cannot be understood.")


def looks_like_path(words: str) -> bool:
    """Whether the words can only be meant as a path, there or not."""
    start = words.lstrip("\"'& ")
    if re.match(r"(/|~[/\\]|\.{1,2}[/\\]|\\\\|file:|[A-Za-z]:[/\\])", start):
        return True
    end = words.rstrip("\"' ").lower()
    return any(end.endswith(suffix) for suffix in PHOTO_SUFFIXES)


def _ways_to_split(words: str) -> Iterator[list[Path]]:
    """The paths the words may hold, likeliest way first."""
    yield [_path(_unquoted(words))]
    lines = [line.strip() for line in words.splitlines() if line.strip()]
    if len(lines) > 1:
        yield [_path(_unquoted(line)) for line in lines]
        yield [_path(part) for line in lines for part in _shell_parts(line)]
    else:
        yield [_path(part) for part in _shell_parts(words)]


def _is(kind: Callable[[Path], bool], path: Path) -> bool:
    """Whether a path is of that kind; one that may not be looked at is not."""
    try:
        return kind(path)
    except OSError:  # too long a name, or no leave to look
        return False


def _unquoted(word: str) -> str:
    """Without the quotes round the whole, or PowerShell's `& ` before them."""
    word = word.removeprefix("& ")
    if len(word) > 1 and word[0] == word[-1] and word[0] in "\"'":
        return word[1:-1]
    return word


def _shell_parts(words: str) -> list[str]:
    """Split as a shell would; a backslash parts folders on Windows."""
    lexer = shlex.shlex(words, posix=True, punctuation_chars=False)
    lexer.whitespace_split = True
    lexer.commenters = ""
    if os.name == "nt":
        lexer.escape = ""
    try:
        return list(lexer)
    except ValueError:  # a quote left open: someone is still typing
        return words.split()


def _path(word: str) -> Path:
    if word.startswith("file:"):
        place = word.removeprefix("file:")
        if place.startswith("//"):  # a host's name may stand between
            place = "/" + place[2:].partition("/")[2]
        return Path(url2pathname(place))
    if word.startswith("~"):
        try:
            return Path(word).expanduser()
        except RuntimeError:  # no home folder known
            return Path(word)
    return Path(word)


def grams(words: str) -> float | None:
    """A weight as typed; None for nothing.

    Raises:
        RuleError: It is no weight.
    """
    words = words.strip().lower().removesuffix("g").strip().replace(",", ".")
    if not words:
        return None
    if not re.fullmatch(r"\d{1,5}(\.\d{1,2})?", words) or not float(words):
        raise RuleError(
            f"“{words}” is not a weight in grams.", "Write a number such as 412.5."
        )
    return float(words)


def millimetres(words: str) -> float | None:
    """An inner diameter as typed; None for nothing.

    Raises:
        RuleError: It is no size.
    """
    words = words.strip().lower().removesuffix("mm").strip().replace(",", ".")
    if not words:
        return None
    if not re.fullmatch(r"\d{1,2}(\.\d{1,2})?", words) or not float(words):
        raise RuleError(
            f"“{words}” is not a size in mm.", "Write the inner diameter, such as 11.5."
        )
    return float(words)


def date(words: str, today: dt.date) -> PartialDate:
    """A date as typed; today for nothing.

    Raises:
        RuleError: It is no date, or it lies ahead.
    """
    if not words.strip():
        return PartialDate.of(today)
    try:
        typed = PartialDate.parse(words)
    except ValueError as error:
        raise RuleError(str(error)) from error
    if typed.is_after(today):
        raise RuleError(f"{typed} lies ahead.", "Write when it was, or leave it empty.")
    return typed


def folder(words: str) -> Path:
    """A folder as typed or dropped, made if it is not there.

    Raises:
        NotFoundError: It is none, and none can be made there.
    """
    if not words.strip():
        raise NotFoundError("No folder was named.", "Type its path, or drop it here.")
    path = _path(_unquoted(words.strip())).absolute()
    try:
        path.mkdir(parents=True, exist_ok=True)
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or "no such name is allowed"
        raise NotFoundError(
            f"The folder {path} cannot be made: {why}.", "Choose another folder."
        ) from error
    return path
