"""All rules of a flock, over the whole of it or over what a change touches."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from ledger.domain.bird import Bird
from ledger.domain.change import Drop, Put
from ledger.domain.doubt_rules import check_doubts, check_limits, check_species
from ledger.domain.event import EventKind
from ledger.domain.family_rules import (
    check_clutch,
    check_loops,
    check_pair,
    check_parents,
)
from ledger.domain.finding import Finding, Severity
from ledger.domain.indexes import parents_of
from ledger.domain.kind import Kind
from ledger.domain.life_rules import (
    check_event,
    check_life,
    check_photo,
    check_placement,
    check_settings,
)
from ledger.domain.mark_rules import check_chip, check_identity, check_ring
from ledger.domain.naming_rules import (
    check_enquiry,
    check_removal,
    check_sighting,
    check_task,
    check_walk,
)
from ledger.domain.nest_rules import check_growing, check_nest
from ledger.domain.series_rules import check_ring_series, check_series
from ledger.domain.sexing_leg import check_sexing_leg

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from ledger.domain.change import Change
    from ledger.domain.flock import Flock

__all__ = ["Finding", "Severity", "check", "errors_caused_by", "findings_about"]

_RULES: dict[Kind, tuple[Callable[[Flock, Any], Iterator[Finding]], ...]] = {
    Kind.BIRD: (
        check_parents,
        check_species,
        check_doubts,
        check_life,
        check_identity,
        check_growing,
        check_sexing_leg,
    ),
    Kind.RING: (check_ring, check_ring_series),
    Kind.CHIP: (check_chip,),
    Kind.PAIR: (check_pair,),
    Kind.CLUTCH: (check_clutch, check_nest),
    Kind.EVENT: (check_event,),
    Kind.PLACEMENT: (check_placement,),
    Kind.PHOTO: (check_photo,),
    Kind.SERIES: (check_series,),
    Kind.TASK: (check_task,),
    Kind.REMOVAL: (check_removal,),
    Kind.WALK: (check_walk,),
    Kind.SIGHTING: (check_sighting,),
    Kind.ENQUIRY: (check_enquiry,),
    Kind.SETTINGS: (check_settings, check_limits),
}

_EVERYDAY = {
    EventKind.NOTE,
    EventKind.WEIGHED,
    EventKind.EXAMINED,
    EventKind.SIGHTED,
}
"""Events that no rule of a bird, or of another event, asks for."""

_NAMED_NEARBY = {
    Kind.BIRD,
    Kind.EVENT,
    Kind.PLACEMENT,
    Kind.CLUTCH,
    Kind.TASK,
    Kind.REMOVAL,
    Kind.SIGHTING,
    Kind.ENQUIRY,
}
"""Kinds that only their neighbours name by id."""


def check(flock: Flock) -> list[Finding]:
    """Everything that is wrong or odd in a flock, the worst first."""
    findings = [
        finding
        for kind, rules in _RULES.items()
        for thing in flock.all_of(kind).values()
        for rule in rules
        for finding in rule(flock, thing)
    ]
    findings += check_loops(flock, flock.birds.values())
    return sorted(findings, key=lambda f: f.severity is not Severity.ERROR)


def findings_about(flock: Flock, kind: Kind, thing_id: str) -> list[Finding]:
    """What is wrong or odd about one thing; for a bird, loops above it too."""
    thing = flock.get(kind, thing_id)
    if thing is None:
        return []
    found = [each for rule in _RULES.get(kind, ()) for each in rule(flock, thing)]
    if isinstance(thing, Bird):
        found += check_loops(flock, [thing])
    return found


def errors_caused_by(
    before: Flock, changes: Sequence[Change]
) -> tuple[Flock, list[Finding]]:
    """What a set of changes would break, without looking at the whole flock.

    Only what the changes touch and what names it is checked (the whole flock when
    something is dropped that others may name); an error that was there before does
    not count.

    Returns:
        The flock after the changes, and the errors that are new in it.
    """
    after = before.changed(changes)
    dropped = {change.kind for change in changes if isinstance(change, Drop)}
    if dropped - _NAMED_NEARBY:
        # Anything may name what is gone.
        touched = {
            (thing.KIND, thing.id) for flock in (before, after) for thing in flock
        }
    else:
        touched = _touched(before, changes) | _touched(after, changes)
        if Kind.BIRD in dropped:  # an egg's chick may be it
            touched |= {(Kind.CLUTCH, key) for key in before.all_of(Kind.CLUTCH)}
    lines = _changes_a_line(before, changes)
    known = {error.message for error in _errors(before, touched, loops=lines)}
    names = _renamed(before, changes)
    return after, [
        error
        for error in _errors(after, touched, loops=lines)
        if _under_old_names(error.message, names) not in known
    ]


def _changes_a_line(before: Flock, changes: Sequence[Change]) -> bool:
    """A bird gets other parents: only then can one become its own ancestor."""
    for change in changes:
        if isinstance(change, Put) and isinstance(change.thing, Bird):
            old = before.birds.get(change.thing.id)
            if old is None or parents_of(old) != parents_of(change.thing):
                return True
    return False


def _renamed(before: Flock, changes: Sequence[Change]) -> list[tuple[str, str]]:
    """New and old name of every bird that gets another one."""
    names = []
    for change in changes:
        if isinstance(change, Put) and isinstance(change.thing, Bird):
            old = before.birds.get(change.thing.id)
            if old and old.title != change.thing.title:
                names.append((change.thing.title, old.title))
    return names


def _under_old_names(message: str, names: Sequence[tuple[str, str]]) -> str:
    """What a message was before birds were renamed; a new name is no new error."""
    for new, old in names:
        message = message.replace(new, old)
    return message


def _errors(
    flock: Flock, touched: set[tuple[Kind, str]], *, loops: bool
) -> Iterator[Finding]:
    birds = []
    for kind, thing_id in sorted(touched):
        thing = flock.get(kind, thing_id)
        if thing is None:
            continue
        if kind is Kind.BIRD:
            birds.append(flock.birds[thing_id])
        for rule in _RULES.get(kind, ()):
            for finding in rule(flock, thing):
                if finding.severity is Severity.ERROR:
                    yield finding
    if loops:
        yield from check_loops(flock, birds)


def _touched(flock: Flock, changes: Sequence[Change]) -> set[tuple[Kind, str]]:
    """The things changed, and those whose rules look at them."""
    touched: set[tuple[Kind, str]] = set()
    for change in changes:
        kind, thing_id = (
            (change.thing.KIND, change.thing.id)
            if isinstance(change, Put)
            else (change.kind, change.id)
        )
        touched.add((kind, thing_id))
        if flock.get(kind, thing_id) is None:
            continue
        touched.update(_neighbours(flock, kind, thing_id))
    return touched


def _neighbours(flock: Flock, kind: Kind, thing_id: str) -> Iterator[tuple[Kind, str]]:
    if kind is Kind.BIRD:
        yield from _around_bird(flock, thing_id)
    elif kind is Kind.RING:
        ring = flock.rings[thing_id]
        for twin in flock.rings_like(ring.inscription):
            yield Kind.RING, twin.id
    elif kind is Kind.CHIP:
        for twin_chip in flock.chips_coded(flock.chips[thing_id].code):
            yield Kind.CHIP, twin_chip.id
    elif kind is Kind.EVENT:
        event = flock.events[thing_id]
        for task in flock.tasks_of(event.bird):
            yield Kind.TASK, task.id
        if event.bird in flock.birds and event.kind not in _EVERYDAY:
            yield Kind.BIRD, event.bird
            if event.kind is EventKind.DIED:
                # It moves the end of the life that all other events must lie in.
                for other in flock.events_of(event.bird):
                    yield Kind.EVENT, other.id
    elif kind is Kind.PAIR:
        for clutch in flock.clutches_of(thing_id):
            yield Kind.CLUTCH, clutch.id


def _around_bird(flock: Flock, bird_id: str) -> Iterator[tuple[Kind, str]]:
    for young in flock.young_of(bird_id):
        yield Kind.BIRD, young.id
    for ring in flock.rings_of(bird_id):
        yield Kind.RING, ring.id
    for chip in flock.chips_of(bird_id):
        yield Kind.CHIP, chip.id
    for event in flock.events_of(bird_id):
        yield Kind.EVENT, event.id
    for placement in flock.placements_of(bird_id):
        yield Kind.PLACEMENT, placement.id
    for photo in flock.photos_of(bird_id):
        yield Kind.PHOTO, photo.id
    for task in flock.tasks_of(bird_id):
        yield Kind.TASK, task.id
    for removal in flock.removals_of(bird_id):
        yield Kind.REMOVAL, removal.id
    for enquiry in flock.enquiries_of(bird_id):
        yield Kind.ENQUIRY, enquiry.id
    for pair in flock.pairs_of(bird_id):
        yield Kind.PAIR, pair.id
