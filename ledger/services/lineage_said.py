"""What a keeper says about parents beyond what is entered: doubts, kin of founders."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from ledger.lineage.ancestry import with_ancestors
from ledger.lineage.doubt import Doubt

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from numpy.typing import NDArray

    from ledger.domain.bird import Bird
    from ledger.domain.flock import Flock
    from ledger.domain.people import FounderKin
    from ledger.lineage.ways import Ways

_NAMED = 3
"""Sentences of a kind that are told at most."""


@dataclass(frozen=True, eq=False)
class Said:
    """Doubts about parents, and founders that are kin."""

    flock: Flock
    doubts: tuple[Doubt, ...]
    founder_kin: Mapping[tuple[str, str], float]
    """Kinship of pairs of founders."""
    no_longer: tuple[FounderKin, ...]
    """Said once, of birds that are gone or have a parent by now: not counted."""

    @classmethod
    def of(cls, flock: Flock) -> Said:
        """What is said in this flock."""
        doubts = doubts_of(flock)
        doubted = {bird for doubt in doubts for bird in doubt.birds}
        kin: dict[tuple[str, str], float] = {}
        no_longer: list[FounderKin] = []
        for it in flock.settings.founder_kin:
            two = [flock.birds.get(bird) for bird in (it.first, it.second)]
            if all(
                bird and is_founder(bird) and bird.id not in doubted for bird in two
            ):
                kin[it.first, it.second] = it.kinship
            else:
                no_longer.append(it)
        return cls(flock, doubts, kin, tuple(no_longer))

    def __bool__(self) -> bool:
        return bool(self.doubts or self.founder_kin or self.no_longer)

    def about(self, ways: Ways, places: NDArray[np.int64]) -> tuple[str, ...]:
        """What bears on some birds or their ancestors, in sentences.

        Args:
            ways: The flock's.
            places: (k,) of the birds.
        """
        if not self:
            return ()
        above = np.zeros(len(ways.ways[0].table), dtype=bool)
        for way in ways.ways:
            above |= with_ancestors(way.table, places)
        table = ways.ways[0].table

        def bears(*birds: str) -> bool:
            return any(bird in table and above[table.place(bird)] for bird in birds)

        doubts = [doubt for doubt in self.doubts if bears(*doubt.birds)]
        told = list(_few([self._of_doubt(doubt) for doubt in doubts]))
        if doubts:
            told.append(_how(ways))
        told += _few(
            [
                f"Founders that are kin, as you said: {self._name(first)} and "
                f"{self._name(second)}, kinship {kinship:g}."
                for (first, second), kinship in self.founder_kin.items()
                if bears(first, second)
            ]
        )
        told += _few(
            [
                f"You said that {self._name(it.first)} and {self._name(it.second)} are "
                f"kin ({it.kinship:g}); that no longer counts, because one of them is "
                "gone or has a parent entered, or in doubt, by now."
                for it in self.no_longer
                if bears(it.first, it.second)
            ]
        )
        return tuple(told)

    def _of_doubt(self, doubt: Doubt) -> str:
        young = ", ".join(self._name(bird) for bird in doubt.birds)
        those = ", ".join(
            f"{self._name(who) if who else 'one that is not entered'} {chance:.0%}"
            for who, chance in doubt.chances.items()
        )
        return f"In doubt, the {doubt.role} of {young}: {those}."

    def _name(self, bird_id: str) -> str:
        bird = self.flock.birds.get(bird_id)
        return bird.title if bird else bird_id


def _few(sentences: list[str]) -> Iterator[str]:
    yield from sentences[:_NAMED]
    if len(sentences) > _NAMED:
        yield f"And {len(sentences) - _NAMED} more of the kind."


def _how(ways: Ways) -> str:
    how = (
        f"Figures are the mean over {len(ways.ways)} of the {ways.in_all:,} ways the "
        "doubts can fall, drawn by chance"
        if ways.are_drawn
        else "Figures are the mean by these chances"
    )
    return f"{how}; your limit is held to the worst case."


def may_be_told(flock: Flock, may_be: Sequence[tuple[str, float]]) -> tuple[str, ...]:
    """Each that may be a parent, with its chance."""
    return tuple(
        f"{bird.title if (bird := flock.birds.get(who)) else who or 'not entered'} "
        f"{chance:.0%}"
        for who, chance in may_be
    )


def is_founder(bird: Bird) -> bool:
    """Neither parent is entered, nor anybody who may be one."""
    return not (bird.sire or bird.dam or bird.sire_may_be or bird.dam_may_be)


def doubts_of(flock: Flock) -> tuple[Doubt, ...]:
    """Doubts about parents.

    Birds of one clutch with the same candidates share the doubt.
    """
    doubtful = [b for b in flock.birds.values() if b.sire_may_be or b.dam_may_be]
    if not doubtful:
        return ()
    clutch_of = {
        egg.chick: clutch.id
        for clutch in flock.clutches.values()
        for egg in clutch.eggs
        if egg.chick
    }
    found: dict[tuple[str, str, str], list[str]] = {}
    chances: dict[tuple[str, str, str], dict[str | None, float]] = {}
    for bird in doubtful:
        for role, told in (("sire", bird.sire_may_be), ("dam", bird.dam_may_be)):
            if told:
                key = (clutch_of.get(bird.id, bird.id), role, str(sorted(told)))
                found.setdefault(key, []).append(bird.id)
                chances[key] = {who or None: chance for who, chance in told}
    return tuple(
        Doubt(tuple(birds), "sire" if key[1] == "sire" else "dam", chances[key])
        for key, birds in found.items()
    )
