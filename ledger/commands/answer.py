"""What a command gives back."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

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
