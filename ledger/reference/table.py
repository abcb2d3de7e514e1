"""One published table: a CSV beside this file, read once, row by row."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from pathlib import Path

FOLDER = Path(__file__).parent


@dataclass(frozen=True, slots=True)
class Row:
    """One row, its cells by column; it knows where it stands."""

    table: str
    line: int
    cells: dict[str, str]

    def text(self, column: str) -> str:
        """The cell as printed; "" where it is empty."""
        return self.cells[column]

    def number(self, column: str) -> float:
        """The cell as a number.

        Raises:
            ValueError: it is empty or no number; the message names the cell.
        """
        try:
            return float(self.cells[column])
        except ValueError as error:
            raise ValueError(
                f"{self.table}, line {self.line}, {column}: "
                f"“{self.cells[column]}” is not a number."
            ) from error

    def number_or_none(self, column: str) -> float | None:
        """The cell as a number; None where it is empty."""
        return self.number(column) if self.cells[column] else None


@cache
def rows(table: str) -> tuple[Row, ...]:
    """All rows of a table.

    Args:
        table: Its file's name, like "weights.csv".
    """
    with (FOLDER / table).open(encoding="utf-8", newline="") as file:
        reader = csv.DictReader(file)
        return tuple(Row(table, reader.line_num, cells) for cells in reader)
