"""What else is known of the bird in hand, weighed against what is on record.

The weights are mild on purpose: characters decide, these only order what the
characters leave open. Common practice, no source, unless one is named.
"""

from __future__ import annotations

import unicodedata
from typing import TYPE_CHECKING

from ledger.domain.bird import Bird, Sex, Status
from ledger.domain.ring import Leg, Ring, RingKind, RingState

if TYPE_CHECKING:
    from ledger.rings.evidence import Evidence

_STATUS = {
    Status.ALIVE: 1.0,
    Status.PLACED: 0.3,
    Status.LOST: 0.3,
    Status.DEAD: 0.05,
}
_STATE = {
    RingState.ON_BIRD: 1.0,
    RingState.REMOVED: 0.05,
    RingState.LOST: 0.1,
    RingState.SPOILED: 0.03,
    RingState.IN_STOCK: 0.1,
}
_WITHOUT_BIRD = 0.1

_COLOUR_WORDS = {
    "silver": "silver", "aluminium": "silver", "aluminum": "silver", "alu": "silver",
    "steel": "silver", "metal": "silver", "grey": "silver", "gray": "silver",
    "natural": "silver", "plain": "silver", "lightblue": "lightblue",
    "limegreen": "lightgreen", "lightgreen": "lightgreen", "purple": "violet",
    "golden": "gold",
}  # fmt: skip
_ALIKE = (
    {"silver", "white"}, {"silver", "black"}, {"gold", "yellow", "orange", "brown"},
    {"red", "orange", "pink", "brown"}, {"violet", "blue", "pink"},
    {"blue", "lightblue"}, {"blue", "black"}, {"green", "lightgreen"},
    {"lightgreen", "yellow"}, {"lightblue", "silver"}, {"lightblue", "green"},
)  # fmt: skip


def colour_name(words: str) -> str:
    """A ring's colour in one word: `stainless steel` is silver.

    Example:
        >>> colour_name("Stainless steel"), colour_name("light blue")
        ('silver', 'lightblue')
    """
    parts = unicodedata.normalize("NFKC", words).casefold().replace("-", " ").split()
    whole = "".join(parts)
    if whole in _COLOUR_WORDS:
        return _COLOUR_WORDS[whole]
    for part in parts:
        if part in _COLOUR_WORDS:
            return _COLOUR_WORDS[part]
    if parts and parts[0] in ("dark", "pastel", "bright"):
        parts = parts[1:]
    return parts[-1] if parts else ""


def fit_of_colour(seen: str, on_record: str) -> float:
    """How well a colour seen fits one on record; light and age turn colours."""
    one, other = colour_name(seen), colour_name(on_record)
    if not one:
        return 1.0
    if not other:
        return 0.4
    if one == other:
        return 1.0
    return 0.3 if any({one, other} <= group for group in _ALIKE) else 0.04


def weight_of(ring: Ring, bird: Bird | None) -> float:
    """Weight of a ring by what became of it and of its bird, 0..1."""
    return _STATE[ring.state] * (_STATUS[bird.status] if bird else _WITHOUT_BIRD)


def prior(ring: Ring, bird: Bird | None, evidence: Evidence) -> float:
    """Weight of this ring before its characters are compared, 0..1."""
    weight = weight_of(ring, bird)
    if evidence.colour:
        weight *= fit_of_colour(evidence.colour, ring.colour)
    if evidence.leg:
        weight *= _fit_of_leg(evidence.leg, ring, bird)
    if evidence.closure != "unsure":
        weight *= _fit_of_closure(evidence.closure, ring.kind)
    if evidence.location:
        weight *= _fit_of_place(evidence.location, bird)
    if evidence.expected and bird:
        weight *= evidence.expected.weight(bird.id)
    if evidence.species and bird:
        weight *= _fit_of_words(evidence.species, bird.species, 0.05)
    return weight


def _fit_of_leg(leg: str, ring: Ring, bird: Bird | None) -> float:
    if ring.leg is not Leg.UNKNOWN:
        return 1.0 if ring.leg == leg else 0.15
    # Surgically sexed birds: right leg cock, left leg hen (greenbayvets.co.uk,
    # brookfallsveterinary.com). Many breeders ring any leg, so it says little.
    if bird and bird.sex is not Sex.UNKNOWN:
        usual = "right" if bird.sex is Sex.COCK else "left"
        return 0.6 if leg == usual else 0.4
    return 0.5


def _fit_of_closure(closure: str, kind: RingKind) -> float:
    if kind is RingKind.UNKNOWN:
        return 0.5
    is_split = kind in (RingKind.SPLIT, RingKind.QUARANTINE)
    return 1.0 if is_split == (closure == "split") else 0.1


def _fit_of_place(seen_at: str, bird: Bird | None) -> float:
    if bird is None:
        return 0.3
    return _fit_of_words(seen_at, bird.location, 0.12)


def _fit_of_words(seen: str, on_record: str, if_other: float) -> float:
    if not on_record.strip():
        return 0.4
    return 1.0 if same_words(seen, on_record) else if_other


def same_words(one: str, other: str) -> bool:
    """The same letters and digits; case, spaces and marks aside."""
    return _words(one) == _words(other)


def _words(text: str) -> str:
    return "".join(sign for sign in text.casefold() if sign.isalnum())
