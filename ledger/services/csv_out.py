"""Birds out to a CSV file, in the columns that an import takes."""

from __future__ import annotations

import csv
import io
import os
from typing import TYPE_CHECKING

from ledger.domain.ring import Leg, RingKind, RingState
from ledger.errors import LedgerError
from ledger.services.csv_rows import COLUMNS, NOTES

if TYPE_CHECKING:
    from pathlib import Path

    from ledger.domain.bird import Bird
    from ledger.domain.flock import Flock


def export_csv(flock: Flock, path: Path) -> int:
    """Write all birds in the columns that an import takes.

    A bird that wears several rings is written with the first of them.

    Returns:
        How many birds were written.

    Raises:
        LedgerError: the file could not be written; an older one is untouched.
    """
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\n")
    with_notes = any(bird.notes for bird in flock.birds.values())
    writer.writerow([*COLUMNS, NOTES] if with_notes else COLUMNS)
    for bird in flock.birds.values():
        cells = _cells(flock, bird)
        writer.writerow([*cells, bird.notes] if with_notes else cells)
    written(path, text.getvalue())
    return len(flock.birds)


def written(path: Path, text: str) -> None:
    """Write a file whole or not at all.

    Raises:
        LedgerError: it could not be written; an older one is untouched.
    """
    part = path.with_name(f"{path.name}.part")
    try:
        with part.open("w", encoding="utf-8", newline="") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        part.replace(path)
    except OSError as error:
        part.unlink(missing_ok=True)
        raise LedgerError(
            f"“{path}” could not be written: {error.strerror}.",
            "Give another place, or free some space.",
        ) from error


def _cells(flock: Flock, bird: Bird) -> list[str]:
    rings = flock.rings_of(bird.id)
    ring = next((r for r in rings if r.state is RingState.ON_BIRD), None)
    chip = next(iter(flock.chips_of(bird.id)), None)
    return [
        bird.id,
        bird.name,
        bird.species,
        str(bird.sex),
        str(bird.hatched) if bird.hatched else "",
        bird.sire or "",
        bird.dam or "",
        str(bird.status),
        bird.location,
        ring.inscription if ring else "",
        str(ring.kind) if ring and ring.kind is not RingKind.UNKNOWN else "",
        str(ring.leg) if ring and ring.leg is not Leg.UNKNOWN else "",
        ring.colour if ring else "",
        f"{ring.size_mm:g}" if ring and ring.size_mm else "",
        chip.code if chip else "",
    ]
