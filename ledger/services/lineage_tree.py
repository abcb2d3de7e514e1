"""A bird's family tree: ancestors and young, inbreeding at each, gaps in sight."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from ledger.domain.ring import RingState
from ledger.errors import LedgerError, UsageError
from ledger.services.ledger import bird_of
from ledger.services.lineage import lineage_of
from ledger.services.lineage_said import may_be_told

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from ledger.domain.bird import Bird
    from ledger.domain.flock import Flock
    from ledger.reports.family_tree import Ancestor
    from ledger.services.lineage import Lineage

FEWEST, MOST = 1, 5
"""Generations a printed page has room for."""
_DOUBTS = 3
"""Birds that may be a parent, told in its box."""


@dataclass(frozen=True)
class TreeLine:
    """One bird of the tree, or a gap, on a line of its own."""

    bird: str | None
    """Bird id; None where it is not known."""
    name: str
    role: str
    """"" for the bird itself; else "sire", "dam" or "young"."""
    branch: str
    """The lines drawn before it."""
    generation: int
    inbreeding: float | None
    """None for a gap."""
    is_repeated: bool = False
    """It stands further up in the tree as well: a common ancestor."""


def ancestors_drawn(
    flock: Flock, bird_id: str, generations: int
) -> tuple[TreeLine, ...]:
    """The bird and its ancestors, each sire before the dam.

    Args:
        flock: The flock.
        bird_id: The bird.
        generations: Of ancestors.

    Raises:
        NotFoundError: there is no such bird.
        LineageError: the parents of the flock contradict each other.
    """
    bird_of(flock, bird_id)
    lines = list(_drawn(lineage_of(flock), bird_id, "", "", "", 0, generations))
    seen: set[str] = set()
    told = []
    for line in lines:
        again = line.bird is not None and line.bird in seen
        told.append(
            TreeLine(
                line.bird,
                line.name,
                line.role,
                line.branch,
                line.generation,
                line.inbreeding,
                again,
            )
        )
        if line.bird is not None:
            seen.add(line.bird)
    return tuple(told)


def _drawn(
    lineage: Lineage,
    bird_id: str | None,
    role: str,
    branch: str,
    below: str,
    generation: int,
    generations: int,
) -> Iterator[TreeLine]:
    bird = lineage.flock.birds.get(bird_id or "")
    known = bird is not None
    yield TreeLine(
        bird.id if bird else None,
        bird.title if bird else bird_id or "not known",
        role,
        branch,
        generation,
        lineage.f_of(bird.id) if bird else None,
    )
    if not known or generation == generations or bird is None:
        return
    for parent, may_be, side, sign, bar in (
        (bird.sire, bird.sire_may_be, "sire", "├─ ", "│  "),
        (bird.dam, bird.dam_may_be, "dam", "└─ ", "   "),
    ):
        if may_be:
            said = ", ".join(may_be_told(lineage.flock, may_be))
            name = f"in doubt: {said}"
            yield TreeLine(None, name, side, below + sign, generation + 1, None)
            continue
        yield from _drawn(
            lineage,
            parent,
            side,
            below + sign,
            below + bar,
            generation + 1,
            generations,
        )


def young_drawn(flock: Flock, bird_id: str) -> tuple[TreeLine, ...]:
    """The bird's young, first hatched first.

    Raises:
        LineageError: the parents of the flock contradict each other.
    """
    lineage = lineage_of(flock)
    return tuple(
        TreeLine(it.id, it.title, "young", "", -1, lineage.f_of(it.id))
        for it in flock.young_of(bird_id)
    )


def print_tree(flock: Flock, bird_id: str, path: Path, generations: int = 4) -> None:
    """Write the bird's ancestors to a PDF of one page.

    Args:
        flock: The flock.
        bird_id: The bird.
        path: The file; one that is there is written over.
        generations: Of ancestors, 1 to 5.

    Raises:
        NotFoundError: there is no such bird.
        LineageError: the parents of the flock contradict each other.
        LedgerError: the file cannot be written.
    """
    if not FEWEST <= generations <= MOST:
        raise UsageError(
            f"A page has no room for {generations} generations.",
            f"Ask for {FEWEST} to {MOST}.",
        )
    from ledger.reports.family_tree import write_pdf

    bird = bird_of(flock, bird_id)
    lineage = lineage_of(flock)
    place = flock.settings.name
    try:
        write_pdf(
            path,
            _ancestor(lineage, bird, generations),
            generations,
            title=f"Family tree of {bird.title}, {bird.species or 'no species'}",
            below=f"{place + ': ' if place else ''}F is inbreeding; an unknown parent "
            "counts as an unrelated founder.",
        )
    except OSError as error:
        raise LedgerError(
            f"The family tree could not be written to “{path}”: {error.strerror}.",
            "Choose a folder that can be written to.",
        ) from error


def _ancestor(lineage: Lineage, bird: Bird, generations: int) -> Ancestor:
    from ledger.reports.family_tree import Ancestor

    parents: list[Ancestor | None] = [None, None]
    if generations:
        doubts = bird.sire_may_be, bird.dam_may_be
        for i, parent in enumerate(lineage.flock.parents_of(bird.id)):
            if doubts[i]:
                said = may_be_told(lineage.flock, doubts[i])
                parents[i] = Ancestor("in doubt", said[:_DOUBTS], None, None)
            elif parent is not None:
                parents[i] = _ancestor(lineage, parent, generations - 1)
    worn = [
        ring.inscription
        for ring in lineage.flock.rings_of(bird.id)
        if ring.state is RingState.ON_BIRD
    ]
    hatched = f"hatched {bird.hatched}" if bird.hatched else ""
    lines = (*worn[:1], f"F {lineage.f_of(bird.id):.4f}", hatched)
    return Ancestor(bird.title, tuple(filter(None, lines)), *parents)
