"""What happens in a nest: a pair parts, eggs are laid, candled, hatch or are lost."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from ledger.care.clutches import LIVE_FATES, place_of_pair, species_of
from ledger.domain.bird import Bird
from ledger.domain.breeding import Clutch, Egg, EggFate
from ledger.domain.change import Put
from ledger.domain.event import Event, EventKind
from ledger.domain.kind import Kind
from ledger.errors import RuleError
from ledger.services.clutches import (
    called_pair,
    clutch_of,
    live_egg,
    pair_of,
    with_egg,
)
from ledger.services.ledger import date_of

if TYPE_CHECKING:
    from ledger.domain.breeding import Pair
    from ledger.domain.change import Change
    from ledger.domain.flock import Flock
    from ledger.services.ledger import Ledger, When

CANDLED_FATES = (
    EggFate.FERTILE,
    EggFate.IN_NEST,
    EggFate.CLEAR,
    EggFate.DIED_IN_SHELL,
)
"""What light can show; `in nest` where it showed nothing sure."""
SPENT_FATES = (
    EggFate.LOST,
    EggFate.BROKEN,
    EggFate.CLEAR,
    EggFate.DIED_IN_SHELL,
)
"""How an egg can end without a chick."""


def part_pair(
    ledger: Ledger, pair_id: str, on: When, author: str, *, notes: str = ""
) -> Pair:
    """Enter that a cock and a hen are a pair no longer.

    Raises:
        NotFoundError: there is no such pair.
        RuleError: they were parted before.
    """
    pair = pair_of(ledger.flock, pair_id)
    _refuse_parted(ledger.flock, pair)
    parted = replace(pair, parted=date_of(on), notes=_also(pair.notes, notes))
    what = f"{called_pair(ledger.flock, pair)} parted"
    ledger.commit([Put(parted)], author=author, what=what)
    return parted


def lay_egg(
    ledger: Ledger,
    pair_id: str,
    on: When,
    author: str,
    *,
    clutch_id: str = "",
    notes: str = "",
) -> Clutch:
    """Enter one egg, in a clutch that is begun or as the first of a new one.

    Args:
        ledger: An open ledger.
        pair_id: Whose egg.
        on: When it was laid, or found.
        author: Who found it.
        clutch_id: The clutch it belongs to; "": it begins a new one.
        notes: More about it.

    Returns:
        The clutch as stored; the egg is its last.

    Raises:
        NotFoundError: there is no such pair or clutch.
        RuleError: the pair was parted, the clutch is another pair's, or a rule of
            the flock says no.
    """
    flock = ledger.flock
    pair = pair_of(flock, pair_id)
    _refuse_parted(flock, pair)
    day = date_of(on)
    if clutch_id:
        clutch = clutch_of(flock, clutch_id)
        if clutch.pair != pair.id:
            raise RuleError(
                f"Clutch {clutch.id} is another pair's.",
                f"Open the clutch of {called_pair(flock, pair)}.",
            )
    else:
        number = 1 + sum(
            it.laid is not None and it.laid.year == day.year
            for it in flock.clutches_of(pair.id)
        )
        clutch = Clutch(flock.next_id(Kind.CLUTCH), pair.id, number, laid=day)
    place = max((egg.number for egg in clutch.eggs), default=0) + 1
    laid = replace(clutch, eggs=(*clutch.eggs, Egg(place, day, notes=notes.strip())))
    if laid.laid is None or day.is_before(laid.laid):
        laid = replace(laid, laid=day)
    what = f"{called_pair(flock, pair)}: egg {place} laid"
    ledger.commit([Put(laid)], author=author, what=what)
    return laid


def candle(
    ledger: Ledger,
    clutch_id: str,
    number: int,
    fate: EggFate,
    on: When,
    author: str,
    *,
    notes: str = "",
) -> Egg:
    """Enter what light showed in an egg.

    Args:
        ledger: An open ledger.
        clutch_id: The clutch.
        number: The egg's place in it.
        fate: One of `CANDLED_FATES`; clear and died in shell end it.
        on: When.
        author: Who looked.
        notes: More about it.

    Raises:
        NotFoundError: there is no such clutch or egg.
        RuleError: the egg is spent, light cannot show this, or a rule says no.
    """
    clutch, egg = live_egg(ledger.flock, clutch_id, number)
    if fate not in CANDLED_FATES:
        raise RuleError(
            f"Light does not show that an egg is {fate}.",
            "Choose fertile, clear, died in shell, or not sure.",
        )
    day = date_of(on)
    seen = replace(
        egg,
        fate=fate,
        candled=day,
        ended=None if fate in LIVE_FATES else day,
        notes=_also(egg.notes, notes),
    )
    showed = "nothing sure" if fate is EggFate.IN_NEST else str(fate)
    what = f"Clutch {clutch.id}: egg {number} candled, {showed}"
    ledger.commit([Put(with_egg(clutch, seen))], author=author, what=what)
    return seen


def end_egg(
    ledger: Ledger,
    clutch_id: str,
    number: int,
    fate: EggFate,
    on: When,
    author: str,
    *,
    notes: str = "",
) -> Egg:
    """Enter that an egg came to nothing: lost, broken, clear, or died in shell.

    Raises:
        NotFoundError: there is no such clutch or egg.
        RuleError: it is spent, that is no such end, or a rule says no.
    """
    clutch, egg = live_egg(ledger.flock, clutch_id, number)
    if fate not in SPENT_FATES:
        raise RuleError(
            f"“{fate}” is no end of an egg.",
            "Choose lost, broken, clear or died in shell.",
        )
    spent = replace(egg, fate=fate, ended=date_of(on), notes=_also(egg.notes, notes))
    what = f"Clutch {clutch.id}: egg {number} {fate}"
    ledger.commit([Put(with_egg(clutch, spent))], author=author, what=what)
    return spent


def hatch(
    ledger: Ledger,
    clutch_id: str,
    number: int,
    on: When,
    author: str,
    *,
    name: str = "",
    weight_g: float | None = None,
    notes: str = "",
) -> Bird:
    """Enter that an egg hatched: the chick becomes a bird of the flock.

    Its species, sire, dam and place are those of the pair.

    Args:
        ledger: An open ledger.
        clutch_id: The clutch.
        number: The egg's place in it.
        on: When it hatched.
        author: Who found it.
        name: Of the chick; "" until it has one.
        weight_g: Its weight that day, if it was weighed.
        notes: More about it.

    Returns:
        The chick as stored.

    Raises:
        NotFoundError: there is no such clutch or egg.
        RuleError: the egg is spent, or a rule of the flock says no.
    """
    flock = ledger.flock
    clutch, egg = live_egg(flock, clutch_id, number)
    pair = flock.pairs.get(clutch.pair or "")
    day = date_of(on)
    chick = Bird(
        flock.next_id(Kind.BIRD),
        name.strip(),
        species_of(flock, clutch),
        hatched=day,
        sire=pair.cock if pair else None,
        dam=pair.hen if pair else None,
        location=place_of_pair(flock, pair) if pair else "",
        notes=notes.strip(),
    )
    done = replace(egg, fate=EggFate.HATCHED, hatched=day, chick=chick.id)
    changes: list[Change] = [Put(chick), Put(with_egg(clutch, done))]
    if weight_g is not None:
        changes.append(
            Put(
                Event(
                    flock.next_id(Kind.EVENT),
                    chick.id,
                    EventKind.WEIGHED,
                    day,
                    weight_g=weight_g,
                    by=author,
                )
            )
        )
    what = f"Clutch {clutch.id}: egg {number} hatched, {chick.title}"
    ledger.commit(changes, author=author, what=what)
    return chick


def _refuse_parted(flock: Flock, pair: Pair) -> None:
    if pair.parted is not None:
        raise RuleError(
            f"{called_pair(flock, pair)} were parted {pair.parted}.",
            "Enter them as a pair again, if they are one.",
        )


def _also(before: str, more: str) -> str:
    return " ".join(part for part in (before, more.strip()) if part)
