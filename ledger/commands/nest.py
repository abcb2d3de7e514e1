"""The command that tells what is due in the nests."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ledger.commands.answer import DONE, LOOK, Answer, wrapped
from ledger.commands.place import open_to_read

if TYPE_CHECKING:
    from argparse import Namespace


def nest(words: Namespace) -> Answer:
    """Eggs to candle, chicks to ring and weigh, what is late; change nothing."""
    from ledger.services import nest_form

    with open_to_read(words) as ledger:
        plain = nest_form.as_json(ledger.flock, words.today)
        lines = nest_form.as_text(ledger.flock, words.today)
    late = any(duty["urgency"] == "late" for duty in plain["due"])
    return Answer(text=wrapped(lines), plain=plain, exit_code=LOOK if late else DONE)
