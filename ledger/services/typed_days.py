"""Days to come as a keeper writes them: "in 10 days", "tomorrow", "2026-12-05"."""

from __future__ import annotations

import datetime as dt
import re

from ledger.errors import RuleError

_SPANS = {"day": 1, "week": 7, "month": 30}
_IN = re.compile(r"(?:in )?(?:(\d{1,3})|an?|one) ?(day|week|month)s?", re.IGNORECASE)
_AT_MOST_DAYS = 3660


def day_to_come(words: str, today: dt.date) -> dt.date:
    """A day that is today or later.

    Args:
        words: "today", "tomorrow", "in 10 days", "2 weeks", "10" (days), or a date.
        today: The day it is.

    Raises:
        RuleError: it is no day, or one that is past.
    """
    bare = " ".join(words.casefold().split())
    if bare in ("today", "now"):
        return today
    if bare == "tomorrow":
        return today + dt.timedelta(days=1)
    span = _IN.fullmatch(bare)
    if span or bare.isdecimal():
        number = int(bare) if bare.isdecimal() else int(span[1] or 1) if span else 0
        days = number * (_SPANS[span[2].lower()] if span else 1)
        if days <= _AT_MOST_DAYS:
            return today + dt.timedelta(days=days)
    try:
        day = dt.date.fromisoformat(bare)
    except ValueError:
        raise RuleError(
            f"“{words.strip()}” is no day to come.",
            "Write “in 10 days”, “2 weeks”, “tomorrow” or a date such as 2026-12-05.",
        ) from None
    if day < today:
        raise RuleError(f"{day} is past.", "Give today or a day to come.")
    return day
