"""What must hold between a bird, its parents and its pairs."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ledger.domain.bird import Sex
from ledger.domain.finding import Finding, Severity
from ledger.domain.indexes import parents_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from ledger.domain.bird import Bird
    from ledger.domain.breeding import Clutch, Pair
    from ledger.domain.flock import Flock


def check_parents(flock: Flock, bird: Bird) -> Iterator[Finding]:
    """Parents are known birds of the right sex, and older than their young."""
    for parent_id, role, sex in (
        (bird.sire, "sire", Sex.COCK),
        (bird.dam, "dam", Sex.HEN),
    ):
        if not parent_id:
            continue
        parent = flock.birds.get(parent_id)
        if parent is None:
            yield Finding(
                Severity.ERROR,
                bird.id,
                f"The {role} of {bird.title} is {parent_id}, and there is no such "
                "bird.",
                f"Enter the {role} as a bird, or leave the {role} open.",
                role,
            )
            continue
        if parent.sex not in (sex, Sex.UNKNOWN):
            yield Finding(
                Severity.ERROR,
                bird.id,
                f"The {role} of {bird.title} is {parent.title}, which is a "
                f"{parent.sex}.",
                f"Name another {role}, or correct the sex of {parent.title}.",
                role,
            )
        if bird.hatched and parent.hatched and not may_be_older(parent, bird):
            yield Finding(
                Severity.ERROR,
                bird.id,
                f"{bird.title} hatched {bird.hatched}, and its {role} {parent.title} "
                f"only {parent.hatched}.",
                f"Correct one of the dates, or name another {role}.",
                role,
            )
    if bird.sire and bird.sire == bird.dam and bird.sire in flock.birds:
        yield Finding(
            Severity.ERROR,
            bird.id,
            f"{bird.title} has the same bird as sire and as dam.",
            "Leave open the parent that is not known.",
            "dam",
        )


def may_be_older(parent: Bird, young: Bird) -> bool:
    """A parent must have hatched at least a day before its young."""
    if parent.hatched is None or young.hatched is None:
        return True
    return parent.hatched.earliest < young.hatched.latest


def check_loops(flock: Flock, birds: Iterable[Bird]) -> Iterator[Finding]:
    """No bird is its own ancestor; each loop is named once.

    Args:
        flock: All birds.
        birds: Where to start looking upwards.
    """
    done: set[str] = set()
    for start in birds:
        if start.id not in done:
            for loop in _loops_above(flock, start, done):
                yield _loop_finding(flock, loop)


def _loops_above(flock: Flock, start: Bird, done: set[str]) -> Iterator[list[str]]:
    """Walk up from a bird; give every way that comes back to a bird on it."""
    way: list[str] = [start.id]
    on_way = {start.id}
    left = [iter(parents_of(start))]
    while way:
        parent_id = next(left[-1], None)
        if parent_id is None:
            left.pop()
            done.add(way[-1])
            on_way.discard(way.pop())
        elif parent_id in on_way:
            yield way[way.index(parent_id) :]
        elif parent_id not in done:
            parent = flock.birds.get(parent_id)
            if parent is not None:
                way.append(parent_id)
                on_way.add(parent_id)
                left.append(iter(parents_of(parent)))


def _loop_finding(flock: Flock, loop: list[str]) -> Finding:
    """The finding for a loop, always told from the same bird."""
    at = loop.index(min(loop))
    told = [*loop[at:], *loop[:at], loop[at]]
    names = [flock.birds[bird_id].title for bird_id in told]
    way = ", whose parent is ".join(names[1:])
    return Finding(
        Severity.ERROR,
        told[0],
        f"{names[0]} is its own ancestor: its parent is {way}.",
        "Correct the sire or dam of one of them.",
        "sire" if flock.birds[told[0]].sire == told[1] else "dam",
        tuple(told[1:-1]),
    )


def check_pair(flock: Flock, pair: Pair) -> Iterator[Finding]:
    """A pair is a known cock and a known hen."""
    for bird_id, role, sex in (
        (pair.cock, "cock", Sex.COCK),
        (pair.hen, "hen", Sex.HEN),
    ):
        bird = flock.birds.get(bird_id or "")
        if bird_id and bird is None:
            yield Finding(
                Severity.ERROR,
                pair.id,
                f"The {role} of pair {pair.id} is {bird_id}, and there is no such "
                "bird.",
                f"Name another {role}, or leave the {role} open.",
            )
        elif bird and bird.sex not in (sex, Sex.UNKNOWN):
            yield Finding(
                Severity.ERROR,
                pair.id,
                f"The {role} of pair {pair.id} is {bird.title}, which is a {bird.sex}.",
                f"Name another {role}, or correct the sex of {bird.title}.",
            )
    if pair.formed and pair.parted and pair.parted.is_before(pair.formed):
        yield Finding(
            Severity.ERROR,
            pair.id,
            f"Pair {pair.id} was parted {pair.parted}, before it was formed "
            f"{pair.formed}.",
            "Correct one of the dates.",
        )


def check_clutch(flock: Flock, clutch: Clutch) -> Iterator[Finding]:
    """A clutch has a known pair; its chicks are known young of that pair."""
    pair = flock.pairs.get(clutch.pair or "")
    if clutch.pair and pair is None:
        yield Finding(
            Severity.ERROR,
            clutch.id,
            f"Clutch {clutch.id} is of pair {clutch.pair}, and there is no such pair.",
            "Enter the pair, or leave it open.",
        )
    for egg in clutch.eggs:
        chick = flock.birds.get(egg.chick or "")
        if egg.chick and chick is None:
            yield Finding(
                Severity.ERROR,
                clutch.id,
                f"Egg {egg.number} of clutch {clutch.id} became {egg.chick}, and there "
                "is no such bird.",
                "Enter the chick as a bird, or leave it open.",
            )
        elif chick and pair and not _is_of(chick, pair):
            yield Finding(
                Severity.WARNING,
                clutch.id,
                f"{chick.title} hatched in clutch {clutch.id} but names other parents "
                "than its pair.",
                "Correct its sire and dam, or say in the notes that it was fostered.",
            )
        if egg.laid and egg.hatched and egg.hatched.is_before(egg.laid):
            yield Finding(
                Severity.ERROR,
                clutch.id,
                f"Egg {egg.number} of clutch {clutch.id} hatched {egg.hatched}, before "
                f"it was laid {egg.laid}.",
                "Correct one of the dates.",
            )


def _is_of(chick: Bird, pair: Pair) -> bool:
    return chick.sire in (None, pair.cock) and chick.dam in (None, pair.hen)
