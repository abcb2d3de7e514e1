"""What was done in a ledger, and taking it back: always as a new act."""

from __future__ import annotations

from itertools import islice
from typing import TYPE_CHECKING

from ledger.domain.bird import Bird
from ledger.domain.change import Drop, Put
from ledger.domain.history import Act, Did, Touch
from ledger.domain.kind import Kind
from ledger.errors import NotFoundError, RuleError
from ledger.services.ledger import bird_of, refuse_if_read_only

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from ledger.domain.change import Change, Thing
    from ledger.domain.flock import Flock
    from ledger.services.ledger import Ledger

__all__ = ["Act", "in_words", "latest", "of_bird", "take_back", "undo"]


def latest(ledger: Ledger, at_most: int) -> list[Act]:
    """The last acts, newest first."""
    return list(islice(ledger.acts(), at_most))


def in_words(act: Act, *, at_most: int) -> str:
    """What an act touched, for a keeper.

    Args:
        act: The act.
        at_most: Things named one by one.
    """
    named = [f"{_DID[touch.did]} {_called(touch)}" for touch in act.touched[:at_most]]
    if len(act.touched) > at_most:
        named.append(f"and {len(act.touched) - at_most} more")
    return ", ".join(named) or "Nothing in the flock was touched."


_DID = {Did.ADD: "put in", Did.CHANGE: "changed", Did.DROP: "took out"}


def of_bird(ledger: Ledger, bird_id: str) -> list[Act]:
    """Every act that touched a bird or anything that is its own, newest first.

    Its own are its rings, chips, events, placements, photos, pairs and their
    clutches, those that were taken out since too.

    Raises:
        NotFoundError: there is no such bird.
    """
    flock = ledger.flock
    bird_of(flock, bird_id)
    own = _own_ids(flock, bird_id)
    while True:
        acts = [
            act
            for act in ledger.acts(own)
            if any(_is_about(touch, bird_id, own) for touch in act.touched)
        ]
        gone = {t.id for act in acts for t in act.touched if _is_about(t, bird_id, own)}
        if gone <= own:
            return acts
        own |= gone  # taken out since: how it came in belongs here too


def _own_ids(flock: Flock, bird_id: str) -> set[str]:
    pairs = flock.pairs_of(bird_id)
    groups: tuple[Sequence[Thing], ...] = (
        flock.rings_of(bird_id),
        flock.chips_of(bird_id),
        flock.events_of(bird_id),
        flock.placements_of(bird_id),
        flock.photos_of(bird_id),
        pairs,
        *(flock.clutches_of(pair.id) for pair in pairs),
    )
    return {bird_id} | {thing.id for things in groups for thing in things}


def _is_about(touch: Touch, bird_id: str, own: set[str]) -> bool:
    return touch.id in own or getattr(touch.before, "bird", None) == bird_id


def undo(ledger: Ledger, author: str) -> Act:
    """Take back the last act that was not taken back yet.

    All is then as it was before it, with whatever was wrong there.

    Args:
        ledger: An open ledger.
        author: Who takes it back.

    Returns:
        The act taken back.

    Raises:
        NotFoundError: there is none.
        RuleError: it changed nothing.
    """
    standing = next(_standing(ledger), None)
    if standing is None:
        raise NotFoundError("There is nothing to take back.")
    _take_back(ledger, standing, author, ledger.commit_unchecked)
    return standing


def take_back(ledger: Ledger, number: int, author: str) -> Act:
    """Take back one act, however long ago; also one that took another back.

    Args:
        ledger: An open ledger.
        number: The act's.
        author: Who takes it back.

    Returns:
        The act taken back.

    Raises:
        NotFoundError: there is no such act, or it was taken back already.
        RuleError: something was done since that builds on it.
    """
    later = [act for act in ledger.acts() if act.number >= number]
    act = later.pop() if later and later[-1].number == number else None
    if act is None:
        raise NotFoundError(f"There is no change {number} in this ledger.")
    gone = _taken_back(later)
    if number in gone:
        raise NotFoundError(
            f"“{act.what}” was taken back already, by change {gone[number]}.",
            "Take that one back to have it again.",
        )
    touched = {(touch.kind, touch.id) for touch in act.touched}
    for other in reversed(later):
        counts = other.number not in gone and other.undoes is None
        both = [t for t in other.touched if (t.kind, t.id) in touched]
        if counts and both:
            raise RuleError(
                f"“{act.what}” cannot be taken back: “{other.what}” (change "
                f"{other.number}, {other.time:%Y-%m-%d}) changed "
                f"{_called(both[0])} since.",
                f"Take back change {other.number} first, or enter what is right.",
            )
    # What was so before the last act may be so again, whatever was wrong then.
    last = next(_standing(ledger), act)
    is_last = last.number == number or not later
    _take_back(
        ledger, act, author, ledger.commit_unchecked if is_last else ledger.commit
    )
    return act


def _taken_back(newest_first: list[Act]) -> dict[int, int]:
    """Numbers of acts that are taken back, with the act that did it."""
    gone: dict[int, int] = {}
    for act in newest_first:
        if act.undoes is not None and act.number not in gone:
            gone[act.undoes] = act.number
    return gone


def _standing(ledger: Ledger) -> Iterator[Act]:
    """Acts that stand and took nothing back, newest first."""
    gone: set[int] = set()
    for act in ledger.acts():
        if act.number in gone:
            continue
        if act.undoes is None:
            yield act
        else:
            gone.add(act.undoes)


def _take_back(
    ledger: Ledger, act: Act, author: str, commit: Callable[..., Flock]
) -> None:
    refuse_if_read_only(ledger)
    changes: list[Change] = []
    for touch in reversed(act.touched):
        if touch.before is not None:
            changes.append(Put(touch.before))
        elif touch.did is Did.ADD:
            changes.append(Drop(touch.kind, touch.id))
    if not changes:
        raise RuleError(f"“{act.what}” changed nothing that could be taken back.")
    commit(changes, author=author, what=f"Taken back: {act.what}", undoes=act.number)


def _called(touch: Touch) -> str:
    if isinstance(touch.before, Bird):
        return touch.before.title
    if touch.kind is Kind.SETTINGS:
        return "the flock's settings"
    return f"{touch.kind} {touch.id}"
