"""The year's ring order as sentences, as a table, as a paper, and for programs."""

from __future__ import annotations

import csv
import io
from typing import TYPE_CHECKING, Any

from ledger.errors import UsageError
from ledger.reports.round_paper import Column, Paper, Table, write_pdf

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

    from ledger.care.ring_order import OrderLine
    from ledger.domain.flock import Flock
    from ledger.domain.series import RingSeries
    from ledger.services.ring_order import YearOrder

HEADINGS = (
    "size_mm",
    "to_order",
    "first",
    "last",
    "inscription",
    "colour",
    "chicks",
    "trial",
    "spare",
    "have",
    "species",
    "why",
)


def order_lines(order: YearOrder) -> Iterator[str]:
    """The order with its reasons, line by line."""
    plan = order.plan
    if not plan.lines and not plan.without_size:
        yield f"No pair is together, so no rings are needed for {plan.year}."
        return
    yield f"Rings to order for {plan.year}: {plan.to_order}."
    for line in plan.lines:
        yield ""
        yield f"{line.size_mm:g} mm: {total_of(line)}"
        series = order.series_of(line)
        if series is not None:
            yield f"  {serials_of(series)}"
        yield from (f"  - {sentence}" for sentence in line.why)
    for need in plan.without_size:
        yield ""
        yield (
            f"No size for {need.species}: {need.enough} rings are wanted, and no table "
            "at hand gives a size. Set a size of your own."
        )
        yield from (f"  - {sentence}" for sentence in need.why)
    yield ""
    yield from order.notes


def total_of(line: OrderLine) -> str:
    """How many rings of a size, and how that comes about, as a sentence."""
    parts = [
        f"{number} {what}"
        for number, what in (
            (line.chicks, "for chicks"),
            (line.trial, "to put on trial"),
            (line.spare, "to spare"),
        )
        if number
    ]
    less = f", less {line.have} you have" if line.have else ""
    return f"order {line.to_order} ({', '.join(parts)}{less})."


def serials_of(series: RingSeries) -> str:
    """First and last inscription of a series."""
    first, last = series.inscription(series.first), series.inscription(series.last)
    return f"“{first}”" if first == last else f"“{first}” to “{last}”"


def order_as_plain(order: YearOrder) -> dict[str, Any]:
    """The order for another program."""
    return {
        "year": order.plan.year,
        "to_order": order.plan.to_order,
        "lines": [_plain_line(order, line) for line in order.plan.lines],
        "without_size": [
            {"species": need.species, "chicks": need.enough, "why": list(need.why)}
            for need in order.plan.without_size
        ],
        "notes": list(order.notes),
    }


def _plain_line(order: YearOrder, line: OrderLine) -> dict[str, Any]:
    series = order.series_of(line)
    return {
        "size_mm": line.size_mm,
        "to_order": line.to_order,
        "first": series.first if series else None,
        "last": series.last if series else None,
        "inscription": series.pattern if series else "",
        "colour": series.colour if series else "",
        "chicks": line.chicks,
        "trial": line.trial,
        "spare": line.spare,
        "have": line.have,
        "species": list(line.species),
        "why": list(line.why),
    }


def order_as_csv(order: YearOrder) -> str:
    """The order as a table, one row for each size."""
    text = io.StringIO()
    writer = csv.DictWriter(text, HEADINGS, lineterminator="\n")
    writer.writeheader()
    for line in order.plan.lines:
        row = _plain_line(order, line)
        row["species"] = "; ".join(line.species)
        row["why"] = " ".join(line.why)
        writer.writerow({key: "" if v is None else v for key, v in row.items()})
    return text.getvalue()


def write_order(flock: Flock, order: YearOrder, path: Path) -> None:
    """Write the order to a file: `.csv`, `.pdf` or `.txt`.

    Raises:
        UsageError: the file's name ends otherwise, or it cannot be written.
    """
    writers: dict[str, Callable[[], object]] = {
        ".csv": lambda: path.write_text(order_as_csv(order), encoding="utf-8"),
        ".txt": lambda: path.write_text(
            "\n".join(order_lines(order)) + "\n", encoding="utf-8"
        ),
        ".pdf": lambda: write_pdf(path, order_paper(flock, order)),
    }
    write = writers.get(path.suffix.casefold())
    if write is None:
        raise UsageError(
            f"“{path.name}” ends in nothing that an order is written as.",
            hint="Let it end in .pdf, .csv or .txt.",
        )
    try:
        write()
    except OSError as error:
        raise UsageError(
            f"{path} could not be written: {error.strerror or error}.",
            hint="Choose another place.",
        ) from error


def order_paper(flock: Flock, order: YearOrder) -> Paper:
    """The order on paper: first what the maker needs, then the reasons."""
    plan = order.plan
    name = flock.settings.name or "Flock ledger"
    rows = tuple(
        (
            f"{series.size_mm:g} mm",
            str(len(series.serials)),
            serials_of(series),
            series.colour,
            str(series.kind),
        )
        for series in order.series
    )
    columns = (
        Column("inner diameter", 1.1),
        Column("rings", 0.6),
        Column("inscriptions", 4),
        Column("colour", 1),
        Column("kind", 0.8),
    )
    why = tuple(
        Table(
            f"{line.size_mm:g} mm: {total_of(line)}",
            (Column(""),),
            tuple((sentence,) for sentence in line.why),
        )
        for line in plan.lines
    )
    without = tuple(
        Table(
            f"No size for {need.species}: set a size of your own",
            (Column(""),),
            tuple((sentence,) for sentence in need.why),
        )
        for need in plan.without_size
    )
    return Paper(
        f"{name}: rings to order for {plan.year}",
        (f"{plan.to_order} rings in all.", *order.notes),
        (Table("The order", columns, rows, "Nothing to order."), *why, *without),
        f"{name}, ring order {plan.year}",
    )
