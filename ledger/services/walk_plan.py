"""Planning a walk-through: the aviaries in walking order and who should be in each."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from ledger.domain.bird import Bird, Status
from ledger.domain.change import Put
from ledger.domain.kind import Kind
from ledger.domain.ring import RingState, compact
from ledger.domain.walk import Stop, WalkThrough
from ledger.errors import RuleError
from ledger.services.ledger import date_of

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Iterable, Sequence

    from ledger.domain.flock import Flock
    from ledger.services.ledger import Ledger


@dataclass(frozen=True)
class Planned:
    """One aviary of a round to come."""

    aviary: str
    birds: tuple[Bird, ...]
    """By name; none for an empty aviary that the keeper walks past."""

    @property
    def stop(self) -> Stop:
        """As the round keeps it: from then on the ledger may change."""
        return Stop(self.aviary, tuple(bird.id for bird in self.birds))


def plan(flock: Flock) -> tuple[Planned, ...]:
    """Every aviary in walking order, with the living birds that belong there.

    Aviaries the keeper has put in order come first, empty ones too; then the others
    by name, their numbers counted as numbers.
    """
    birds: dict[str, list[Bird]] = {}
    names: dict[str, str] = {}
    for name in flock.settings.walking_order:
        names.setdefault(compact(name), name)
    ordered = len(names)
    for bird in flock.birds.values():
        if bird.status is Status.ALIVE and compact(bird.location):
            key = compact(bird.location)
            names.setdefault(key, bird.location.strip())
            birds.setdefault(key, []).append(bird)
    keys = list(names)
    keys[ordered:] = sorted(keys[ordered:], key=lambda key: _counted(names[key]))
    return tuple(
        Planned(names[key], tuple(sorted(birds.get(key, []), key=_by_name)))
        for key in keys
    )


def without_aviary(flock: Flock) -> list[Bird]:
    """Living birds for which no aviary is entered: no round looks for them."""
    return [
        bird
        for bird in flock.birds.values()
        if bird.status is Status.ALIVE and not compact(bird.location)
    ]


def _by_name(bird: Bird) -> tuple[str, str]:
    return bird.title.casefold(), bird.id


def _counted(name: str) -> list[tuple[int, int, str]]:
    """`Aviary 10` behind `Aviary 9`."""
    parts = re.findall(r"\d+|\D+", name.casefold())
    return [(0, int(p), "") if p.isdecimal() else (1, 0, p) for p in parts]


def set_walking_order(
    ledger: Ledger, aviaries: Sequence[str], author: str
) -> tuple[str, ...]:
    """Remember in which order one walks.

    Args:
        ledger: An open ledger.
        aviaries: Names; one given twice counts where it stands first.
        author: Who says so.

    Returns:
        The order as kept.

    Raises:
        StoreError: it could not be stored.
    """
    names: dict[str, str] = {}
    for name in aviaries:
        if compact(name):
            names.setdefault(compact(name), name.strip())
    order = tuple(names.values())
    settings = ledger.flock.settings
    if settings.walking_order != order:
        ledger.commit(
            [Put(replace(settings, walking_order=order))],
            author=author,
            what="Walking order changed",
        )
    return order


def moved(aviaries: Sequence[str], at: int, by: int) -> tuple[str, ...]:
    """The order with one aviary moved up (`by` below 0) or down; ends hold."""
    order = list(aviaries)
    to = max(0, min(len(order) - 1, at + by))
    order.insert(to, order.pop(at))
    return tuple(order)


def begin(
    ledger: Ledger,
    now: dt.datetime,
    author: str,
    aviaries: Iterable[str] | None = None,
) -> WalkThrough:
    """Begin a round: who should be where is frozen from now on.

    Args:
        ledger: An open ledger.
        now: The time where the keeper is.
        author: Who walks.
        aviaries: Only these; None for all.

    Raises:
        RuleError: another round goes on, or there is no aviary to go to.
        StoreError: it could not be stored.
    """
    flock = ledger.flock
    going = open_walk(flock)
    if going is not None:
        raise RuleError(
            f"The round of {going.on} still goes on.", "Resume it, or end it first."
        )
    wanted = None if aviaries is None else {compact(name) for name in aviaries}
    stops = tuple(
        each.stop
        for each in plan(flock)
        if wanted is None or compact(each.aviary) in wanted
    )
    if not stops:
        raise RuleError(
            "There is no aviary to walk to.",
            "Enter where your birds live, on their pages or by an import.",
        )
    walk = WalkThrough(
        flock.next_id(Kind.WALK),
        date_of(now.date()),
        author,
        stops,
        started=now.isoformat(timespec="seconds"),
    )
    ledger.commit([Put(walk)], author=author, what=f"Round {walk.id} begun")
    return walk


def open_walk(flock: Flock) -> WalkThrough | None:
    """The round that goes on, if one does; of several the newest."""
    going = [walk for walk in flock.walks.values() if not walk.ended]
    return going[-1] if going else None


def worn_ring(flock: Flock, bird_id: str) -> str:
    """What stands on the ring it wears, else on the last it wore; "" for none."""
    rings = flock.rings_of(bird_id)
    worn = [ring for ring in rings if ring.state is RingState.ON_BIRD] or rings[-1:]
    return worn[-1].inscription if worn else ""
