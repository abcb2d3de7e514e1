"""What happened to a young bird: weighed, fledged, weaned; its clutch from its page."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from ledger.errors import RuleError
from ledger.screens.happened import Entered, HappenedScreen
from ledger.services import chicks
from ledger.services.nest_list import curve_of
from ledger.widgets.form import FormLine
from ledger.widgets.words import shown

if TYPE_CHECKING:
    from collections.abc import Callable

    from textual.screen import Screen

    from ledger.screens.desk import Desk

_TEXT = FormLine("text", "In words", hint="May stay empty.")
_WEIGHT = FormLine("weight", "Weight in grams", hint="If it was weighed.")


def ask_for_weight(page: Screen[Any], desk: Desk, bird_id: str) -> None:
    """Ask for a chick's weight, and say at once where it lost some."""

    def store(desk: Desk, bird_id: str, said: Entered) -> object:
        if said.weight_g is None:
            raise RuleError("No weight is entered.", "Write the grams, such as 41.5.")
        return chicks.weigh_chick(
            desk.ledger, bird_id, said.weight_g, said.on, desk.keeper
        )

    def then(stored: bool | None) -> None:
        loss = curve_of(desk.ledger.flock, bird_id).loss if stored else None
        if loss is not None:
            page.app.notify(
                shown(loss.said),
                title="It lost weight",
                severity="warning",
                timeout=12,
                markup=False,
            )

    points = curve_of(desk.ledger.flock, bird_id).points
    before = f"Last {points[-1].weight_g:g} g on {points[-1].on}." if points else ""
    line = FormLine("weight", "Weight in grams", example="for example 41.5")
    form = HappenedScreen(desk, bird_id, "weighed", (line,), store, about=before)
    page.app.push_screen(form, then)


def fledged(desk: Desk, bird_id: str) -> HappenedScreen:
    """It left the nest."""
    return _grown(desk, bird_id, "left the nest", chicks.fledge)


def weaned(desk: Desk, bird_id: str) -> HappenedScreen:
    """It feeds itself."""
    return _grown(desk, bird_id, "feeds itself", chicks.wean)


def _grown(
    desk: Desk, bird_id: str, title: str, enter: Callable[..., object]
) -> HappenedScreen:
    def store(desk: Desk, bird_id: str, said: Entered) -> object:
        return enter(
            desk.ledger,
            bird_id,
            said.on,
            desk.keeper,
            weight_g=said.weight_g,
            text=said.text,
        )

    return HappenedScreen(desk, bird_id, title, (_WEIGHT, _TEXT), store)
