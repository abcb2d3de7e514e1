"""Lines over years, drawn in characters."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual_plotext import PlotextPlot

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

_MARKERS = ("dot", "x")
"""A line is told by its sign as well as by its colour."""


class YearPlot(PlotextPlot):
    """One or two figures between 0 and 1, year by year."""

    DEFAULT_CSS = "YearPlot { height: 1fr; min-height: 6; }"

    def show(
        self, years: Sequence[int], figures: Mapping[str, Sequence[float]]
    ) -> None:
        """Draw these.

        Args:
            years: In order.
            figures: Name and a value for each year.
        """
        plot = self.plt
        plot.clear_data()
        plot.ylim(0, 1)
        if years:
            plot.xlim(years[0], max(years[-1], years[0] + 1))
        for (name, values), marker in zip(figures.items(), _MARKERS, strict=False):
            if years:
                plot.plot(list(years), list(values), label=name, marker=marker)
        self.refresh()
