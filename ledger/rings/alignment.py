"""Which character of an inscription each place of a reading shows, for one ring."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from ledger.rings.alphabet import CODE, MARKS, OTHER, TWIN, chances_of, turned_chances
from ledger.rings.pieces import Inscription, inscribed

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from numpy.typing import NDArray

    from ledger.rings.evidence import Evidence, EvidenceLine, Slot

_SKIP_COST = 4.0
_FALSE_SLOT_COST = 4.5
_TURN_COST = 4.0
_JUMP_COST = 1.0
_JUMP_AT_GAP_COST = 3.0
"""In nats; close to the chances that the sweep over all rings works with."""
_WHOLE_STRAY = 0.0
AS_WELL = 0.5
"""Nats less that mean nothing."""
_SHOWN = 0.02
_FIRST = np.iinfo(np.intp).max
"""Came from no place: no slot before showed anything."""


@dataclass(frozen=True)
class Shown:
    """One place of the reading and the character it shows."""

    slot: Slot
    at: int | None
    """Place in the inscription's signs; None where it shows none of them."""


@dataclass(frozen=True)
class Alignment:
    """A reading laid on one inscription."""

    inscription: Inscription
    lines: tuple[tuple[Shown, ...], ...]
    upside_down: bool = False
    score: float = 0.0
    """The log of its likelihood relative to chance, about."""

    def seen(self, least: float = 0.02) -> frozenset[int]:
        """Places of the inscription that the reading shows as recorded.

        Args:
            least: With more than this chance; O for 0 and I for 1 count as read.
        """
        signs = self.inscription.signs

        def told(slot: Slot, sign: str) -> float:
            alike = (sign, TWIN[sign]) if sign in TWIN else (sign,)
            return sum(chance_of(slot, one, self.upside_down) for one in alike)

        return frozenset(
            shown.at
            for line in self.lines
            for shown in line
            if shown.at is not None
            and shown.slot.chances
            and told(shown.slot, signs[shown.at]) > least
        )

    def contradictions(self, least: float) -> list[Shown]:
        """Places read as something else with at least this chance.

        A point or a dash more is none: dirt looks like them, records leave them out.
        """
        signs = self.inscription.signs
        return [
            shown
            for line in self.lines
            for shown in line
            if shown.slot.probability >= least
            and shown.slot.text not in MARKS
            and (
                shown.at is None
                or chance_of(shown.slot, signs[shown.at], self.upside_down) < 0.2
            )
        ]


def chance_of(slot: Slot, sign: str, upside_down: bool = False) -> float:
    """Chance, confusions included, that this sign truly stands in this slot."""
    chances = chances_of(dict(slot.chances), typed=False)
    if upside_down:
        chances = turned_chances(chances)
    return float(chances[CODE.get(sign, OTHER)])


def align(evidence: Evidence, text: str) -> Alignment:
    """Lay the reading on the inscription the best way there is."""
    inscription = inscribed(text)
    upright = _laid(evidence, inscription, upside_down=False)
    if not upright.contradictions(0.5):
        return upright
    turned = _laid(evidence, inscription, upside_down=True)
    return turned if turned.score - _TURN_COST > upright.score else upright


def reweighed(
    views: Sequence[Evidence],
    texts: Sequence[str],
    fits: NDArray[np.float64],
    weight: Callable[[Evidence, Alignment], float],
    *,
    as_likely: float,
    most: int,
) -> NDArray[np.float64]:
    """The (n,) likelihoods of texts, times a weight by how the reading lies on each.

    Args:
        views: What of the reading weighs, each laid by itself. The least weight
            counts, for photos of one ring do not tell it twice; none: all stay.
        texts: Inscriptions on record.
        fits: (n,) likelihoods.
        weight: Of a view laid on an inscription.
        as_likely: Texts less likely than this, against the likeliest, stay.
        most: If more texts than this are so likely, all stay.
    """
    close = np.flatnonzero(fits >= as_likely * fits.max(initial=0.0))
    if not views or len(close) > most:
        return fits
    told = fits.copy()
    told[close] *= [
        min(weight(view, align(view, texts[int(i)])) for view in views) for i in close
    ]
    return told


def _laid(
    evidence: Evidence, inscription: Inscription, *, upside_down: bool
) -> Alignment:
    """Each line where it fits best; of places as good, those no longer line shows."""
    score, taken = 0.0, frozenset[int]()
    lines: list[tuple[Shown, ...]] = [()] * len(evidence.lines)
    for i in sorted(range(len(lines)), key=lambda i: -len(evidence.lines[i].slots)):
        line = evidence.lines[i]
        fit, lines[i] = laid_line(line, inscription, upside_down)
        places = places_of(lines[i], inscription, upside_down)
        if taken & places:
            elsewhere, free = laid_line(line, inscription, upside_down, taken)
            if elsewhere > fit - AS_WELL:
                lines[i], places = free, places_of(free, inscription, upside_down)
        score += fit
        taken |= places
    return Alignment(inscription, tuple(lines), upside_down, score)


def places_of(
    line: Sequence[Shown], inscription: Inscription, upside_down: bool
) -> frozenset[int]:
    """Places of the inscription that a laid line shows."""
    return frozenset(
        shown.at
        for shown in line
        if shown.at is not None
        and chance_of(shown.slot, inscription.signs[shown.at], upside_down) > _SHOWN
    )


def laid_line(
    line: EvidenceLine,
    inscription: Inscription,
    upside_down: bool,
    taken: frozenset[int] = frozenset(),
) -> tuple[float, tuple[Shown, ...]]:
    """Score and places on the best circle: the whole ring, or one of its lines.

    Args:
        line: As read.
        inscription: As recorded.
        upside_down: The ring was read the wrong way up.
        taken: Places of the inscription that other lines show.

    Returns:
        The log of its likelihood relative to chance, about; and what each slot shows.
    """
    n = len(inscription.signs)
    circles = [list(range(n))]
    bounds = inscription.line_bounds()
    if len(bounds) > 1:
        circles += [list(range(a, b)) for a, b in bounds if b - a > 3]
    ways = [_on_circle(line, inscription, c, upside_down, taken) for c in circles if c]
    stray = (_WHOLE_STRAY, tuple(Shown(slot, None) for slot in line.slots))
    return max([*ways, stray], key=lambda way: way[0])


def _on_circle(
    line: EvidenceLine,
    inscription: Inscription,
    circle: Sequence[int],
    upside_down: bool,
    taken: frozenset[int],
) -> tuple[float, tuple[Shown, ...]]:
    slots = line.slots[::-1] if upside_down else line.slots
    track = [*circle, *circle]
    codes = [CODE.get(inscription.signs[at], OTHER) for at in track]
    rows = np.array([chances_of(dict(slot.chances), typed=False) for slot in slots])
    if upside_down:
        rows = np.array([turned_chances(row) for row in rows])
    fits = np.log(rows[:, codes] * rows.shape[1])
    if taken:
        free = np.array([at not in taken for at in track])
        fits = np.where(free, fits, np.minimum(fits, -_FALSE_SLOT_COST))
    jumps = [_jump_cost(slot) for slot in slots]
    score, places = _trace(fits, jumps, len(circle))
    shown = [
        Shown(slot, None if place is None else track[place])
        for slot, place in zip(slots, places, strict=True)
    ]
    return score, tuple(shown[::-1] if upside_down else shown)


def _jump_cost(slot: Slot) -> float:
    """What it costs to leave out any number of characters before this place."""
    if slot.run_before:
        return _JUMP_COST
    return _JUMP_AT_GAP_COST if slot.gap_before else np.inf


def _trace(
    fits: NDArray[np.float64], jumps: Sequence[float], n_starts: int
) -> tuple[float, list[int | None]]:
    """Best path of slots over places: on by one, over a missed one, or staying."""
    wide = fits.shape[1]
    best = np.full(wide, -np.inf)
    best[:n_starts] = fits[0, :n_starts]
    places_from = np.arange(wide)
    came: list[NDArray[np.intp]] = []
    for at, (fit, jump) in enumerate(zip(fits[1:], jumps[1:], strict=True), 1):
        # Row 0: the slot shows nothing; rows 1 to 3: one, two, three places on; row 4:
        # any number on; row 5: it is the first to show anything.
        ways = np.full((6, wide), -np.inf)
        ways[0] = best - _FALSE_SLOT_COST - fit
        for on in (1, 2, 3):
            ways[on, on:] = best[:-on] - _SKIP_COST * (on - 1)
        furthest = np.maximum.accumulate(best)
        ways[4, 1:] = furthest[:-1] - jump
        ways[5, :n_starts] = -_FALSE_SLOT_COST * at
        way = ways.argmax(axis=0)
        left = np.maximum.accumulate(np.where(best == furthest, places_from, 0))
        origin = np.where(way == 4, np.roll(left, 1), places_from - way)
        origin = np.where(way == 5, _FIRST, origin)
        came.append(np.where(way == 0, -1 - places_from, origin))
        best = ways.max(axis=0) + fit
    at = int(best.argmax())
    score = float(best[at])
    places: list[int | None] = []
    for back in reversed(came):
        origin_at = int(back[at])
        places.append(None if origin_at < 0 else at)
        if origin_at == _FIRST:
            break
        at = -1 - origin_at if origin_at < 0 else origin_at
    else:
        places.append(at)
    places += [None] * (len(fits) - len(places))
    return score, places[::-1]
