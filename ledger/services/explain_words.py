"""Sentences on rings: what they prove, whom to ask, what to take care of."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ledger.reference.whom_to_ask import whom_to_ask
from ledger.rings.countries import countries_written

if TYPE_CHECKING:
    from ledger.rings.inscription import InscriptionReading

NOTHING_READ = "Nothing was read. Take another photo, or type what you can read."

# A closed ring is put on in the first days of life and cannot come off a grown leg:
# Commission Regulation (EC) 865/2006 Art. 66 (paragraph from memory), SI 1982/1220
# reg. 1(3), BArtSchV s.13(2).
_CLOSED = (
    "A closed ring was slipped on in the first days of life, so the bird was bred in "
    "captivity, if the ring fits so that it cannot come off the grown leg; a loose "
    "one proves less."
)
_SPLIT = (
    "A split ring can be put on at any age: it proves neither captive breeding nor age."
)
_OF_THAT_KIND = (
    "If it is a quarantine ring, it was put on at import: the bird is likely to have "
    "been taken from the wild or bred abroad. The letters alone do not show it."
)
_RIVETED = (
    "A ring shut by a screw or rivet is put on at import, or by an authority: the bird "
    "is likely to have been imported, but the ring alone does not show it."
)
"""Quarantine rings: APHIS, "Bird Leg Band Information"; riveted official rings:
Burgenland ordinance LBG10000307 section 1(3)."""
_CLOSURE_OPEN = (
    "If the ring is closed, without any seam, the bird was bred in captivity, as far "
    "as the ring fits; if it has a seam, the ring proves nothing of the kind."
)

PROVES_NOT = (
    "Who owns the bird: no register of all rings exists, and a ring is not a title.",
    "Who bred it, before the issuer confirms it: anyone can order rings with letters.",
    "The year, by colour alone: colours come round again and differ by scheme.",
    "The sex: some ring cocks right and hens left, many ring any leg.",
)
"""The last: greenbayvets.co.uk, brookfallsveterinary.com; many ring any leg is common
practice, no source."""

# Vets' advice on rings: greenbayvets.co.uk, lafeber.com, brookfallsveterinary.com.
CAUTIONS = (
    "Do not cut the ring off: it is the bird's proof of identity, and cutting it "
    "without the right tool breaks legs. If it must come off, an avian vet does it; "
    "keep the ring, and mind what your local rules ask for before it is removed.",
    "See an avian vet today if the leg is swollen, bleeding, cold or discoloured, if "
    "the ring is stuck or has ridden above the hock, or if the bird is lame.",
)


def proofs(best: InscriptionReading | None, seen_closure: str) -> tuple[str, ...]:
    """What the ring proves, as far as it is known how it is made."""
    kind = best.scheme.kind if best and best.scheme else ""
    said = best.closure if best else ""
    if seen_closure == "quarantine":
        found = [_RIVETED, _SPLIT]
    elif seen_closure == "split":
        found = [_OF_THAT_KIND, _SPLIT] if kind == "quarantine" else [_SPLIT]
    elif seen_closure == "closed":
        found = [_CLOSED]
    elif kind == "quarantine":
        found = [_OF_THAT_KIND]
    elif said == "closed":
        found = ["Its inscription says that it is closed.", _CLOSED]
    elif said == "open":
        found = ["Its inscription says that it is open.", _SPLIT]
    else:
        found = [_CLOSURE_OPEN]
    return tuple(found)


def asked_next(
    best: InscriptionReading | None, others: list[InscriptionReading]
) -> tuple[str, ...]:
    """Whom to ask next, in general terms, the likeliest reading first."""
    found: dict[str, None] = {}
    for reading in (best, *others[:4]):
        if reading is None:
            continue
        if reading.scheme and reading.scheme.ask:
            found[_sentence(f"{reading.scheme.name}: {reading.scheme.ask}")] = None
        elif reading.country:
            name = countries_written(reading.country)[0].name
            for ask in whom_to_ask(reading.country):
                found[_sentence(f"{name}: {ask}")] = None
            found[f"Bird clubs and ring suppliers in {name}, with the letters."] = None
    found["The person or shop the bird came from, for its papers."] = None
    found["A vet or rescue can read a chip: its code has a register of its own."] = None
    return tuple(found)


def _sentence(words: str) -> str:
    return words if words.endswith(".") else f"{words}."


def certainty(share: float) -> str:
    """How sure the likeliest reading is; no word is stronger than "likely"."""
    if not share:
        return "No way of writing that we know fits this:"
    if share >= _MOST:
        return "Most likely, by the ways of writing rings that we know:"
    if share >= _HALF:
        return "Likelier than any other reading, but by no means sure:"
    return "Several readings fit about as well; this is one of them:"


_MOST, _HALF = 0.9, 0.5


_SEEN = ("closed", "split", "quarantine")


def closure_in_words(best: InscriptionReading | None, seen: str) -> str:
    """How the ring is made: by the photos, by the owner, by its inscription."""
    said = best.closure if best else ""
    kind = best.scheme.kind if best and best.scheme else ""
    words = {
        "closed": "Closed, as far as it was seen: no seam all round.",
        "split": "Split: a seam is seen.",
        "quarantine": "Split, and shut by a screw or rivet, as quarantine rings are.",
    }.get(seen, "")
    if said:
        words = f"{words} The inscription says: {said}.".strip()
        if seen in _SEEN and (said == "closed") != (seen == "closed"):
            words += " The two do not go together: look for a seam again."
    elif kind and not words:
        words = f"Rings written so are {kind} rings; see whether there is a seam."
    elif kind in ("split", "quarantine") and seen == "closed":
        words += f" Rings written so are {kind} rings, so it may be none of these."
    elif kind == "closed" and seen in ("split", "quarantine"):
        words += " Rings written so are closed rings: it may have been cut, or copied."
    return words or "Closed or split is not known: look for a seam all round."


CHIP_PROVES = (
    "That a chip with this code was made. Only a scanner over the bird shows that the "
    "bird carries it.",
)
CHIP_PROVES_NOT = (
    "Who owns the bird: registers of chips are kept apart by country and by maker, "
    "and none is obliged to know the bird.",
    "Age and sex: a chip is implanted at any age.",
)
CHIP_ASK = (
    "An avian vet or a rescue: they scan the bird and know which registers to ask.",
    "The person or shop the bird came from, for its papers.",
    "If the bird wears a ring as well, read it: type what stands on the ring.",
)
