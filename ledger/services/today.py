"""The day's round: all that is due, ordered, searched, as lines and as plain values."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from ledger.care.due import (
    PRESS_WORDS,
    Due,
    Press,
    by_aviary,
    by_urgency,
    due_beside_birds,
    due_of_bird,
)

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Callable, Iterator, Sequence

    from ledger.domain.flock import Flock

__all__ = ["DayList", "DayLists", "Due", "Press", "as_lines", "as_plain", "day_list"]

_STEP_BIRDS = 100
"""After so many birds one looks whether anybody still waits."""


@dataclass(frozen=True)
class DayList:
    """All that is due on one day, the most pressing first."""

    today: dt.date
    flock_name: str
    due: tuple[Due, ...]

    def counted(self, press: Press) -> int:
        """How many things press so."""
        return sum(one.press is press for one in self.due)

    @property
    def pressing(self) -> tuple[Due, ...]:
        """What is due today or overdue because of something."""
        return tuple(one for one in self.due if one.press <= Press.DUE)

    def chosen(
        self, words: str = "", *, everything: bool = False, aviaries: bool = False
    ) -> list[Due]:
        """What a keeper wants to see.

        Args:
            words: Only what has all of them.
            everything: What comes and what is routine, too.
            aviaries: Aviary by aviary; else the most pressing first.
        """
        found = list(self.due if everything else self.pressing)
        for word in words.casefold().split():
            found = [one for one in found if word in _searched(one)]
        return sorted(found, key=by_aviary if aviaries else by_urgency)

    @property
    def summary(self) -> str:
        """How much there is, as a phrase."""
        now, due = self.counted(Press.NOW), self.counted(Press.DUE)
        coming, routine = self.counted(Press.COMING), self.counted(Press.ROUTINE)
        said = f"{now} now, {due} due" if now or due else "nothing due"
        rest = [f"{coming} coming"] if coming else []
        rest += [f"{routine} routine"] if routine else []
        return f"{said} ({', '.join(rest)})" if rest else said


@dataclass
class DayLists:
    """Works today_lists out, bird by bird, and only anew what changed since."""

    _kept: dict[str, tuple[tuple[Any, ...], list[Due]]] = field(default_factory=dict)
    _of: tuple[Any, ...] = ()

    def of(
        self, flock: Flock, today: dt.date, step: Callable[[], None] | None = None
    ) -> DayList:
        """All that is due.

        Args:
            flock: The flock.
            today: The day in question.
            step: Called now and then; may raise to stop.
        """
        settings = (today, flock.settings)
        if self._of != settings:
            self._kept, self._of = {}, settings
        found = list(due_beside_birds(flock, today))
        for number, bird in enumerate(flock.birds.values()):
            if step is not None and number % _STEP_BIRDS == 0:
                step()
            found += self._of_bird(flock, bird, today)
        found.sort(key=by_urgency)
        name = flock.settings.name or "Flock ledger"
        return DayList(today, name, tuple(found))

    def _of_bird(self, flock: Flock, bird: Any, today: dt.date) -> list[Due]:
        # What a change did not touch is the very same object as before it.
        seen = (
            bird,
            flock.events_of(bird.id),
            flock.rings_of(bird.id),
            flock.tasks_of(bird.id),
        )
        kept = self._kept.get(bird.id)
        if kept and all(
            old is new or old == new == ()
            for old, new in zip(kept[0], seen, strict=True)
        ):
            return kept[1]
        due = due_of_bird(flock, bird, today)
        self._kept[bird.id] = seen, due
        return due


def day_list(flock: Flock, today: dt.date) -> DayList:
    """All that is due on a day."""
    return DayLists().of(flock, today)


def as_lines(chosen: Sequence[Due], *, aviaries: bool = False) -> Iterator[str]:
    """One line each under a heading: how it presses, or the aviary."""
    heading = None
    for one in chosen:
        group = (
            (one.aviary or "No aviary")
            if aviaries
            else PRESS_WORDS[one.press].capitalize()
        )
        if group != heading:
            heading = group
            yield f"{group}:"
        where = f" ({one.aviary})" if one.aviary and not aviaries else ""
        name = f": {one.name}{where}" if one.name else where
        yield f"  {one.on}  {one.kind}{name}: {one.why}"


def as_plain(the_list: DayList, chosen: Sequence[Due]) -> dict[str, Any]:
    """The round as plain values for `--json`."""
    return {
        "day": the_list.today.isoformat(),
        "now": the_list.counted(Press.NOW),
        "due": the_list.counted(Press.DUE),
        "coming": the_list.counted(Press.COMING),
        "routine": the_list.counted(Press.ROUTINE),
        "list": [
            {
                "what": str(one.kind),
                "presses": PRESS_WORDS[one.press],
                "since": one.on.isoformat(),
                "aviary": one.aviary,
                "bird": one.bird,
                "name": one.name,
                "why": one.why,
                "source": one.source,
                "task": one.task,
                "clutch": one.clutch,
                "egg": one.egg,
            }
            for one in chosen
        ],
    }


def _searched(one: Due) -> str:
    words = (one.name, one.bird or "", one.aviary, str(one.kind), one.why)
    return " ".join((*words, PRESS_WORDS[one.press])).casefold()
