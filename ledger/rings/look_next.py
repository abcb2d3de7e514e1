"""The one thing to look at next, in words."""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING

from ledger.domain.ring import Chip, RingState
from ledger.rings.alignment import chance_of
from ledger.rings.features import Feature, features, field_texts
from ledger.rings.fields import Field
from ledger.rings.serial import fields_of, serial_places

if TYPE_CHECKING:
    from collections.abc import Sequence

    from ledger.domain.flock import Flock
    from ledger.rings.alignment import Alignment
    from ledger.rings.candidate import Candidate, Left, Ranking
    from ledger.rings.evidence import Evidence

_NO_RING = (
    "take another photo: the ring large and sharp, without glare; or type what you "
    "can read"
)
_NOTHING_LEGIBLE = (
    "type what is legible, ? for one character and * for any number of them"
)
_PHOTO_BETWEEN = (
    "take one more photo, between the others: characters that repeat may be missing "
    "or read twice"
)
_WORTH_LOOKING = 0.25
"""Fewer bits than this are not worth a look."""
_MOST_NAMED = 4


def look_next(ranking: Ranking, evidence: Evidence, flock: Flock) -> str:
    """What to look at next, so that fewer birds are left; "" if nothing is."""
    if ranking.verdict == "no ring":
        return _NO_RING
    if not evidence.n_legible:
        return _NOTHING_LEGIBLE
    if ranking.verdict == "unknown ring":
        return _of_unknown(ranking)
    top = ranking.candidates[0]
    if ranking.verdict == "sure":
        return _of_sure(top, flock)
    if "no bird" in ranking.doubts and ranking.n_left == 1:
        return (
            f"ring {top.ring.inscription} is {_whereabouts(top)}: see whether it was "
            "put on this bird, and enter that"
        )
    choices = features(ranking.left, evidence, flock, ranking.year_now)
    best = max(choices, key=lambda feature: feature.gain(ranking.left))
    if ranking.n_left > 1 and best.gain(ranking.left) > _WORTH_LOOKING:
        return _question(best, ranking, top)
    return _of_one(top, ranking)


def _whereabouts(top: Candidate) -> str:
    if top.ring.state is RingState.IN_STOCK:
        return "in stock and on no bird"
    return f"entered as {top.ring.state}, for no bird"


def _of_unknown(ranking: Ranking) -> str:
    slips = _slips(ranking.candidates[0]) if ranking.candidates else ""
    if slips:
        return f"{slips}; if it was read rightly, this is none of our rings"
    return (
        "no ring on record reads so: read the country and the breeder's letters, "
        "and have the ring explained"
    )


def _of_sure(top: Candidate, flock: Flock) -> str:
    """Nothing, but for a ring that should not be on any leg."""
    if top.ring.state is not RingState.REMOVED or top.bird is None:
        return ""
    replaced = flock.mark(top.ring.replaced_by)
    chips = flock.chips_of(top.bird.id)
    chip = replaced if isinstance(replaced, Chip) else chips[-1] if chips else None
    if chip is not None:
        return f"scan the chip: {chip.code} is {top.bird.title}"
    return "this ring was taken off: is it on a leg, and on whose?"


def _question(best: Feature, ranking: Ranking, top: Candidate) -> str:
    answers = _answers(best, ranking.left)
    if ranking.none_of_ours > 0.15:
        answers += "; anything else is none of ours"
    if ranking.n_left > len(ranking.left):
        answers = f"{ranking.n_left} birds fit"
    turn = _turn(best.field, top, ranking.year_now)
    if turn:
        return f"{turn}: {best.what} is not in view; {answers}"
    again = " again" if _is_seen(best, top, ranking.year_now) else ""
    return f"{best.ask} {best.what}{again}: {answers}"


def _is_seen(best: Feature, top: Candidate, year_now: int) -> bool:
    """The very characters were read, and left a doubt."""
    places = _places(best.field, top, year_now)
    if best.at is not None:
        places = places[best.at : best.at + 1]
    return bool(places) and set(places) <= top.alignment.seen()


def _answers(best: Feature, left: Sequence[Left]) -> str:
    birds: dict[str, list[Left]] = defaultdict(list)
    for one, value in zip(left, best.values, strict=True):
        birds[value].append(one)
    known = [value for value in birds if value]
    named = [f"{value} is {_named(birds[value], left)}" for value in known]
    more = len(named) - _MOST_NAMED
    if more > 0:
        return f"{', '.join(named[: _MOST_NAMED - 1])}, and {more + 1} more"
    return ", ".join(named)


def _named(birds: Sequence[Left], left: Sequence[Left]) -> str:
    first = birds[0]
    name = first.called
    if sum(one.called == name for one in left) > 1:
        name = f"{name} ({first.ring.inscription})"
    others = len(birds) - 1
    if others == 1:
        return f"{name} or {birds[1].called}"
    return f"{name} or {others} others" if others else name


def _places(field: Field | None, top: Candidate, year_now: int) -> tuple[int, ...]:
    parts = fields_of(top.ring.inscription, year_now)
    return next((places for part, places in parts if part is field), ())


def _turn(field: Field | None, top: Candidate, year_now: int) -> str:
    """Which way to turn the ring, where no character of the field is in view."""
    places = _places(field, top, year_now)
    seen = top.alignment.seen()
    if not places or seen & set(places) or not seen:
        return ""
    n = len(top.alignment.inscription.signs)
    before = places[0] - 1
    if before in seen:
        return (
            f"turn the ring to the right of “{_word(top.alignment, before, seen, -1)}”"
        )
    after = (places[-1] + 1) % n
    if after in seen:
        return f"turn the ring to the left of “{_word(top.alignment, after, seen, 1)}”"
    return "turn the ring"


def _word(laid: Alignment, at: int, seen: frozenset[int], step: int) -> str:
    """The word in view that holds this place, as far as it is in view."""
    inscription = laid.inscription
    edges = inscription.gaps | set(inscription.line_starts)
    taken = [at]
    while True:
        is_edge = taken[-1] in edges if step < 0 else taken[-1] + 1 in edges
        following = taken[-1] + step
        if is_edge or following not in seen:
            return "".join(inscription.signs[place] for place in sorted(taken))
        taken.append(following)


def _of_one(top: Candidate, ranking: Ranking) -> str:
    """One bird is left, and something still stands against being sure."""
    name = top.bird.title if top.bird else f"ring {top.ring.inscription}"
    if "photos lie otherwise" in ranking.doubts:
        return _PHOTO_BETWEEN
    if "seen at an edge" in ranking.doubts:
        return (
            f"take one more photo, from further round and with both rims free: what "
            f"tells {name} from others is seen only at an edge"
        )
    slips = _slips(top)
    if "contradiction" in ranking.doubts and slips:
        return slips
    if "serial unseen" in ranking.doubts:
        serial = serial_places(top.ring.inscription, ranking.year_now)
        signs = top.alignment.inscription.signs
        text = "".join(signs[at] for at in sorted(serial))
        turn = _turn(Field.SERIAL, top, ranking.year_now)
        return f"{turn or 'read the whole serial'}: {text} is {name}"
    if "other order" in ranking.doubts:
        return (
            f"read once round the ring: on that of {name} the lines follow one another "
            f"as {top.ring.inscription}"
        )
    if "upside down" in ranking.doubts:
        return f"see which way up the letters stand: upside down this is {name}"
    texts = field_texts(top.ring.inscription, ranking.year_now)
    seen = top.alignment.seen()
    for field in (Field.FLOCK_CODE, Field.RING_YEAR, Field.COUNTRY):
        places = _places(field, top, ranking.year_now)
        if places and not set(places) <= seen:
            what = "breeder's letters" if field is Field.FLOCK_CODE else str(field)
            turn = _turn(field, top, ranking.year_now)
            look = f"{turn} and read the {what}" if turn else f"read the {what}"
            return f"{look}: {texts[field]} is {name}, anything else a stranger's ring"
    return _weakest(top, name)


def _weakest(top: Candidate, name: str) -> str:
    """The character read with the least certainty."""
    signs, laid = top.alignment.inscription.signs, top.alignment
    shown = [one for line in laid.lines for one in line if one.at is not None]
    if not shown:
        return f"read the rest of the ring: {top.ring.inscription} is {name}"
    chances = [chance_of(one.slot, signs[one.at or 0]) for one in shown]
    weakest = shown[chances.index(min(chances))]
    sign = signs[weakest.at or 0]
    after = signs[: weakest.at][-3:]
    place = f"after “{after}”" if after else "at the beginning"
    return f"look again at the character {place}: {sign} is {name}"


def _slips(top: Candidate) -> str:
    """The character that speaks most against the bird."""
    slips = top.alignment.contradictions(0.5)
    if not slips:
        return ""
    worst = max(slips, key=lambda shown: shown.slot.probability)
    name = top.bird.title if top.bird else f"ring {top.ring.inscription}"
    if worst.at is None:
        return f"look again at “{worst.slot.text}”: it is not on the ring of {name}"
    sign = top.alignment.inscription.signs[worst.at]
    return f"look again at “{worst.slot.text}”: on the ring of {name} it is {sign}"
