"""A round on paper: the sheet to walk with, and what came of it; PDF, text and CSV."""

from __future__ import annotations

import csv
import io
from typing import TYPE_CHECKING

from ledger.domain.walk import SeenHow
from ledger.errors import LedgerError
from ledger.reports.round_paper import Column, Paper, Table, as_text, write_pdf
from ledger.services.csv_out import written
from ledger.services.walk_plan import plan, without_aviary, worn_ring
from ledger.services.walk_summary import Line, aviaries_left, compared, summary

if TYPE_CHECKING:
    import datetime as dt
    from pathlib import Path

    from ledger.domain.flock import Flock
    from ledger.services.walk_differences import Difference
    from ledger.services.walk_summary import Summary

CSV_COLUMNS = (
    "round", "aviary_expected", "aviary_seen", "bird", "name", "ring", "seen", "read",
    "time", "ring_state", "leg_state", "weight_g", "difference", "settled", "proposal",
    "note",
)  # fmt: skip

_HOW = {
    SeenHow.TYPED: "read",
    SeenHow.PHOTO: "photo",
    SeenHow.CHIP: "chip",
    SeenHow.BY_SIGHT: "by sight",
}


def sheet(flock: Flock, today: dt.date) -> Paper:
    """The sheet to walk with: every aviary with its birds, and room to write."""
    columns = (
        Column("seen", 0.5), Column("bird", 1.4), Column("ring", 1.8),
        Column("species", 1.7), Column("sex", 0.6),
        Column("ring / leg / weight / note", 3),
    )  # fmt: skip
    planned = plan(flock)
    tables = tuple(
        Table(
            f"{number}. {each.aviary} ({_birds(len(each.birds))})",
            columns,
            tuple(
                (
                    "[  ]",
                    bird.title,
                    worn_ring(flock, bird.id) or "no ring entered",
                    bird.species,
                    str(bird.sex) if bird.sex != "unknown" else "",
                    "",
                )
                for bird in each.birds
            ),
            empty="Nobody is expected here.",
        )
        for number, each in enumerate(planned, start=1)
    )
    homeless = without_aviary(flock)
    lines = [
        f"{_birds(sum(len(p.birds) for p in planned))} in {len(planned)} aviaries."
    ]
    if homeless:
        names = ", ".join(bird.title for bird in homeless)
        lines.append(f"No aviary is entered for: {names}.")
    name = flock.settings.name or "Flock"
    return Paper(f"{name}: walk-through, {today}", tuple(lines), tables, f"{today}")


def _birds(number: int) -> str:
    return "1 bird" if number == 1 else f"{number} birds"


def result(flock: Flock, walk_id: str) -> Paper:
    """What came of a round: differences, coverage, every bird.

    Raises:
        NotFoundError: there is no such round.
    """
    found = summary(flock, walk_id)
    walk = found.walk
    lines = [
        f"{found.coverage}.",
        f"Walked by {walk.by or 'nobody named'} in {found.minutes:.0f} minutes, breaks "
        f"left out; begun {_clock(walk.started)}, "
        + (f"ended {_clock(walk.ended)}." if walk.ended else "not ended yet."),
    ]
    left = aviaries_left(walk)
    if left:
        lines.append(f"Not walked to the end: {', '.join(left)}.")
    lines += [f"! {sentence} An avian vet today." for sentence in found.urgent]
    lines += compared(flock, walk)
    differing = Table(
        f"Differences ({len(found.differences)})",
        (Column("what", 1.2), Column("", 4.5),
         Column("settled", 1.6), Column("proposal", 1.8)),
        tuple(
            (each.kind.value, each.said, each.settled or "open", each.proposal)
            for each in found.differences
        ),
        empty="None: all is as the ledger has it.",
    )  # fmt: skip
    columns = (
        Column("bird", 1.3), Column("ring", 1.7), Column("seen", 1),
        Column("where", 1.6), Column("ring / leg", 1.6), Column("weight", 0.8),
        Column("note", 2),
    )  # fmt: skip
    tables = [
        Table(
            stop.aviary,
            columns,
            tuple(_row(line) for line in found.lines if line.aviary == stop.aviary),
            empty="Nobody was expected here.",
        )
        for stop in walk.stops
    ]
    name = flock.settings.name or "Flock"
    title = f"{name}: round {walk.id} of {walk.on or walk.started[:10]}"
    return Paper(title, tuple(lines), (differing, *tables), title)


def _row(line: Line) -> tuple[str, ...]:
    seen = line.sighting
    if seen is None:
        return (line.name, line.ring, "NOT SEEN", "", "", "", "")
    return (
        line.name,
        line.ring,
        _HOW[seen.how],
        seen.aviary if seen.aviary != line.aviary else "",
        " / ".join(filter(None, [seen.ring_state, seen.leg_state])),
        f"{seen.weight_g:g} g" if seen.weight_g is not None else "",
        seen.notes,
    )


def _clock(time: str) -> str:
    return f"{time[:10]} {time[11:16]}"


def write_paper(path: Path, paper: Paper) -> None:
    """Write a paper: as text to a `.txt` file, else as PDF.

    Raises:
        LedgerError: the file cannot be written.
    """
    if path.suffix.lower() == ".txt":
        written(path, as_text(paper) + "\n")
        return
    try:
        write_pdf(path, paper)
    except OSError as error:
        raise LedgerError(
            f"“{path}” could not be written: {error.strerror}.",
            "Give another place, or free some space.",
        ) from error


def write_csv(flock: Flock, walk_id: str, path: Path) -> int:
    """Write a round as a table: every bird expected, and everything else seen.

    Returns:
        How many rows were written.

    Raises:
        NotFoundError: there is no such round.
        LedgerError: the file cannot be written; an older one is untouched.
    """
    rows = csv_rows(flock, walk_id)
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(CSV_COLUMNS)
    writer.writerows(rows)
    written(path, text.getvalue())
    return len(rows)


def csv_rows(flock: Flock, walk_id: str) -> list[tuple[str, ...]]:
    """The rows of `write_csv`, in its columns."""
    found = summary(flock, walk_id)
    differing = {each.key: each for each in found.differences}
    rows = []
    told = set()
    for line in found.lines:
        seen = line.sighting
        key = seen.id if seen else line.bird
        told.add(key)
        rows.append(_cells(found, line, differing.get(key)))
    for sighting in flock.sightings_in(walk_id):
        if sighting.id not in told:
            bird = flock.birds.get(sighting.bird or "")
            ring = worn_ring(flock, bird.id) if bird else ""
            name = bird.title if bird else ""
            line = Line("", sighting.bird or "", name, ring, sighting)
            rows.append(_cells(found, line, differing.get(sighting.id)))
    return rows


def _cells(found: Summary, line: Line, differs: Difference | None) -> tuple[str, ...]:
    seen = line.sighting
    weight = seen.weight_g if seen else None
    return (
        found.walk.id,
        line.aviary,
        seen.aviary if seen else "",
        line.bird,
        line.name,
        line.ring,
        _HOW[seen.how] if seen else "not seen",
        seen.read if seen else "",
        seen.time if seen else "",
        seen.ring_state if seen else "",
        seen.leg_state if seen else "",
        f"{weight:g}" if weight is not None else "",
        differs.kind.value if differs else "",
        (differs.settled if differs else seen.settled if seen else ""),
        differs.proposal if differs else "",
        seen.notes if seen else "",
    )
