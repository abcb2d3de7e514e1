"""A ring comes off, or a chip goes in: one act, all of it or nothing.

Whatever the keeper enters is gathered first; nothing is stored before the end, and
then ring, chip or new ring, photos, task and what the paper says in one commit.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum
from typing import TYPE_CHECKING

from ledger.domain.bird import Status
from ledger.domain.change import Put
from ledger.domain.chip_code import ChipCode, chip_code
from ledger.domain.event import Event, EventKind
from ledger.domain.kind import Kind
from ledger.domain.mark_rules import called_ring
from ledger.domain.removal import Removal
from ledger.domain.ring import Chip, Ring, RingState
from ledger.domain.task import Task, TaskKind
from ledger.errors import RuleError
from ledger.services.ledger import bird_of, refuse_if_read_only
from ledger.services.marks import from_stock
from ledger.services.photos import keep_photos
from ledger.services.removal_checks import objections

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from ledger.domain.bird import Bird
    from ledger.domain.change import Change
    from ledger.domain.flock import Flock
    from ledger.domain.partial_date import PartialDate
    from ledger.domain.people import Photo
    from ledger.services.ledger import Ledger


class Successor(StrEnum):
    """What the bird is known by from then on."""

    CHIP = "chip"
    RING = "ring"
    NOTHING = "nothing"


@dataclass(frozen=True, slots=True)
class RemovalDraft:
    """All that a keeper enters before anything is stored."""

    bird: str
    """Bird id."""
    on: PartialDate
    ring: str | None = None
    """Ring id; None: no ring comes off, only a chip goes in."""
    reason: str = ""
    vet: str = ""
    """Who took the ring off, or put the chip in."""
    handlers: tuple[str, ...] = ()
    ring_kept: str = ""
    """Where the ring is kept; "" when it is not."""
    weight_g: float | None = None
    successor: Successor = Successor.CHIP
    chip: str = ""
    """The chip's code as typed."""
    site: str = ""
    scan: str = ""
    """What the scanner showed when the chip was in."""
    rule: str = ""
    """Key of the rule on chips that is held to."""
    override: str = ""
    """The vet's reason for chipping against it."""
    new_ring: Ring | None = None
    task_due: PartialDate | None = None
    """By when chip or ring shall follow, where nothing takes the place."""
    photos: tuple[Path, ...] = ()
    notes: str = ""


def take_off(ledger: Ledger, draft: RemovalDraft, author: str) -> Removal:
    """Store what was entered, all of it or nothing.

    Args:
        ledger: An open ledger.
        draft: What was entered.
        author: Who enters it.

    Returns:
        What the removal paper says.

    Raises:
        RuleError: an objection stands, or a rule of the flock says no.
        NotFoundError: there is no such bird, ring or photo.
        StoreError: it could not be stored.
    """
    flock = ledger.flock
    bird = bird_of(flock, draft.bird)
    for objection in objections(flock, draft):
        raise RuleError(objection.sentence, objection.remedy)
    refuse_if_read_only(ledger)
    photos = keep_photos(
        ledger,
        draft.photos,
        bird_id=bird.id,
        ring_id=draft.ring,
        taken=draft.on if draft.on.is_whole else None,
    )
    new_photos = [photo for photo in photos if photo.id not in flock.photos]
    act = _Act(flock, bird, draft, tuple(photos))
    changes = [*map(Put, new_photos), *act.changes()]
    ledger.commit(changes, author=author, what=act.what())
    return act.removal


class _Act:
    """The changes of one removal; ids follow those the flock has."""

    def __init__(
        self, flock: Flock, bird: Bird, draft: RemovalDraft, photos: tuple[Photo, ...]
    ) -> None:
        self._flock = flock
        self._bird = bird
        self._draft = draft
        self._events = 0
        self._photos = tuple(photo.id for photo in photos)
        self._old = flock.rings[draft.ring] if draft.ring else None
        self._code: ChipCode | None = None
        self._next: Ring | Chip | None = None
        if draft.successor is Successor.CHIP:
            self._code = chip_code(draft.chip)
            self._next = Chip(
                flock.next_id(Kind.CHIP),
                self._code.text,
                bird.id,
                draft.on,
                draft.site.strip(),
                draft.vet.strip(),
            )
        elif draft.successor is Successor.RING and draft.new_ring is not None:
            ring = from_stock(flock, draft.new_ring)
            self._next = replace(
                ring,
                id=ring.id or flock.next_id(Kind.RING),
                bird=bird.id,
                put_on=draft.on,
                state=RingState.ON_BIRD,
            )
        is_chip = isinstance(self._next, Chip)
        self.removal = Removal(
            flock.next_id(Kind.REMOVAL),
            bird.id,
            draft.ring,
            draft.on,
            draft.reason.strip(),
            draft.vet.strip(),
            draft.handlers,
            draft.ring_kept.strip(),
            self._next.id if self._next is not None and is_chip else None,
            draft.site.strip() if is_chip else "",
            chip_code(draft.scan).text if is_chip else "",
            draft.rule if is_chip else "",
            draft.override.strip() if is_chip else "",
            draft.weight_g,
            self._photos,
            draft.notes.strip(),
        )

    def what(self) -> str:
        """In the journal."""
        parts = []
        if self._old is not None:
            parts.append(f"{called_ring(self._old)} taken off {self._bird.title}")
        if self._code is not None:
            parts.append(
                f"chip {self._code.text} put in"
                if parts
                else f"chip {self._code.text} put in {self._bird.title}"
            )
        elif isinstance(self._next, Ring):
            parts.append(f"{called_ring(self._next)} put on")
        return ", ".join(parts)

    def changes(self) -> Iterator[Change]:
        """Everything, in order."""
        if self._next is not None:
            yield Put(self._next)
        off = self._ring_off()
        if self._old is not None and off is not None:
            yield Put(
                replace(
                    self._old,
                    state=RingState.REMOVED,
                    removed=self._draft.on,
                    removed_reason=self.removal.reason,
                    removed_by=self.removal.vet,
                    replaced_by=self._next.id if self._next else None,
                    kept=self.removal.ring_kept,
                )
            )
            yield Put(off)
        if isinstance(self._next, Chip):
            yield Put(
                self._event(
                    EventKind.CHIPPED,
                    text=self._next.code,
                    chip=self._next.id,
                    weight_g=None if off else self._draft.weight_g,
                )
            )
        elif isinstance(self._next, Ring):
            yield Put(
                self._event(
                    EventKind.RING_PUT_ON,
                    text=self._next.inscription,
                    ring=self._next.id,
                )
            )
        if off is not None and self._next is None and self._is_alive:
            yield Put(self._task(off))
        yield Put(self.removal)

    @property
    def _is_alive(self) -> bool:
        return self._bird.status is not Status.DEAD

    def _ring_off(self) -> Event | None:
        if self._old is None:
            return None
        return self._event(
            EventKind.RING_REMOVED,
            text=f"{self._old.inscription}: {self.removal.reason}",
            ring=self._old.id,
            chip=self.removal.chip,
            weight_g=self._draft.weight_g,
            photos=self._photos,
        )

    def _event(
        self,
        kind: EventKind,
        *,
        text: str,
        ring: str | None = None,
        chip: str | None = None,
        weight_g: float | None = None,
        photos: tuple[str, ...] = (),
    ) -> Event:
        event_id = self._flock.next_id(Kind.EVENT, after=self._events)
        self._events += 1
        return Event(
            event_id,
            self._bird.id,
            kind,
            self._draft.on,
            text=text,
            weight_g=weight_g,
            by=self.removal.vet,
            ring=ring,
            chip=chip,
            photos=photos,
        )

    def _task(self, because: Event) -> Task:
        return Task(
            self._flock.next_id(Kind.TASK),
            self._bird.id,
            TaskKind.OTHER,
            self._draft.task_due or self._draft.on,
            f"Chip or ring for {self._bird.title}: nothing took the place of ring "
            f"“{self._old.inscription if self._old else ''}”.",
            because.id,
        )
