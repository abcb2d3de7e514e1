"""The nests as lines of a list, a clutch egg by egg, and what is due as words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from ledger.care.clutches import (
    LIVE_FATES,
    is_current,
    is_marked,
    place_of_pair,
    species_of,
)
from ledger.care.hatching import hatch_forecast
from ledger.care.nest import (
    NestDuty,
    NestWork,
    Urgency,
    due_in_nests,
    due_of_chick,
    due_of_eggs,
    pressing,
)
from ledger.care.weights import WeightCurve, curve_of
from ledger.domain.bird import Status
from ledger.domain.breeding import EggFate
from ledger.domain.event import EventKind
from ledger.domain.partial_date import age_in_words
from ledger.domain.ring import RingState
from ledger.services.clutches import called_pair

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Iterator

    from ledger.domain.bird import Bird
    from ledger.domain.breeding import Clutch, Egg, Pair
    from ledger.domain.flock import Flock

__all__ = [
    "EggLine",
    "NestLine",
    "Urgency",
    "WeightCurve",
    "curve_of",
    "eggs_of",
    "nests",
    "source_of",
    "species_of",
]

SIGN_OF = {
    EggFate.IN_NEST: "o",
    EggFate.FERTILE: "●",
    EggFate.HATCHED: "^",
    EggFate.CLEAR: "-",
    EggFate.DIED_IN_SHELL: "x",
    EggFate.BROKEN: "x",
    EggFate.LOST: "x",
}
"""One sign for an egg; told in words on the pages' help."""
MARK_OF = {Urgency.LATE: "!!", Urgency.NOW: "!", Urgency.SOON: "·"}
"""So that colour is never the only sign."""


@dataclass(frozen=True, slots=True)
class NestLine:
    """A pair that is together, or a clutch of it that is in the nest."""

    pair_id: str
    clutch_id: str
    """"" where the pair has no clutch now."""
    place: str
    pair: str
    """The birds' names."""
    species: str
    eggs: str
    """A sign for each egg."""
    due: tuple[NestDuty, ...]
    """The most pressing first."""

    @property
    def key(self) -> str:
        """What the line stands for."""
        return f"{self.pair_id} {self.clutch_id}"


@dataclass(frozen=True, slots=True)
class EggLine:
    """An egg of a clutch and what came of it."""

    number: int
    chick_id: str
    """"" while there is none."""
    laid: str
    state: str
    """In a word or two: fertile, hatched, clear."""
    chick: str
    age: str
    ring: str
    weight: str
    """The last, with its gain a day."""
    due: tuple[NestDuty, ...]
    about: tuple[str, ...]
    """More, as sentences."""
    is_live: bool
    """It may still hatch, or its chick lives."""


def nests(flock: Flock, today: dt.date) -> tuple[NestLine, ...]:
    """Every pair that is together, each clutch in the nest a line; by aviary.

    Args:
        flock: The flock.
        today: The day in question.
    """
    due: dict[str, list[NestDuty]] = {}
    for duty in due_in_nests(flock, today):
        due.setdefault(duty.clutch or "", []).append(duty)
    lines: list[NestLine] = []
    for pair in flock.pairs.values():
        current = [
            it for it in flock.clutches_of(pair.id) if is_current(flock, it, today)
        ]
        for clutch in current:
            duties = tuple(due.get(clutch.id, ()))
            lines.append(_line(flock, pair, clutch, duties))
        if not current and _is_together(flock, pair):
            lines.append(_line(flock, pair, None, ()))
    return tuple(sorted(lines, key=lambda it: (it.place, it.pair, it.clutch_id)))


def _is_together(flock: Flock, pair: Pair) -> bool:
    both = [flock.birds.get(bird_id or "") for bird_id in (pair.cock, pair.hen)]
    return pair.parted is None and all(
        bird is None or bird.status is Status.ALIVE for bird in both
    )


def _line(
    flock: Flock, pair: Pair, clutch: Clutch | None, due: tuple[NestDuty, ...]
) -> NestLine:
    hen = flock.birds.get(pair.hen or "") or flock.birds.get(pair.cock or "")
    eggs = clutch.eggs if clutch else ()
    return NestLine(
        pair.id,
        clutch.id if clutch else "",
        place_of_pair(flock, pair),
        called_pair(flock, pair),
        hen.species if hen else "",
        "".join(SIGN_OF[egg.fate] for egg in eggs),
        due,
    )


def eggs_of(flock: Flock, clutch: Clutch, today: dt.date) -> tuple[EggLine, ...]:
    """A clutch egg by egg.

    Args:
        flock: The flock.
        clutch: A clutch of it.
        today: The day in question.
    """
    of_eggs = list(due_of_eggs(flock, clutch, today))
    return tuple(_egg_line(flock, clutch, egg, of_eggs, today) for egg in clutch.eggs)


def _egg_line(
    flock: Flock, clutch: Clutch, egg: Egg, of_eggs: list[NestDuty], today: dt.date
) -> EggLine:
    chick = flock.birds.get(egg.chick or "")
    due = [duty for duty in of_eggs if duty.egg == egg.number]
    if chick is not None and chick.status is Status.ALIVE:
        due += due_of_chick(flock, chick, today, clutch.id)
    about = [f"{duty.said} {source_of(duty)}".strip() for duty in due]
    return EggLine(
        egg.number,
        chick.id if chick else "",
        str(egg.laid or ""),
        _state(flock, egg, chick),
        chick.title if chick else "",
        _age(chick, today),
        _ring(flock, chick),
        _weight(flock, chick),
        tuple(sorted(due, key=pressing)),
        (*about, *_about(flock, clutch, egg)),
        egg.fate in LIVE_FATES or bool(chick and chick.status is Status.ALIVE),
    )


def _state(flock: Flock, egg: Egg, chick: Bird | None) -> str:
    if chick is not None and chick.status is not Status.ALIVE:
        return f"{egg.fate}, {chick.status}"
    for event in flock.events_of(chick.id) if chick else ():
        if event.kind in (EventKind.FLEDGED, EventKind.WEANED):  # newest first
            return str(event.kind)
    if egg.fate is EggFate.IN_NEST and egg.candled:
        return "candled, not sure"
    return str(egg.fate)


def _age(chick: Bird | None, today: dt.date) -> str:
    if chick is None or chick.hatched is None or chick.status is not Status.ALIVE:
        return ""
    return age_in_words(chick.hatched, today)


def _ring(flock: Flock, chick: Bird | None) -> str:
    if chick is None:
        return ""
    rings = flock.rings_of(chick.id)
    worn = [ring.inscription for ring in rings if ring.state is RingState.ON_BIRD]
    if not worn and is_marked(flock, chick.id):
        return "chip"
    return ", ".join(worn)


def _weight(flock: Flock, chick: Bird | None) -> str:
    points = curve_of(flock, chick.id).points if chick else ()
    if not points:
        return ""
    last = points[-1]
    gain = last.gain_g_a_day
    return f"{last.weight_g:g} g" + ("" if gain is None else f" {gain:+.1f}/d")


def _about(flock: Flock, clutch: Clutch, egg: Egg) -> Iterator[str]:
    forecast = hatch_forecast(species_of(flock, clutch), clutch, egg)
    if egg.fate in LIVE_FATES:
        if forecast is None:
            yield "No incubation is published for it, or no day of laying is known."
        else:
            yield (
                f"Expected to hatch {forecast.earliest} to {forecast.latest}: "
                f"{forecast.said}"
            )
    if egg.candled:
        yield f"Candled {egg.candled}."
    if egg.ended:
        yield f"{str(egg.fate).capitalize()}, found {egg.ended}."
    if egg.notes:
        yield egg.notes


def source_of(duty: NestDuty) -> str:
    """Where it is from, in brackets; "" where the sentence says so itself."""
    # What a chick's ringing days are from stands in the sentence itself.
    return f"({duty.source})" if duty.source and duty.work is not NestWork.RING else ""
