"""Commands that look back: what was done, and taking it back."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from ledger.commands.answer import Answer, wrapped
from ledger.commands.place import open_to_read, open_to_write
from ledger.errors import UsageError

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace
    from collections.abc import Sequence

    from ledger.services.history import Act

_SOME = 20


def history_words(parser: ArgumentParser) -> None:
    """What `history` takes."""
    parser.add_argument(
        "bird", metavar="BIRD", nargs="?", help="its id, name, ring or chip"
    )
    parser.add_argument(
        "--last", metavar="N", type=int, help=f"only the last N (else {_SOME})"
    )


def undo_words(parser: ArgumentParser) -> None:
    """What `undo` takes."""
    parser.add_argument(
        "--change", metavar="NUMBER", type=int, help="not the last: the one listed so"
    )


def history(words: Namespace) -> Answer:
    """What was done in the ledger or to one bird, newest first."""
    from ledger.services import card, history

    at_most = _SOME if words.last is None else words.last
    if at_most < 1:
        raise UsageError("--last counts from 1.", hint="Leave it out, or give more.")
    with open_to_read(words) as ledger:
        if words.bird is None:
            acts = history.latest(ledger, at_most)
        else:
            bird = card.find_bird(ledger.flock, words.bird)
            acts = history.of_bird(ledger, bird.id)[:at_most]
    return Answer(
        text=wrapped(_lines(acts)) or "Nothing was done yet.",
        plain={"changes": [_as_plain(act) for act in acts]},
    )


def undo(words: Namespace) -> Answer:
    """Take back the last change, or the one with this number."""
    from ledger.services import history
    from ledger.services.keeper import keeper_name
    from ledger.settings import load_settings

    with open_to_write(words) as ledger:
        author = keeper_name(ledger.flock, load_settings())
        if words.change is None:
            act = history.undo(ledger, author)
        else:
            act = history.take_back(ledger, words.change, author)
        own = history.latest(ledger, 1)[0].number
    return Answer(
        text=f"Taken back: {act.what}.\n`flock-ledger undo --change {own}` does it "
        "again.",
        plain={"taken_back": _as_plain(act), "by_change": own},
    )


def _lines(acts: Sequence[Act]) -> list[str]:
    return [
        f"{act.number:>6}  {act.time.astimezone():%Y-%m-%d %H:%M}  {act.author}: "
        f"{act.what}"
        for act in acts
    ]


def _as_plain(act: Act) -> dict[str, Any]:
    return {
        "change": act.number,
        "time": act.time.isoformat(),
        "author": act.author,
        "what": act.what,
        "undoes": act.undoes,
        "touched": [
            {"kind": str(touch.kind), "id": touch.id, "did": str(touch.did)}
            for touch in act.touched
        ],
    }
