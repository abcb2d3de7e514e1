"""Which bird stands before the keeper, at this aviary of a walk-through."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import Enum
from typing import TYPE_CHECKING

from ledger.domain.bird import Status
from ledger.domain.chip_code import chip_code
from ledger.domain.ring import compact
from ledger.domain.walk import SeenHow
from ledger.errors import RuleError
from ledger.rings.evidence import Evidence, Expectation, parse_fragment
from ledger.rings.index import index_of
from ledger.rings.last_signs import is_short, rank_endings, tails_of
from ledger.rings.matcher import rank
from ledger.services.identify import by_reading
from ledger.services.walk import counted, first_sightings, walk_of
from ledger.services.walk_plan import worn_ring

if TYPE_CHECKING:
    from ledger.domain.flock import Flock
    from ledger.rings.candidate import Verdict
    from ocr import Reading

STRAY = 0.03
"""Share of the birds in an aviary that should be elsewhere. Common practice, no
source: the keeper settles each of them, so the figure only orders the list."""
_AGAIN = 0.02
"""Weight of a bird already seen in this round against one still expected."""
PLAIN_FROM = 0.9
"""From this chance on, Enter takes a bird that is expected here."""
_LEAST, _LEAST_AT_ALL, _FEW = 0.01, 0.0005, 4
"""Birds less likely than the first are listed only while there are few."""
_SHORTEST_CHIP = 9
_MOST = 12


class Standing(Enum):
    """What it means that this bird is seen here."""

    EXPECTED = "expected here"
    SEEN = "seen already"
    ELSEWHERE = "should be elsewhere"
    NO_AVIARY = "no aviary entered"
    PLACED = "recorded as placed"
    DEAD = "recorded as dead"
    LOST = "recorded as lost"


@dataclass(frozen=True)
class Fit:
    """A bird that it may be."""

    bird_id: str
    name: str
    ring_id: str | None
    ring: str
    probability: float
    standing: Standing
    said: str
    """What is special about seeing it here, as a sentence; "" for nothing."""


@dataclass(frozen=True)
class Found:
    """What a fragment, a chip or photos say at this aviary."""

    fits: tuple[Fit, ...]
    """The likeliest first."""
    stranger: float
    """Chance that it is a ring of none of our birds, 0..1."""
    how: SeenHow
    read: str
    said: str = ""
    """What the keeper should know of what was typed, as a sentence."""

    @property
    def is_plain(self) -> bool:
        """One bird, expected here and not seen yet: nothing to ask."""
        first = self.fits[0] if self.fits else None
        return (
            first is not None
            and first.standing is Standing.EXPECTED
            and first.probability >= PLAIN_FROM
        )

    @property
    def is_open(self) -> bool:
        """Several birds may be meant: the keeper chooses, or types one sign more."""
        return bool(self.fits) and self.fits[0].probability < PLAIN_FROM


def expectation(flock: Flock, walk_id: str, stop: int) -> Expectation:
    """Who should be at this aviary, for the matcher."""
    walk = walk_of(flock, walk_id)
    seen = frozenset(first_sightings(flock, walk_id))
    here = frozenset(walk.stops[stop].birds) - seen
    others = max(len(flock.birds) - len(here), 1)
    return Expectation(here, seen, STRAY * max(len(here), 1) / others, _AGAIN)


def prepare(flock: Flock) -> None:
    """Do ahead what the first ranking needs; seconds for 10,000 birds."""
    tails_of(flock)
    index_of(flock)


def by_text(flock: Flock, walk_id: str, stop: int, typed: str) -> Found:
    """Rank the birds by what was typed: signs of a ring, or a chip's number.

    Args:
        flock: The flock.
        walk_id: The round.
        stop: The aviary, its place in the round from 0.
        typed: As typed; `?` and `*` as everywhere, case and O for 0 as they come.
    """
    expected = expectation(flock, walk_id, stop)
    chips = _by_chip(flock, walk_id, stop, typed)
    if chips is not None:
        return chips
    said = _strange_signs(typed)
    if is_short(typed):
        endings, stranger = rank_endings(flock, typed, expected)
        found = [(e.ring.bird, e.ring.id, e.ring.inscription, e.probability)
                 for e in endings[:_MOST]]  # fmt: skip
    else:
        seen = Evidence(parse_fragment(typed), typed=True, expected=expected)
        ranking = rank(flock, seen)
        stranger = ranking.none_of_ours
        found = [
            (one.bird.id, one.ring.id, one.ring.inscription, one.probability)
            for one in ranking.left[:_MOST]
            if one.bird is not None
        ]
        if ranking.verdict == "unknown ring":
            found = []
    fits = tuple(
        _fit(flock, walk_id, stop, bird, ring, text, chance)
        for number, (bird, ring, text, chance) in enumerate(found)
        if bird in flock.birds
        and chance >= (_LEAST if number >= _FEW else _LEAST_AT_ALL)
    )
    return Found(fits, stranger, SeenHow.TYPED, typed.strip(), said)


def by_photos(
    flock: Flock, walk_id: str, stop: int, reading: Reading
) -> tuple[Found, Verdict]:
    """Rank the birds by photos of one ring.

    Args:
        flock: The flock.
        walk_id: The round.
        stop: The aviary where they were taken.
        reading: Of all the photos of the ring.
    """
    expected = expectation(flock, walk_id, stop)
    found = by_reading(flock, reading, expected=expected)
    fits = tuple(
        _fit(flock, walk_id, stop, one.bird, one.ring_id, one.ring, one.probability)
        for one in found.candidates
        if one.bird is not None
    )
    stranger = found.none_of_ours
    return (
        Found(fits, stranger, SeenHow.PHOTO, reading.text, found.look_next),
        found.verdict,
    )


def by_sight(flock: Flock, walk_id: str, stop: int, bird_id: str) -> Found:
    """A bird the keeper knows without reading its ring."""
    ring = worn_ring(flock, bird_id)
    fit = replace(_fit(flock, walk_id, stop, bird_id, None, ring, 1.0), ring_id=None)
    return Found((fit,), 0.0, SeenHow.BY_SIGHT, "")


def _by_chip(flock: Flock, walk_id: str, stop: int, typed: str) -> Found | None:
    """The bird of a chip whose number was typed; None where it is no such number."""
    signs = compact(typed)
    if len(signs) < _SHORTEST_CHIP or not any(sign.isdigit() for sign in signs):
        return None
    chips = flock.chips_coded(signs)
    if not chips:
        try:
            code = chip_code(typed)
        except RuleError:
            return None
        chips = flock.chips_coded(code.text)
        if not chips:
            if code.iso is None:  # nine or ten signs may stand on a ring as well
                return None
            return Found(
                (), 1.0, SeenHow.CHIP, typed.strip(),
                "This is a chip's number, and none of your birds carries it.",
            )  # fmt: skip
    fits = tuple(
        replace(
            _fit(flock, walk_id, stop, chip.bird, None, f"chip {chip.code}", 1.0),
            probability=1.0 / len(chips),
        )
        for chip in chips
        if chip.bird in flock.birds
    )
    return Found(
        fits, 0.0, SeenHow.CHIP, typed.strip(), "This is a chip's number, not a ring's."
    )


def _strange_signs(typed: str) -> str:
    """Says which signs stand on no ring."""
    allowed = set(" ./-,?*")
    strange = sorted({s for s in typed if not (s.isascii() and s.isalnum())} - allowed)
    if not strange:
        return ""
    named = " ".join(strange)
    return f"No ring that we know bears {named}: look again, or type ? for it."


def _fit(
    flock: Flock,
    walk_id: str,
    stop: int,
    bird_id: str | None,
    ring_id: str | None,
    ring: str,
    chance: float,
) -> Fit:
    bird = flock.birds[bird_id or ""]
    standing, said = _standing(flock, walk_id, stop, bird.id)
    return Fit(bird.id, bird.title, ring_id, ring, chance, standing, said)


def _standing(
    flock: Flock, walk_id: str, stop: int, bird_id: str
) -> tuple[Standing, str]:
    walk = walk_of(flock, walk_id)
    here = walk.stops[stop]
    bird = flock.birds[bird_id]
    before = first_sightings(flock, walk_id).get(bird_id)
    if before is not None:
        seen_in = {s.aviary for s in counted(flock, walk_id) if s.bird == bird_id}
        if compact(here.aviary) in map(compact, seen_in):
            said = f"{bird.title} was seen here already, at {_clock(before.time)}."
        else:
            said = (
                f"{bird.title} was seen in {before.aviary} already, at "
                f"{_clock(before.time)}: two birds with one ring, or it flew over."
            )
        return Standing.SEEN, said
    if bird_id in here.birds:
        return Standing.EXPECTED, ""
    if bird.status is Status.DEAD:
        return Standing.DEAD, f"{bird.title} is recorded as dead, and yet here it is."
    if bird.status is Status.PLACED:
        return (
            Standing.PLACED,
            f"{bird.title} is recorded as placed elsewhere, and yet here it is.",
        )
    if bird.status is Status.LOST:
        return Standing.LOST, f"{bird.title} is recorded as lost, and yet here it is."
    should = expected_at(flock, walk_id, bird_id) or bird.location
    if not should:
        return Standing.NO_AVIARY, f"{bird.title} has no aviary entered."
    return Standing.ELSEWHERE, f"{bird.title} should be in {should}."


def expected_at(flock: Flock, walk_id: str, bird_id: str) -> str:
    """The aviary where the round expects a bird; "" for none."""
    stops = walk_of(flock, walk_id).stops
    return next((stop.aviary for stop in stops if bird_id in stop.birds), "")


def _clock(time: str) -> str:
    return time[11:16]
