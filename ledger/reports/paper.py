"""A paper about one bird: what it says, as plain parts, and as text."""

from __future__ import annotations

import textwrap
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from pathlib import Path


@dataclass(frozen=True)
class Part:
    """A few lines under a heading."""

    title: str
    lines: tuple[tuple[str, str], ...]
    """Label and text; a line without a label takes the whole width."""
    alert: bool = False
    """It must be seen first."""


@dataclass(frozen=True)
class Paper:
    """What one sheet says."""

    title: str
    below_title: str
    """Whose paper it is and when it was printed."""
    parts: tuple[Part, ...]
    code: str
    """The text of its QR code."""
    code_said: str
    """What the code is, below it."""
    signatures: tuple[str, ...] = ()
    """Who signs, a line each."""
    picture: Path | None = None
    picture_said: str = ""
    """Below the picture, or why there is none."""


def as_text(paper: Paper, width: int = 80) -> str:
    """The paper for a terminal."""
    lines = [paper.title.upper(), paper.below_title]
    for part in paper.parts:
        lines += ["", part.title]
        for label, text in part.lines:
            lines += _folded(label, text, width)
    said = textwrap.wrap(paper.code_said, width)
    lines += ["", *said, *(f"  {line}" for line in paper.code.splitlines()), ""]
    lines += [f"{'_' * 30}  {who}" for who in paper.signatures]
    return "\n".join(lines).rstrip()


def as_plain(paper: Paper) -> dict[str, Any]:
    """The paper for another program."""
    return {
        "title": paper.title,
        "parts": [
            {
                "title": part.title,
                "lines": [{"label": label, "text": text} for label, text in part.lines],
            }
            for part in paper.parts
        ],
        "identity_text": paper.code,
        "signatures": list(paper.signatures),
    }


def _folded(label: str, text: str, width: int) -> list[str]:
    head = f"  {label + ':':<20} " if label else "  "
    folded: list[str] = []
    for piece in text.split("\n"):
        folded += textwrap.wrap(
            piece,
            width,
            initial_indent=head if not folded else " " * len(head),
            subsequent_indent=" " * len(head),
        ) or [head if not folded else ""]
    return folded
