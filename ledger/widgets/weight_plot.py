"""A bird's weights by day, drawn in characters."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual_plotext import PlotextPlot

if TYPE_CHECKING:
    from collections.abc import Sequence

    from ledger.care.weights import WeighPoint

_SPARE = 0.08
"""Room above and below the curve, as a share of its height."""
_MOST_TICKS = 6
_WITHIN_REACH = 1.5
"""A bird far heavier than the mean would be pressed flat by the line of it."""


class WeightPlot(PlotextPlot):
    """Grams over age in days; over dates where no hatching is known."""

    DEFAULT_CSS = "WeightPlot { height: 1fr; min-height: 8; }"

    def show(self, points: Sequence[WeighPoint], handbook_g: float | None) -> None:
        """Draw the curve.

        Args:
            points: Oldest first.
            handbook_g: Mean of grown birds, drawn as a line of another sign where it
                lies within reach of the curve; None where there is none.
        """
        plot = self.plt
        plot.clear_figure()
        if not points:
            self.refresh()
            return
        first = points[0].on
        by_age = all(point.age_days is not None for point in points)
        places = [
            float(point.age_days if point.age_days is not None else 0)
            if by_age
            else float((point.on - first).days)
            for point in points
        ]
        grams = [point.weight_g for point in points]
        lowest, highest = min(grams), max(grams)
        show_mean = handbook_g is not None and lowest <= _WITHIN_REACH * handbook_g
        if show_mean and handbook_g is not None:
            lowest, highest = min(lowest, handbook_g), max(highest, handbook_g)
        spare = max((highest - lowest) * _SPARE, 0.5)
        plot.title("grams by age in days" if by_age else f"grams by day since {first}")
        plot.ylim(max(0.0, lowest - spare), highest + spare)
        last = max(places[-1], places[0] + 1)
        plot.xlim(places[0], last)
        ticks = _ticks(places[0], last)
        plot.xticks(ticks, [f"{tick:.0f}" for tick in ticks])
        plot.plot(places, grams, marker="dot")
        plot.scatter(places, grams, marker="x", label="weighed")
        if show_mean and handbook_g is not None:
            plot.plot(
                [places[0], last],
                [handbook_g, handbook_g],
                marker="-",
                label=f"grown, handbook {handbook_g:g}",
            )
        self.refresh()


def _ticks(first: float, last: float) -> list[float]:
    """A few whole days from the first to the last."""
    step = max(1, round((last - first) / (_MOST_TICKS - 1)))
    return [*range(int(first), int(last), step), int(last)][: _MOST_TICKS + 1]
