"""From the plan to founders, pairs, clutches and chicks."""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import replace
from typing import TYPE_CHECKING

from ledger.domain import Clutch, Egg, EggFate, EventKind, Pair, PartialDate, Sex
from ledger.reference import breeding_figures
from making.chance import Chance
from making.lives import END, Life
from making.plan import NAMED

if TYPE_CHECKING:
    from collections.abc import Iterator

    from making.lives import Book
    from making.plan import Line

_SEX = {"c": Sex.COCK, "h": Sex.HEN, "u": Sex.UNKNOWN}
_NO_CHICK = {
    "o": EggFate.CLEAR,
    "x": EggFate.DIED_IN_SHELL,
    "b": EggFate.BROKEN,
    "d": EggFate.HATCHED,
}
_ARRIVALS = {
    "wild": "Wild caught, imported as a grown bird. Age at import guessed.",
    "bought": "Bought in.",
    "given": "Given up by its owner, who could not keep it.",
    "found": "Found loose; its owner was never traced.",
}


def breed(book: Book, line: Line) -> None:
    """Enter all founders, pairs, clutches and chicks of one species."""
    for words in line.plan.strip().splitlines():
        parts = [part.strip() for part in words.split("|")]
        head = parts[0].split()
        if len(head[0]) == 1:
            _pair(book, line, head, [part.split() for part in parts[1:]])
        else:
            _founder(book, line, *head)


def year_of(digits: str) -> int:
    """The year behind two digits: 88 is 1988, 05 is 2005."""
    return (1900 if int(digits) > 50 else 2000) + int(digits)


def _founder(
    book: Book, line: Line, name: str, sex: str, hatched: str, origin: str
) -> None:
    key = f"{line.code}-{name}"
    chance = Chance(f"{key} comes")
    year = int(hatched) if hatched != "?" else 1984
    came = chance.day(year + (2 if origin == "wild" else 0), (8, 1), (11, 30))
    born = chance.day(year, (3, 1), (6, 30))
    known = _as_far_as_known(born, chance, is_ours=False) if hatched != "?" else None
    life = Life(
        key, line, name, Sex(sex), born, known, origin=origin, came=came,
        location=f"{line.place} {chance.between(1, line.aviaries)}",
    )  # fmt: skip
    life.notes.append(_ARRIVALS[origin])
    book.lives[key] = life


def _as_far_as_known(born: dt.date, chance: Chance, *, is_ours: bool) -> PartialDate:
    """Old books are vague: a year, a season, a month; later ones give the day."""
    if born.year >= 2000 and is_ours:
        return PartialDate.of(born)
    luck = chance.share()
    if is_ours:
        exact = luck < (0.35 if born.year < 1996 else 0.8)
        if exact:
            return PartialDate.of(born)
    if luck < 0.55 and is_ours:
        return PartialDate(born.year, born.month)
    if luck < 0.7:
        season = "spring" if born.month < 6 else "summer"
        return PartialDate.parse(f"{season} {born.year}")
    return PartialDate(born.year)


def _pair(book: Book, line: Line, head: list[str], seasons: list[list[str]]) -> None:
    letter, sire_key, dam_key, years = head
    first, _, last = years.partition("-")
    sire = _bird(book, line, sire_key)
    dam = _bird(book, line, dam_key)
    key = f"{line.code}-{letter}"
    chance = Chance(f"{key} pair")
    place = f"{line.place} {chance.between(1, line.aviaries)}"
    formed = chance.day(int(first), (1, 10), (2, 20))
    parted = chance.day(int(last), (8, 1), (11, 30)) if last else None
    for parent in (sire, dam):
        if parent:
            if parent.here_from > formed:
                raise ValueError(f"{parent.key} is not here when pair {key} is formed.")
            parent.location = place
            parent.breeds_from = min(parent.breeds_from, int(first))
            parent.breeds_until = max(parent.breeds_until, int(last or END.year))
            book.event(parent, formed, EventKind.MOVED, f"Paired in {place}", at=place)
    of_sire = sire.key if sire else None
    pair = Pair(
        key,
        of_sire,
        dam.key if dam else None,
        PartialDate.of(formed),
        PartialDate.of(parted) if parted else None,
        place,
        "" if sire else "Colony: the sire of these young is not known.",
    )
    book.put(formed, pair)
    for digits, eggs in seasons:
        _season(book, line, pair, (sire, dam), year_of(digits), eggs)


def _bird(book: Book, line: Line, key: str) -> Life | None:
    return None if key == "?" else book.lives[f"{line.code}-{key}"]


def _season(
    book: Book,
    line: Line,
    pair: Pair,
    parents: tuple[Life | None, Life | None],
    year: int,
    letters: str,
) -> None:
    """Enter one clutch and its chicks."""
    key = f"{pair.id}{year % 100:02d}"
    chance = Chance(f"{key} clutch")
    laid = chance.day(year, (3, 20), (5, 31))
    incubation = _incubation_days(line.species)
    eggs = []
    chicks = iter("abcdef")
    for number, letter in enumerate(letters, start=1):
        laid_on = laid + dt.timedelta(days=2 * (number - 1))
        hatched_on = laid_on + dt.timedelta(days=incubation + chance.between(-1, 1))
        hatched = PartialDate.of(hatched_on) if letter in "chud" else None
        chick_key, notes = None, ""
        if letter in _SEX:
            chick_key = f"{key}{next(chicks)}"
            chick = Life(
                chick_key, line, NAMED.get(chick_key, ""), _SEX[letter], hatched_on,
                _as_far_as_known(hatched_on, chance, is_ours=True), *parents,
                location=pair.location,
            )  # fmt: skip
            hatched = chick.hatched
            book.lives[chick_key] = chick
        elif letter == "d":
            notes = f"The chick died in the nest at {chance.between(3, 16)} days."
        fate = _NO_CHICK.get(letter, EggFate.HATCHED)
        eggs.append(
            Egg(number, PartialDate.of(laid_on), fate, hatched, chick_key, notes)
        )
    if year < 1996:  # the old book gave only months
        eggs = [replace(egg, laid=_month(egg.laid)) for egg in eggs]
    clutch = Clutch(key, pair.id, 1, eggs[0].laid, tuple(eggs))
    book.put(laid, clutch)


def _month(date: PartialDate | None) -> PartialDate | None:
    return PartialDate(date.year, date.month) if date else None


def _incubation_days(species: str) -> int:
    """The middle of what the sources give."""
    days = sorted(_known(f.incubation_days for f in breeding_figures(species)))
    return round(days[len(days) // 2])


def fledging_days(species: str) -> int:
    """The middle of what the sources give; 60 where none does (a guess)."""
    days = sorted(_known(f.fledging_days for f in breeding_figures(species)))
    return round(days[len(days) // 2]) if days else 60


def _known(values: Iterator[float | None]) -> list[float]:
    return [value for value in values if value is not None]


def name_all(book: Book, names: list[str]) -> None:
    """Give every chick without a name the next one, in the order of hatching."""
    taken = {life.name for life in book.lives.values() if life.name}
    free = iter([name for name in names if name not in taken])
    unnamed = [life for life in book.lives.values() if not life.name]
    for life in sorted(unnamed, key=lambda life: (life.born, life.key)):
        life.name = next(free)
    if not all(re.fullmatch(r"[A-Z][a-z]+", life.name) for life in book.lives.values()):
        raise ValueError("A name is missing or not a plain word.")
