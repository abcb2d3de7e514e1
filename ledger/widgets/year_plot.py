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
        self,
        title: str,
        years: Sequence[int],
        figures: Mapping[str, Sequence[float]],
        *,
        top: float,
        span: tuple[int, int],
        joined: bool = True,
    ) -> None:
        """Draw these.

        Args:
            title: What is drawn.
            years: In order.
            figures: Name and a value for each year.
            top: Where the scale ends; it begins at 0.
            span: First and last year of the page, whether or not there is a value.
            joined: The values are joined by lines; else they stand alone.
        """
        plot = self.plt
        plot.clear_data()
        plot.title(title)
        plot.ylim(0, top)
        plot.yticks([0, top / 2, top], [f"{it:.2f}" for it in (0, top / 2, top)])
        first, last = span[0], max(span[1], span[0] + 1)
        plot.xlim(first, last)
        ticks = sorted({first, (first + last) // 2, last})
        plot.xticks([float(year) for year in ticks], [str(year) for year in ticks])
        draw = plot.plot if joined else plot.scatter
        for (name, values), marker in zip(figures.items(), _MARKERS, strict=False):
            if years:
                draw(list(years), list(values), label=name or None, marker=marker)
        self.refresh()
