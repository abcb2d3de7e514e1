"""A bird's weights by day: the curve and the numbers."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding
from textual.containers import Horizontal, Vertical
from textual.content import Content
from textual.widgets import Footer

from ledger.screens.base import HELP_LETTER, Page, heading
from ledger.services.nest_list import curve_of
from ledger.widgets.row_list import Column, Row, RowList
from ledger.widgets.weight_plot import WeightPlot
from ledger.widgets.words import Words, shown

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from ledger.care.weights import WeighPoint
    from ledger.screens.desk import Desk


class WeightsScreen(Page):
    """Numbers on the left, newest first; the curve on the right."""

    HELP_TEXT: ClassVar[str] = """
# Weights

Every weight whose day is known, the newest first: grams, age, and the gain or loss a
day since the one before (`▲` gain, `▼` loss). A bird is judged by its own weights; the
handbook's mean of grown birds is only drawn beside them, and differs from kept birds
by 10 to 40 % in many parrots.

A chick that weighs less than the time before is told at once. Many parrots lose some
weight shortly before they leave the nest. **W** enters a weight.
"""
    BINDINGS = [
        Binding("w", "weigh", "Weigh", id="weights.weigh", tooltip="Enter a weight"),
        HELP_LETTER,
    ]

    def __init__(self, desk: Desk, bird_id: str) -> None:
        super().__init__(desk)
        self._bird_id = bird_id

    def compose(self) -> ComposeResult:
        """What is lost, the numbers and the curve."""
        yield Words(id="heading")
        yield Words(id="loss")
        with Horizontal(id="curve"):
            with Vertical(id="numbers"):
                yield RowList(
                    [
                        Column("day", 10),
                        Column("age", 4, to_the_right=True),
                        Column("grams", 7, to_the_right=True),
                        Column("g a day", 0, to_the_right=True),
                    ],
                    empty="No weight with its day is entered. W enters one.",
                    id="weights",
                )
            yield WeightPlot(id="plot")
        yield Footer()

    def on_mount(self) -> None:
        """Walk at once."""
        self.query_one("#weights").focus()

    def on_screen_resume(self) -> None:
        """Show the weights as they are now."""
        flock = self.desk.ledger.flock
        bird = flock.birds[self._bird_id]
        curve = curve_of(flock, self._bird_id)
        place = ", ".join(filter(None, [bird.species, bird.id]))
        title = f"Weights of {bird.title}"
        self.query_one("#heading", Words).update(heading(title, self.desk, place))
        loss = curve.loss
        said = f"!! {shown(loss.said)} ({loss.source})" if loss else ""
        self.query_one("#loss", Words).say(
            Content.styled(said, "$text-warning bold") if said else ""
        )
        self.query_one("#weights", RowList).show(
            [_row(point) for point in reversed(curve.points)]
        )
        mean = curve.handbook.mean_g if curve.handbook else None
        self.query_one("#plot", WeightPlot).show(curve.points, mean)

    def action_weigh(self) -> None:
        """Enter a weight."""
        from ledger.screens.young import ask_for_weight

        ask_for_weight(self, self.desk, self._bird_id)


def _row(point: WeighPoint) -> Row:
    gain = point.gain_g_a_day
    sign = "" if gain is None else "▲" if gain > 0 else "▼" if gain < 0 else "="
    return Row(
        str(point.on),
        (
            str(point.on),
            "" if point.age_days is None else str(point.age_days),
            f"{point.weight_g:g}",
            "" if gain is None else f"{sign} {gain:+.1f}",
        ),
        "alert" if gain is not None and gain < 0 else "",
    )
