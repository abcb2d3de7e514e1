"""What the identify page says: verdicts, chances and characters, in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ledger.domain.bird import Status
from ledger.services.draft import Certainty
from ledger.widgets.inscription import LEGEND
from ledger.widgets.row_list import Row

if TYPE_CHECKING:
    from ledger.domain.bird import Bird
    from ledger.domain.flock import Flock
    from ledger.services.draft import Sign
    from ledger.services.identify import Candidate, Identification

HELP = """
# Whose ring is it?

On top the ring, **unrolled**. Under it every character with how sure it is:
`━` sure, `─` likely, `┄` doubtful, `═` typed by you, `?` one not read,
`*` any number out of view. A dot before a character is a word gap.

- **Arrows** move, **typing** replaces, **Delete** removes, **Insert** makes room,
  **Space** opens or closes a gap, **/** begins a new line.
- The birds below are ranked anew at every key. **Enter** or **Down** goes to them,
  **Enter** on one opens its emergency card. There you confirm it, or go back.
- **F2**, or a photo dropped here, adds a photo of the same ring: from another side
  it shows other characters. **F7** tells how to photograph a ring.

*Sure* means: nothing else in this flock comes near. It still is you who decides.
"""

VERDICTS = {
    "sure": ("✓ Sure", "$text-success"),
    "unsure": ("? Unsure", "$text-warning"),
    "unknown ring": ("✗ Unknown ring", "$text-warning"),
    "no ring": ("○ No ring", "$text-warning"),
}
"""The matcher's words, each with a mark of its own."""


def row_of(candidate: Candidate, flock: Flock) -> Row:
    """One bird: its chance in numbers and as a bar, who it is, and where."""
    bird = flock.birds.get(candidate.bird or "")
    bar = "█" * round(10 * candidate.probability)
    return Row(
        f"{candidate.bird} {candidate.ring_id}",
        (
            percent(candidate.probability),
            bar or "▏",
            candidate.name or "(no bird)",
            candidate.ring,
            bird.species if bird else "",
            where(bird),
        ),
    )


def where(bird: Bird | None) -> str:
    """Where it lives; for one that does not live here: why not."""
    if bird is None:
        return ""
    return bird.location if bird.status is Status.ALIVE else f"({bird.status})"


def why_in_words(candidate: Candidate, flock: Flock) -> str:
    """Who it would be and why, in a sentence: the list has no room for it."""
    bird = flock.birds.get(candidate.bird or "")
    who = ", ".join(filter(None, [candidate.name or "This ring", where(bird)]))
    return f"{who}: {candidate.why}"


def caution_in_words(found: Identification, candidate: Candidate) -> str:
    """What to say before a bird that is not sure is confirmed; "" when it is."""
    if found.verdict == "sure":
        return ""
    chance = percent(candidate.probability)
    return f"Not sure: the reading gives it {chance}. {found.look_next}".strip()


def why_none(found: Identification) -> str:
    """Why no bird is listed."""
    if found.verdict == "unknown ring":
        return "No bird of this flock wears such a ring."
    return "Type at least one character that you can read."


def percent(chance: float) -> str:
    """Chances near the ends are never rounded to certainty."""
    if chance > 0.99:
        return "> 99 %"
    return "< 1 %" if chance < 0.01 else f"{chance:.0%}".replace("%", " %")


def verdict_in_words(found: Identification) -> str:
    """What the verdict means for whoever holds the bird."""
    match found.verdict:
        case "sure":
            return ": one bird of the flock fits, no other comes near. Enter: its card."
        case "unsure" if not found.candidates:
            return ": nothing is legible yet. F7 tells how to photograph a ring."
        case "unsure" if len(found.candidates) == 1:
            return ": it may be this bird. Look once more before you trust it."
        case "unsure":
            return ": these birds are left. Look once more before you trust one."
        case "unknown ring":
            return ": no ring of this flock fits. F4 explains what it tells."
        case _:
            return ": type what you can read, or add a photo with F2 (F7: how to)."


def sign_in_words(place: int, sign: Sign | None) -> str:
    """The character under the cursor, how sure it is, and what else it may be."""
    if sign is None:
        return LEGEND
    said = f"Place {place + 1}: {sign.text}, {sign.certainty.value}"
    if sign.certainty in (Certainty.SURE, Certainty.LIKELY, Certainty.DOUBTFUL):
        said += f" ({sign.probability:.0%})"
    others = [f"{text} ({chance:.0%})" for text, chance in sign.alternatives[:3]]
    return f"{said}; or {', '.join(others)}" if others else said
