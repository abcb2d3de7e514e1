"""Which characters of a recorded inscription are its serial, its year, its code."""

from __future__ import annotations

from functools import lru_cache

from ledger.rings.fields import Field
from ledger.rings.inscription import read_inscription
from ledger.rings.pieces import inscribed

_LOOKALIKES = str.maketrans("OI", "01")


@lru_cache(maxsize=16384)
def fields_of(text: str, year_now: int) -> tuple[tuple[Field, tuple[int, ...]], ...]:
    """Fields of a recorded inscription with the places they take in it.

    Args:
        text: As recorded; places count its characters without spaces.
        year_now: No ring is of a year after the next.

    Returns:
        In reading order; nothing where the inscription is no known way of writing.
    """
    found = read_inscription(text, year_now=year_now)
    signs = inscribed(text).signs
    places = [at for at, sign in enumerate(signs) if sign.isalnum()]
    if not found or not places:
        return ()
    parts = [(p.field, "".join(filter(str.isalnum, p.text))) for p in found[0].parts]
    read = "".join(sign for _, sign in parts).translate(_LOOKALIKES)
    written = "".join(signs[at] for at in places).translate(_LOOKALIKES)
    turn = (written + written).find(read)
    if len(read) != len(written) or turn < 0:
        return ()
    turned = places[turn:] + places[:turn]
    taken, at = [], 0
    for field, sign in parts:
        taken.append((field, tuple(turned[at : at + len(sign)])))
        at += len(sign)
    return tuple(sorted(taken, key=lambda part: part[1]))


def serial_places(text: str, year_now: int) -> frozenset[int]:
    """Places of the serial; of every digit where no serial is to be told."""
    places = [at for field, at in fields_of(text, year_now) if field is Field.SERIAL]
    if places:
        return frozenset(at for taken in places for at in taken)
    signs = inscribed(text).signs
    return frozenset(at for at, sign in enumerate(signs) if sign.isdigit())
