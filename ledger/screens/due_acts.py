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


_ACTS = {
    DueKind.RING: "ring_chick.RingChickScreen",
    DueKind.FLEDGE: "young.fledged",
}
"""What is entered about a chick, by its name in the acts of the bird's page."""


def _nest(desk: Desk, one: Due) -> Screen[Any]:
    """What is due in a nest: an act about the chick, else the page of a bird."""
    from ledger.screens.acts import ACTS
    from ledger.screens.bird import BirdScreen
    from ledger.screens.flock import FlockScreen

    if one.bird is None:
        return FlockScreen(desk, one.name.partition(" x ")[0])
    for act in ACTS:
        if act.screen == _ACTS.get(one.kind):
            return act.opened(desk, one.bird)
    return BirdScreen(desk, one.bird)
