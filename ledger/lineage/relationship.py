"""What two birds are to each other, in words."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator

    from ledger.lineage.table import ParentTable

GENERATIONS = 6
"""How far up is looked for a name; further off, kin are called distant."""
_TIMES = {1: "", 2: " twice over", 3: " three times over", 4: " four times over"}
_ORDINALS = ("first", "second", "third", "fourth", "fifth", "sixth")
_REMOVED = ("", " once removed", " twice removed", " three times removed")
_WAYS_AT_MOST = 400
_KINDS_TOLD = 2


@dataclass(frozen=True, order=True)
class Link:
    """One way in which two birds are kin.

    Either one descends from the other (`up` 0 or `down` 0 and no siblings), or an
    ancestor of the one is a sibling of an ancestor of the other.
    """

    distance: int
    """Meioses: parent and young 1, siblings 2, first cousins 4; a half link one
    more. Nearer links come first."""
    up: int
    """Generations from the first bird to the sibling, or to the ancestor."""
    down: int
    """Generations from the second bird, likewise."""
    is_direct: bool
    is_half: bool
    through: tuple[str, ...]
    """The way, as sides: ("dam",) the shared parent of half siblings; for a direct
    link the sides passed from the younger bird upwards."""
    shared: tuple[int, ...]
    """Places of the shared ancestors; of the elder bird for a direct link."""


@dataclass(frozen=True)
class Relationship:
    """What the first bird is to the second."""

    links: tuple[Link, ...]
    """Nearest first."""
    is_same: bool = False

    def words(self, sex: str = "unknown") -> str:
        """What the first bird is, as "half sister through her dam".

        Args:
            sex: Of the first bird: "cock", "hen" or "unknown".
        """
        if self.is_same:
            return "the same bird"
        told: list[str] = []
        counted = Counter(_kind(link) for link in self.links)
        for kind, times in counted.items():
            link = next(link for link in self.links if _kind(link) == kind)
            sides = {it.through for it in self.links if _kind(it) == kind}
            told.append(_named(link, sex, times, sides))
        more = " and kin in more ways" if len(told) > _KINDS_TOLD else ""
        return ", also ".join(told[:_KINDS_TOLD]) + more

    @property
    def shared(self) -> tuple[int, ...]:
        """Places of the nearest ancestors they share, each once."""
        return tuple(dict.fromkeys(bird for link in self.links for bird in link.shared))


def relationship(table: ParentTable, first: int, second: int) -> Relationship:
    """What one bird is to another, as far as `GENERATIONS` up.

    Args:
        table: The parents.
        first: Place of the bird that is to be named.
        second: Place of the bird to which it is that.

    Returns:
        Its links; none where no kinship is found that near.
    """
    if first == second:
        return Relationship((), is_same=True)
    links = [*_direct(table, first, second), *_over_siblings(table, first, second)]
    return Relationship(tuple(sorted(links)))


def _ways_up(
    table: ParentTable, bird: int
) -> Iterator[tuple[tuple[int, ...], tuple[str, ...]]]:
    """Every way up from a bird, nearest first: the birds, and the sides taken."""
    ways: list[tuple[tuple[int, ...], tuple[str, ...]]] = [((bird,), ())]
    for _ in range(GENERATIONS + 1):
        yield from ways
        ways = [
            ((*birds, parent), (*sides, side))
            for birds, sides in ways
            for parent, side in (
                (int(table.sire[birds[-1]]), "sire"),
                (int(table.dam[birds[-1]]), "dam"),
            )
            if parent >= 0
        ]


def _direct(table: ParentTable, first: int, second: int) -> Iterator[Link]:
    for elder, younger, is_first in ((first, second, True), (second, first, False)):
        for birds, sides in _ways_up(table, younger):
            if birds[-1] == elder and sides:
                up, down = (0, len(sides)) if is_first else (len(sides), 0)
                yield Link(len(sides), up, down, True, False, sides, (elder,))


def _over_siblings(table: ParentTable, first: int, second: int) -> Iterator[Link]:
    """Ways that meet in two siblings and have no bird in common."""
    others: dict[int, list[tuple[int, ...]]] = {}
    for birds, _ in _ways_up(table, second):
        for parent in _parents(table, birds[-1]):
            others.setdefault(parent, []).append(birds)
    found = 0
    for mine, _ in _ways_up(table, first):
        for side, parent in _sides(table, mine[-1]):
            for theirs in others.get(parent, ()):
                link = _link(table, mine, theirs, side)
                if link is not None:
                    found += 1
                    yield link
            if found >= _WAYS_AT_MOST:
                return


def _link(
    table: ParentTable, mine: tuple[int, ...], theirs: tuple[int, ...], side: str
) -> Link | None:
    if not set(mine).isdisjoint(theirs):
        return None
    shared = _parents(table, mine[-1]) & _parents(table, theirs[-1])
    if not shared.isdisjoint((*mine, *theirs)):
        return None
    is_half = len(shared) == 1
    if not is_half and side == "dam":
        return None  # full siblings meet twice, and are told once
    up, down = len(mine) - 1, len(theirs) - 1
    return Link(
        up + down + 2 + is_half,
        up,
        down,
        False,
        is_half,
        (side,) if is_half else (),
        tuple(sorted(shared)),
    )


def _sides(table: ParentTable, bird: int) -> Iterator[tuple[str, int]]:
    for side, parent in (("sire", table.sire[bird]), ("dam", table.dam[bird])):
        if parent >= 0:
            yield side, int(parent)


def _parents(table: ParentTable, bird: int) -> set[int]:
    return {parent for _, parent in _sides(table, bird)}


def _kind(link: Link) -> tuple[int, int, bool, bool]:
    return link.up, link.down, link.is_direct, link.is_half


def _named(link: Link, sex: str, times: int, sides: set[tuple[str, ...]]) -> str:
    over = _TIMES.get(times, f" {times} times over")
    if link.is_direct:
        return _line_named(link, sex, times, sides) + over
    half = "half " if link.is_half else ""
    if link.up == link.down == 0:
        name = {"cock": "brother", "hen": "sister"}.get(sex, "sibling")
        if not link.is_half:
            return f"full {name}"
        return f"half {name} through {_their(sex)} {sides.pop()[0]}"
    if 0 in (link.up, link.down):
        return f"{half}{_avuncular(link, sex)}{over}"
    degree = min(link.up, link.down)
    removed = abs(link.up - link.down)
    away = _REMOVED[removed] if removed < len(_REMOVED) else f" {removed} times removed"
    return f"{half}{_ORDINALS[degree - 1]} cousins{away}{over}"


def _line_named(link: Link, sex: str, times: int, sides: set[tuple[str, ...]]) -> str:
    """Sire, granddam, great-grandsire, son, granddaughter and so on."""
    steps = link.up or link.down
    if link.down:
        name = {"cock": "sire", "hen": "dam"}.get(sex, "parent")
    else:
        name = {"cock": "son", "hen": "daughter"}.get(sex, "young")
    name = "great-" * max(steps - 2, 0) + ("grand" if steps > 1 else "") + name
    if steps > 1 and times == 1:
        side = sides.pop()[0]
        whose = "its" if link.down else _their(sex)
        name += f" through {whose} {side}"
    return name


def _avuncular(link: Link, sex: str) -> str:
    """Uncle, great-aunt, nephew, great-niece."""
    steps = link.up or link.down
    if link.down:
        name = {"cock": "uncle", "hen": "aunt"}.get(sex, "uncle or aunt")
    else:
        name = {"cock": "nephew", "hen": "niece"}.get(sex, "nephew or niece")
    return "great-" * (steps - 1) + name


def _their(sex: str) -> str:
    return {"cock": "his", "hen": "her"}.get(sex, "its")
