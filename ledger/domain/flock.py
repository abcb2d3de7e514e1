"""The whole flock in memory, with every way to look something up in it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from ledger.domain.indexes import oldest_first
from ledger.domain.ring import Chip, Ring, RingState, compact, lookalike
from ledger.domain.things import Things

if TYPE_CHECKING:
    from ledger.domain.bird import Bird
    from ledger.domain.breeding import Clutch, Pair
    from ledger.domain.enquiry import Enquiry
    from ledger.domain.event import Event
    from ledger.domain.partial_date import PartialDate
    from ledger.domain.people import Photo, Placement
    from ledger.domain.removal import Removal
    from ledger.domain.task import Task
    from ledger.domain.walk import Sighting


@dataclass(frozen=True, slots=True)
class Sibling:
    """A brother or sister, and what they share."""

    bird: Bird
    through: Literal["both", "sire", "dam"]

    @property
    def is_full(self) -> bool:
        """Both parents are known and the same."""
        return self.through == "both"


@dataclass(frozen=True, slots=True)
class ChainLink:
    """One mark in a bird's identity chain."""

    mark: Ring | Chip
    since: PartialDate | None
    until: PartialDate | None
    """When it came off; None while it is on."""
    reason: str
    replaced_by: Ring | Chip | None

    @property
    def is_on(self) -> bool:
        """The bird carries it now."""
        return self.until is None and not self.reason


class Flock(Things):
    """The flock: things by id, and what belongs to what."""

    __slots__ = ()

    def rings_of(self, bird_id: str) -> tuple[Ring, ...]:
        """Rings it wears or wore, first put on first."""
        return self._indexes["rings"][bird_id]

    def chips_of(self, bird_id: str) -> tuple[Chip, ...]:
        """Its chips, first implanted first."""
        return self._indexes["chips"][bird_id]

    def events_of(self, bird_id: str) -> tuple[Event, ...]:
        """What happened to it, newest first."""
        return self._indexes["events"][bird_id]

    def last_sightings(self) -> list[Event]:
        """The newest sighting of every bird that was ever sighted."""
        return [events[0] for _, events in self._indexes["sightings"].items()]

    def placements_of(self, bird_id: str) -> tuple[Placement, ...]:
        """Its placements, first first."""
        return self._indexes["placements"][bird_id]

    def photos_of(self, bird_id: str) -> tuple[Photo, ...]:
        """Its photos."""
        return self._indexes["photos"][bird_id]

    def young_of(self, bird_id: str) -> tuple[Bird, ...]:
        """Its young, first hatched first."""
        return self._indexes["young"][bird_id]

    def pairs_of(self, bird_id: str) -> tuple[Pair, ...]:
        """Pairs it was or is part of, first first."""
        return self._indexes["pairs"][bird_id]

    def clutches_of(self, pair_id: str) -> tuple[Clutch, ...]:
        """Clutches of a pair, first laid first."""
        return self._indexes["clutches"][pair_id]

    def parents_of(self, bird_id: str) -> tuple[Bird | None, Bird | None]:
        """Sire and dam, as far as the ledger knows them."""
        bird = self.birds[bird_id]
        return self.birds.get(bird.sire or ""), self.birds.get(bird.dam or "")

    def siblings_of(self, bird_id: str) -> tuple[Sibling, ...]:
        """Full siblings first, then those that share the sire, then the dam."""
        bird = self.birds[bird_id]
        of_sire = self._indexes["young"][bird.sire] if bird.sire else ()
        of_dam = self._indexes["young"][bird.dam] if bird.dam else ()
        dam_ids = {young.id for young in of_dam}
        full = [b for b in of_sire if b.id in dam_ids]
        full_ids = {b.id for b in full} | {bird_id}
        return (
            *(Sibling(b, "both") for b in full if b.id != bird_id),
            *(Sibling(b, "sire") for b in of_sire if b.id not in full_ids),
            *(Sibling(b, "dam") for b in of_dam if b.id not in full_ids),
        )

    def rings_in(self, series_id: str) -> tuple[Ring, ...]:
        """Rings of a series, as entered."""
        return self._indexes["series_rings"][series_id]

    def rings_in_stock(self) -> tuple[Ring, ...]:
        """Rings that wait for a bird, as entered."""
        return self._indexes["stock"][RingState.IN_STOCK]

    def tasks_of(self, bird_id: str) -> tuple[Task, ...]:
        """Tasks about it, first due first."""
        return self._indexes["tasks"][bird_id]

    def removals_of(self, bird_id: str) -> tuple[Removal, ...]:
        """Rings that came off it with a paper, first first."""
        return self._indexes["removals"][bird_id]

    def enquiries_of(self, bird_id: str) -> tuple[Enquiry, ...]:
        """Enquiries about it, first first."""
        return self._indexes["enquiries"][bird_id]

    def sightings_in(self, walk_id: str) -> tuple[Sighting, ...]:
        """Sightings of a walk-through, as entered."""
        return self._indexes["walk_sightings"][walk_id]

    def identity_chain(self, bird_id: str) -> tuple[ChainLink, ...]:
        """Every ring and chip it ever carried, first first."""
        links = [
            ChainLink(
                ring,
                ring.put_on,
                ring.removed,
                ring.removed_reason or ("" if _is_worn(ring) else str(ring.state)),
                self.mark(ring.replaced_by),
            )
            for ring in self.rings_of(bird_id)
        ]
        links += [
            ChainLink(chip, chip.implanted, None, "", None)
            for chip in self.chips_of(bird_id)
        ]
        return tuple(
            sorted(links, key=lambda link: oldest_first(link.since, link.mark))
        )

    def mark(self, mark_id: str | None) -> Ring | Chip | None:
        """The ring or chip with this id."""
        if mark_id is None:
            return None
        return self.rings.get(mark_id) or self.chips.get(mark_id)

    def rings_inscribed(self, inscription: str) -> tuple[Ring, ...]:
        """Rings with these letters and digits; spaces, case, line ends aside."""
        return self._indexes["inscriptions"][compact(inscription)]

    def rings_like(self, inscription: str) -> tuple[Ring, ...]:
        """Rings that read so, or so like it that one is taken for the other."""
        return self._indexes["lookalikes"][lookalike(inscription)]

    def chips_coded(self, code: str) -> tuple[Chip, ...]:
        """Chips with this code; spaces aside."""
        return self._indexes["codes"][compact(code)]

    def birds_named(self, name: str) -> tuple[Bird, ...]:
        """Birds of this name; case and spaces aside."""
        return self._indexes["names"][compact(name)]

    def bird_by(self, words: str) -> list[Bird]:
        """Birds with this id, name, ring inscription, ring id, chip code or chip id.

        Removed and replaced rings count. An id ends the search: it is one bird's.
        """
        exact = words.strip().lower()
        if exact in self.birds:
            return [self.birds[exact]]
        wanted = compact(words)
        if not wanted:
            return []
        marks = [
            *self._indexes["inscriptions"][wanted],
            *self._indexes["codes"][wanted],
            *filter(None, [self.mark(exact)]),
        ]
        found = {bird.id: bird for bird in self._indexes["names"][wanted]}
        for mark in marks:
            bird = self.birds.get(mark.bird or "")
            if bird:
                found[bird.id] = bird
        return list(found.values())


def _is_worn(ring: Ring) -> bool:
    return ring.state is RingState.ON_BIRD and ring.removed is None
