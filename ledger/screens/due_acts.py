"""Which question does what is due; each is loaded only when it is wanted."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from ledger.care.duty import DueKind

if TYPE_CHECKING:
    from textual.screen import Screen

    from ledger.care.duty import Due
    from ledger.screens.desk import Desk


def act_for(desk: Desk, one: Due) -> Screen[Any]:
    """The question that does what is due."""
    if one.task is not None and one.kind not in (DueKind.RING_CHECK, DueKind.WEIGH):
        return _done(desk, one)
    if one.bird is None:
        return _nest(desk, one)
    match one.kind:
        case DueKind.RING_CHECK:
            from ledger.screens.ring_check import RingCheckScreen

            return RingCheckScreen(desk, one.bird)
        case DueKind.FIT | DueKind.TAKE_OFF:
            from ledger.screens.trial import trial_screen

            return trial_screen(desk, one.bird)
        case DueKind.WEIGH:
            from ledger.screens.happened import weighed

            return weighed(desk, one.bird)
        case DueKind.VET:
            return _done(desk, one)
        case _:
            return _nest(desk, one)


def _done(desk: Desk, one: Due) -> Screen[Any]:
    from ledger.screens.tasks import DoneScreen

    return DoneScreen(desk, one)


def _nest(desk: Desk, one: Due) -> Screen[Any]:
    """What is due in a nest: the chick's ring or its leaving; else its clutch."""
    if one.bird is None or one.kind not in (DueKind.RING, DueKind.FLEDGE):
        return _clutch_or_bird(desk, one)
    if one.kind is DueKind.RING:
        from ledger.screens.ring_chick import RingChickScreen

        return RingChickScreen(desk, one.bird)
    from ledger.screens.young import fledged

    return fledged(desk, one.bird)


def _clutch_or_bird(desk: Desk, one: Due) -> Screen[Any]:
    from ledger.screens.bird import BirdScreen
    from ledger.screens.clutch import ClutchScreen

    if one.clutch is not None and one.clutch in desk.ledger.flock.clutches:
        return ClutchScreen(desk, one.clutch)
    return BirdScreen(desk, one.bird or "")
