"""The papers of a bird: made from the ledger whenever one is asked for."""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING

from ledger import paths
from ledger.errors import LedgerError, NotFoundError
from ledger.services.ledger import bird_of
from ledger.services.placement_paper import placement_paper
from ledger.services.removal_paper import removal_paper

if TYPE_CHECKING:
    import datetime as dt
    from pathlib import Path

    from ledger.domain.flock import Flock
    from ledger.reports.paper import Paper
    from ledger.services.ledger import Ledger


class PaperKind(StrEnum):
    """Which paper."""

    REMOVAL = "removal"
    """A ring came off, or a chip went in."""
    PLACEMENT = "placement"
    """Travels with the bird."""


def kinds_for(flock: Flock, bird_id: str) -> tuple[PaperKind, ...]:
    """Papers that can be printed of a bird, the likeliest asked for first.

    A placement paper can be printed before the bird leaves, too.
    """
    removals = [r.on for r in flock.removals_of(bird_id) if r.on]
    placements = [p.on for p in flock.placements_of(bird_id) if p.on]
    if not removals:
        return (PaperKind.PLACEMENT,)
    if placements and not placements[-1].is_before(removals[-1]):
        return (PaperKind.PLACEMENT, PaperKind.REMOVAL)
    return (PaperKind.REMOVAL, PaperKind.PLACEMENT)


def paper_of(
    ledger: Ledger, bird_id: str, kind: PaperKind, today: dt.date
) -> tuple[Paper, str]:
    """A paper as the ledger would print it today.

    Args:
        ledger: An open ledger.
        bird_id: The bird.
        kind: Which paper: of its newest removal, or of its placement.
        today: Stands on it.

    Returns:
        The paper, and the name of its file.

    Raises:
        NotFoundError: there is no such bird, or nothing came off it.
    """
    bird = bird_of(ledger.flock, bird_id)
    if kind is PaperKind.PLACEMENT:
        placements = ledger.flock.placements_of(bird_id)
        name = placements[-1].id if placements else "draft"
        return (
            placement_paper(ledger, bird_id, today),
            f"placement-{bird_id}-{name}.pdf",
        )
    removals = ledger.flock.removals_of(bird_id)
    if not removals:
        raise NotFoundError(
            f"No ring came off {bird.title} with a paper.",
            "Enter the removal on its page, or ask for the placement paper.",
        )
    removal = removals[-1]
    return (
        removal_paper(ledger, removal, today),
        f"removal-{bird_id}-{removal.id}.pdf",
    )


def print_paper(
    ledger: Ledger,
    bird_id: str,
    kind: PaperKind,
    today: dt.date,
    path: Path | None = None,
) -> Path:
    """Write a paper to a PDF.

    Args:
        ledger: An open ledger.
        bird_id: The bird.
        kind: Which paper.
        today: Stands on it.
        path: The file, written over; None: in the folder of papers beside the ledger.

    Returns:
        Where it lies.

    Raises:
        NotFoundError: as `paper_of`.
        LedgerError: the file cannot be written.
    """
    from ledger.reports.paper_pdf import write_pdf

    paper, name = paper_of(ledger, bird_id, kind, today)
    try:
        if path is None:
            folder = paths.papers_folder(ledger.folder)
            folder.mkdir(exist_ok=True)
            path = folder / name
        write_pdf(path, paper)
    except OSError as error:
        raise LedgerError(
            f"The paper cannot be written to “{path or name}”: {error.strerror}.",
            "Close it where it is open, or choose another file. What the ledger "
            "holds is stored; print it again from the bird's page.",
        ) from error
    return path
