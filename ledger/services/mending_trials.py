"""Ways to put a finding right: found by trying what could be changed around it.

Nobody lists the ways for each rule. Around the thing that a finding is about, every
value is tried in turn: left open, set to each other word it may hold, taken out, or
said anew by the keeper. What makes the finding go away, and brings no new error, is a
way. So a new rule has its ways from the day it is written.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from ledger.domain.bird import Bird
from ledger.domain.change import Drop, Put
from ledger.domain.event import Event, EventKind
from ledger.domain.finding import Severity
from ledger.domain.kind import Kind, kind_of
from ledger.domain.ring import Chip, Ring, RingState
from ledger.domain.rules import errors_caused_by, findings_about
from ledger.services.mending_fields import Spot, known_values, probes, spots

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from ledger.domain.change import Change, Thing
    from ledger.domain.finding import Finding
    from ledger.domain.flock import Flock
    from ledger.services.ledger import Ledger

    Deed = Callable[[Ledger, str, str], None]
    """Done with the open ledger, who does it, and what the keeper said."""

_MAY_GO = {
    Kind.EVENT,
    Kind.PLACEMENT,
    Kind.TASK,
    Kind.REMOVAL,
    Kind.SIGHTING,
    Kind.ENQUIRY,
    Kind.SERIES,
    Kind.CLUTCH,
    Kind.RING,
    Kind.CHIP,
}
"""What may be taken out to mend an error. Never a bird: it is marked as dead."""


@dataclass(frozen=True)
class Way:
    """One way to put a finding right."""

    does: str
    """What it does, as a phrase: "Sire of Pip: leave open (now b0099)"."""
    changes: tuple[Change, ...] = ()
    """What is stored; empty where the keeper has to say a value first."""
    asks: Spot | None = None
    """The value to say."""
    deed: Deed | None = None
    """What is done beside the ledger's own changes."""
    prompt: str = ""
    """What the keeper has to say for the deed; empty where nothing."""

    @property
    def needs_words(self) -> bool:
        """The keeper has to say something first."""
        return self.asks is not None or bool(self.prompt)


def tried(flock: Flock, finding: Finding) -> list[Way]:
    """Every way found, the likeliest first.

    Args:
        flock: The flock as it is.
        finding: One that a check of it gave.

    Returns:
        None at all for a finding about files, or one that no more stands.
    """
    kind = kind_of(finding.subject_id)
    if kind is None or not count(flock, finding):
        return []
    said: list[Way] = []
    ready: list[Way] = []
    around = _around(flock, finding, kind)
    for thing in [*_new_marks(flock, around[0]), *around]:
        for spot in spots(thing):
            title = f"{_upper(called(flock, thing))}, {spot.in_words}"
            ready += _ready(flock, finding, spot, title)
            if _can_be_said(flock, finding, spot):
                now = "" if spot.value in (None, "") else f" (now {spot.value})"
                does = "correct" if spot.value else "enter"
                said.append(Way(f"{title}: {does}{now}", asks=spot))
    larger = list(_larger(flock, finding, kind))
    all_ways = [*said, *ready, *larger]
    return sorted(all_ways, key=lambda way: not _is_named(way, finding))


def _ready(flock: Flock, finding: Finding, spot: Spot, title: str) -> Iterator[Way]:
    """Values that need no keeper to say them; odd things are left to the keeper."""
    is_warning = finding.severity is Severity.WARNING
    if flock.get(spot.thing.KIND, spot.thing.id) is None:
        return  # a new one: nothing to change in it yet
    for does, value in known_values(spot):
        word = str(value) if isinstance(spot.form, type) else "open"
        if is_warning and word not in finding.remedy:
            continue
        changes = (Put(spot.holding(value)),)
        if mends(flock, finding, changes):
            yield Way(f"{title}: {does}", changes)


def called(flock: Flock, thing: Thing) -> str:
    """A thing in words, for a keeper who must decide about it."""
    if isinstance(thing, Bird):
        return thing.title
    if isinstance(thing, Ring | Chip) and flock.get(thing.KIND, thing.id) is None:
        wearer = flock.birds[thing.bird or ""]
        return f"a {_ONE[thing.KIND]} of {wearer.title} not entered yet"
    if isinstance(thing, Ring):
        return f"ring {thing.id} “{thing.inscription}”"
    if isinstance(thing, Chip):
        return f"chip {thing.id} {thing.code}"
    if isinstance(thing, Event):
        bird = flock.birds.get(thing.bird)
        return f"“{thing.kind}” {thing.on} ({bird.title if bird else thing.bird})"
    if thing.KIND is Kind.SETTINGS:
        return "the flock"
    return f"{_ONE.get(thing.KIND, str(thing.KIND))} {thing.id}"


_ONE = {
    Kind.RING: "ring",
    Kind.CHIP: "chip",
    Kind.PAIR: "pair",
    Kind.CLUTCH: "clutch",
    Kind.PLACEMENT: "placement",
    Kind.PERSON: "person",
    Kind.PHOTO: "photo",
    Kind.SERIES: "ring series",
    Kind.TASK: "task",
    Kind.REMOVAL: "removal",
    Kind.WALK: "walk-through",
    Kind.SIGHTING: "sighting",
    Kind.ENQUIRY: "enquiry",
}


def _around(flock: Flock, finding: Finding, kind: Kind) -> list[Thing]:
    """The thing it is about, those it names, and the deaths of its bird."""
    ids = [finding.subject_id, *finding.involved]
    found = {key: thing for key in ids if (thing := flock.get(kind, key))}
    for subject in list(found.values()):
        for spot in spots(subject):
            value, named = spot.value, spot.named
            if named and isinstance(value, str) and (it := flock.get(named, value)):
                found[value] = it
            elif spot.form == "chances":
                found |= {w: flock.birds[w] for w, _ in value if w in flock.birds}
    birds = [thing for thing in found.values() if isinstance(thing, Bird)]
    for bird in birds:
        for event in flock.events_of(bird.id):
            if event.kind is EventKind.DIED:
                found[event.id] = event
        if bird.id == finding.subject_id:
            found |= {ring.id: ring for ring in flock.rings_of(bird.id)}
            found |= {chip.id: chip for chip in flock.chips_of(bird.id)}
    return list(found.values())


def _new_marks(flock: Flock, subject: Thing) -> list[Thing]:
    """A ring and a chip that the bird may carry without their being entered."""
    if not isinstance(subject, Bird):
        return []
    ring = Ring(flock.next_id(Kind.RING), bird=subject.id, state=RingState.ON_BIRD)
    return [ring, Chip(flock.next_id(Kind.CHIP), bird=subject.id)]


def count(flock: Flock, finding: Finding) -> int:
    """How many findings of this sort stand about its subject.

    Told by what to do about them: the words of a message change with the values.
    """
    kind = kind_of(finding.subject_id)
    found = findings_about(flock, kind, finding.subject_id) if kind else []
    return sum(
        each.severity is finding.severity and each.remedy == finding.remedy
        for each in found
    )


def mends(flock: Flock, finding: Finding, changes: Sequence[Change]) -> bool:
    """It goes away, and no new error comes."""
    if count(flock.changed(changes), finding) >= count(flock, finding):
        return False
    return not errors_caused_by(flock, changes)[1]


def _can_be_said(flock: Flock, finding: Finding, spot: Spot) -> bool:
    """Some other value there would mend it; which one, only the keeper knows."""
    is_choice = isinstance(spot.form, type)
    if is_choice and finding.severity is Severity.ERROR:
        return False  # each choice that mends it is offered
    if spot.named and spot.value and spot.value in finding.message:
        return flock.get(spot.named, spot.value) is None
    is_new = flock.get(spot.thing.KIND, spot.thing.id) is None
    if is_new and spot.field not in {"inscription", "code"}:
        return False  # what it is told by comes first
    stands = count(flock, finding)
    return any(
        count(flock.changed([Put(spot.holding(value))]), finding) < stands
        for value in probes(flock, spot)
    )


def _larger(flock: Flock, finding: Finding, kind: Kind) -> Iterator[Way]:
    """Ways that change more than one value: back in stock, or out of the ledger."""
    for thing in _around(flock, finding, kind):
        name = called(flock, thing)
        if isinstance(thing, Ring) and thing.bird not in flock.birds:
            stocked = replace(thing, bird=None, state=RingState.IN_STOCK)
            changes: tuple[Change, ...] = (Put(stocked),)
            if mends(flock, finding, changes):
                yield Way(f"Put {name} back in stock", changes)
        is_near = thing.KIND is kind or thing.KIND is Kind.EVENT
        if finding.severity is Severity.ERROR and thing.KIND in _MAY_GO and is_near:
            changes = (Drop(thing.KIND, thing.id),)
            if mends(flock, finding, changes):
                yield Way(f"Take {name} out of the ledger", changes)


def _is_named(way: Way, finding: Finding) -> bool:
    """It is about the very value that the finding names as the fault."""
    it = way.asks
    return (
        it is not None
        and it.thing.id == finding.subject_id
        and it.place == (finding.field,)
    )


def _upper(words: str) -> str:
    return words[:1].upper() + words[1:]
