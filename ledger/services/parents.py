"""What a keeper says of a bird's parents: known, in doubt, or kin of other founders.

The words are those of one line: `Rook`, `Rook or Ash`, `Rook 60%, Ash 30%, ? 10%`
where `?` is a bird that is not entered; nothing: not known. Kin of founders:
`Wren full sibling, Ash 0.125`.
"""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING

from ledger.domain.change import Put
from ledger.domain.people import FounderKin
from ledger.errors import RuleError
from ledger.lineage.founders import RelatedFounders
from ledger.lineage.table import ParentTable
from ledger.services.find import find_bird
from ledger.services.ledger import bird_of
from ledger.services.lineage_said import is_founder

if TYPE_CHECKING:
    from collections.abc import Sequence

    from ledger.domain.bird import Bird
    from ledger.domain.change import Change
    from ledger.domain.flock import Flock
    from ledger.services.ledger import Ledger

    Chances = tuple[tuple[str, float], ...]

NOT_ENTERED = "?"
_SEVERAL = re.compile(r"\s+or\s+|[,;]", re.IGNORECASE)
_PART = re.compile(r"^(.*?)\s*(\d+(?:[.,]\d+)?)\s*%$")
_ID = re.compile(r"\(([^()\s]+)\)$")
_KINSHIP = re.compile(r"^(.+?)\s+(1|0?\.\d+)$")
_NEARLY_ALL = 0.005
"""A sum of chances so near to 1 is 1: thirds are written 33.33%."""
_KIN_WORDS = (
    ("half sibling", 0.125),
    ("half brother", 0.125),
    ("half sister", 0.125),
    ("full sibling", 0.25),
    ("sibling", 0.25),
    ("brother", 0.25),
    ("sister", 0.25),
    ("parent", 0.25),
    ("young", 0.25),
    ("first cousin", 0.0625),
    ("cousin", 0.0625),
)
"""What two founders are to each other, and their kinship if neither is inbred."""


def parent_words(flock: Flock, bird: Bird, role: str) -> str:
    """Who the sire or dam is, or may be, as `enter_parents` reads it."""
    known = bird.sire if role == "sire" else bird.dam
    may_be = bird.sire_may_be if role == "sire" else bird.dam_may_be
    if not may_be:
        return _called(flock, known) if known else ""
    if len({round(chance, 6) for _, chance in may_be}) == 1 and len(may_be) > 1:
        return " or ".join(_called(flock, who) for who, _ in may_be)
    return ", ".join(
        f"{_called(flock, who)} {100 * chance:.4g}%" for who, chance in may_be
    )


def kin_words(flock: Flock, bird: Bird) -> str:
    """Which founders it is kin of, as `enter_parents` reads it."""
    told = []
    for it in flock.settings.founder_kin:
        if bird.id in (it.first, it.second):
            other = it.second if it.first == bird.id else it.first
            told.append(f"{_called(flock, other)} {it.kinship:g}")
    return ", ".join(told)


def enter_parents(
    ledger: Ledger, bird_id: str, sire: str, dam: str, kin: str, author: str
) -> Bird:
    """Store who the parents are or may be, and of which founders it is kin.

    Args:
        ledger: An open ledger.
        bird_id: The bird.
        sire: In words; empty: not known.
        dam: Likewise.
        kin: Founders it is kin of, in words; only for a bird without parents.
        author: Who says so.

    Returns:
        The bird as stored.

    Raises:
        NotFoundError: a bird named is not in the ledger, or is one of several.
        RuleError: the words contradict each other or a rule of the flock.
        LineageError: kin of founders contradict each other.
    """
    flock = ledger.flock
    bird = bird_of(flock, bird_id)
    known_sire, may_be_sire = _parent(flock, sire, "sire")
    known_dam, may_be_dam = _parent(flock, dam, "dam")
    told = replace(
        bird,
        sire=known_sire,
        sire_may_be=may_be_sire,
        dam=known_dam,
        dam_may_be=may_be_dam,
    )
    changes: list[Change] = [] if told == bird else [Put(told)]
    kin_now = _kin(flock, told, kin)
    if kin_now != flock.settings.founder_kin:
        changes.append(Put(replace(flock.settings, founder_kin=kin_now)))
    if changes:
        ledger.commit(changes, author=author, what=f"Parents of {bird.title} entered")
    return told


def _parent(flock: Flock, words: str, role: str) -> tuple[str | None, Chances]:
    """The parent where it is certain, else who it may be."""
    words = words.strip()
    if not words or words == NOT_ENTERED:
        return None, ()
    if len(alone := flock.bird_by(words)) == 1:  # its name may have a comma
        return alone[0].id, ()
    chances: dict[str, float | None] = {}
    for part in filter(None, map(str.strip, _SEVERAL.split(words))):
        found = _PART.match(part)
        name = found.group(1) if found else part
        who = "" if name.strip() == NOT_ENTERED else _meant(flock, name)
        if who in chances:
            raise RuleError(
                f"{_called(flock, who)} stands twice among those that may be the "
                f"{role}.",
                "Name each bird once.",
            )
        chances[who] = float(found.group(2).replace(",", ".")) / 100 if found else None
    sure = _shared_out(chances, role)
    if len(sure) == 1 and "" not in sure:
        return next(iter(sure)), ()
    return None, tuple(sure.items())


def _shared_out(chances: dict[str, float | None], role: str) -> dict[str, float]:
    """Those without a chance of their own share what is left."""
    given = sum(chance for chance in chances.values() if chance is not None)
    open_ = [who for who, chance in chances.items() if chance is None]
    left = 1 - given
    if (open_ and left <= 0) or (not open_ and abs(left) > _NEARLY_ALL):
        raise RuleError(
            f"The chances for the {role} sum to {100 * given:.4g}%.",
            f"Make them 100% in all; `{NOT_ENTERED} 10%` stands for a bird that is "
            "not entered.",
        )
    whole = 1.0 if open_ else given
    return {
        who: (left / len(open_) if chance is None else chance / whole)
        for who, chance in chances.items()
    }


def _kin(flock: Flock, bird: Bird, words: str) -> tuple[FounderKin, ...]:
    """All kin of founders, with what is said of this bird now."""
    others = [
        it for it in flock.settings.founder_kin if bird.id not in (it.first, it.second)
    ]
    before = {frozenset((it.first, it.second)): it for it in flock.settings.founder_kin}
    told = []
    for part in filter(None, map(str.strip, re.split("[,;]", words))):
        name, kinship = _kinship(part)
        who = _meant(flock, name)
        if who == bird.id:
            raise RuleError(
                f"{bird.title} is no kin of itself.", "Name another founder."
            )
        for it in (bird, flock.birds[who]):
            if not is_founder(it):
                raise RuleError(
                    f"{it.title} has a parent entered, or in doubt: it is no founder.",
                    "Say which founders are kin; the rest follows from the parents.",
                )
        old = before.get(frozenset((bird.id, who)))
        told.append(
            replace(old, kinship=kinship) if old else FounderKin(bird.id, who, kinship)
        )
    _refuse_contradiction([*others, *told])
    return (*others, *told)


def _kinship(part: str) -> tuple[str, float]:
    """A founder's name and its kinship, from a number or a word."""
    found = _KINSHIP.match(part)
    if found:
        return found.group(1), float(found.group(2))
    for word, kinship in _KIN_WORDS:
        if part.casefold().endswith(f" {word}"):
            return part[: -len(word)].strip(), kinship
    raise RuleError(
        f"How close a kin is “{part}”?",
        "Write it behind the name: full sibling, half sibling, cousin, or a kinship "
        "such as 0.125.",
    )


def _refuse_contradiction(kin: Sequence[FounderKin]) -> None:
    """Kin of founders must be possible together.

    Raises:
        LineageError: they are not.
    """
    if kin:
        birds = {bird for it in kin for bird in (it.first, it.second)}
        table = ParentTable.of(dict.fromkeys(sorted(birds), (None, None)))
        RelatedFounders.of(table, {(it.first, it.second): it.kinship for it in kin})


def _meant(flock: Flock, name: str) -> str:
    """The id of the bird meant, told by the id in brackets where there is one."""
    found = _ID.search(name.strip())
    if found and found.group(1) in flock.birds:
        return found.group(1)
    return find_bird(flock, name.strip()).id


def _called(flock: Flock, bird_id: str) -> str:
    """A name with its id, so that birds of one name are told apart."""
    if not bird_id:
        return NOT_ENTERED
    bird = flock.birds.get(bird_id)
    return f"{bird.name} ({bird_id})" if bird and bird.name else bird_id
