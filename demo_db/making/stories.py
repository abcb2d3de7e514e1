# ruff: noqa: E501 - tables of prose read better in one line each
"""What was not left to chance: the ten birds on the pictures, their kin, odd cases."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from typing import TYPE_CHECKING

from ledger.domain import EventKind, Leg, Pair, PartialDate, Ring, RingKind, RingState
from making.illness import fall_ill
from making.people import NIGHT_VET, OWNERS, STAFF, VET

if TYPE_CHECKING:
    from making.lives import Book, Life
    from making.marks import Marks

_ILL = (
    # Bosun, and gout in the line of its sire
    ("YC-A94a", "gout", dt.date(2009, 4, 11)), ("YC-B07a", "gout", dt.date(2021, 1, 23)),
    ("YC-D19a", "gout", dt.date(2024, 2, 17)),
    # Skerry
    ("BP-B20a", "wing", dt.date(2023, 11, 5)), ("BP-A09a", "bumblefoot", dt.date(2020, 9, 9)),
    # Gannet
    ("PC-Halyard", "plucking", dt.date(2019, 3, 2)), ("PC-B18a", "plucking", dt.date(2021, 5, 8)),
    ("PC-B21a", "plucking", dt.date(2024, 1, 20)), ("PC-B21a", "gas", dt.date(2024, 2, 11)),
    # Rosehip
    ("GA-A05a", "fatty liver", dt.date(2019, 6, 15)), ("GA-C20c", "lump", dt.date(2023, 8, 19)),
    ("GA-C21a", "fatty liver", dt.date(2024, 7, 6)),
    # Carmine
    ("EC-Vesta", "egg binding", dt.date(2019, 3, 28)), ("EC-A04a", "egg binding", dt.date(2012, 4, 14)),
    ("EC-C22b", "vitamin A", dt.date(2024, 3, 9)), ("EC-C22b", "egg binding", dt.date(2025, 3, 22)),
    # Juno
    ("BH-A11a", "vitamin A", dt.date(2014, 10, 4)), ("BH-Petrel", "aspergillosis", dt.date(2013, 2, 9)),
    ("BH-B22c", "aspergillosis", dt.date(2024, 10, 19)), ("BH-B22b", "aspergillosis", dt.date(2025, 5, 10)),
    # Pip
    ("BF-E12a", "aspergillosis", dt.date(2018, 11, 17)), ("BF-Thrift", "vitamin A", dt.date(2014, 8, 23)),
    ("BF-G23a", "vitamin A", dt.date(2024, 4, 13)), ("BF-G23b", "enrofloxacin", dt.date(2024, 9, 7)),
    ("BF-G23b", "vitamin A", dt.date(2025, 3, 15)), ("BF-G23c", "crop", dt.date(2023, 7, 1)),
    # Cinder
    ("GP-Sable", "plucking", dt.date(2018, 7, 14)), ("GP-B10a", "calcium", dt.date(2013, 1, 19)),
    ("GP-E23a", "calcium", dt.date(2025, 1, 11)), ("GP-E23b", "calcium", dt.date(2024, 12, 7)),
    ("GP-E23b", "itraconazole", dt.date(2025, 5, 17)), ("GP-E17a", "calcium", dt.date(2017, 12, 2)),
    # Tack
    ("RM-B17a", "toe", dt.date(2019, 8, 3)), ("RM-C24b", "toe", dt.date(2025, 4, 12)),
    ("RM-C24b", "sore under ring", dt.date(2025, 9, 13)),
    # Iris
    ("WF-C25b", "splay leg", dt.date(2025, 6, 30)), ("WF-C25b", "crop", dt.date(2025, 8, 2)),
    ("WF-A12a", "vitamin A", dt.date(2016, 5, 21)), ("WF-C25a", "crop", dt.date(2025, 8, 4)),
    # others
    ("GP-Barnaby", "cataract", dt.date(2019, 10, 12)), ("SE-B12a", "sore under ring", dt.date(2018, 3, 10)),
    ("GP-Captain", "plucking", dt.date(2012, 6, 2)), ("BF-A88a", "enrofloxacin", dt.date(1999, 2, 20)),
)  # fmt: skip
_SAID = {
    "BF-G23b": ("medication", "Vitamin A drops on food twice a week (dose on the vet's sheet)"),
    "BH-B22b": ("medication", "Inhalation every evening until the next X-ray is clear (by the vet's sheet)"),
    "RM-C24b": ("alerts", "Sore leg under the ring in 2025: look at ring and leg every week; never pull at the ring."),
    "PC-B21a": ("alerts", "Bites when cornered: two people, towel, lights down."),
    "WF-C25b": ("alerts", "Aspirated once: feed from the left side only, little at a time."),
    "EC-C22b": ("medication", "Calcium on food from February to May (dose on the vet's sheet)"),
    "BP-B20a": ("medication", "Pain relief by mouth when lame, only as the vet's sheet says"),
    "GA-C21a": ("allergies", "Chlorhexidine wash: skin red for days (2024)"),
}  # fmt: skip
_NOTES = {
    "BF-Duchess": "Its age is what the owner's family told.",
    "GP-Barnaby": "The oldest bird here; still wears the ring of its import.",
    "GP-Captain": "Came with no ring and no papers; read for a chip: none, so chipped here.",
    "GP-Fenella": "When and where it hatched is not known.",
    "SE-A02a": "Lost its place at ringing: the foot was too big on the day. No ring, no "
    "chip; known by a notch in the upper beak.",
    "CT-K14b": "Colony bird without ring; known by a white flight feather.",
    "SP-D09a": "Its parents are cousins: see pair D in Noon flight.",
    "SP-D10a": "Its parents are cousins: see pair D in Noon flight.",
    "EC-Orlop": "Here on breeding loan.",
}
_PAIR_NOTES = {
    "SP-D": "Parted: laying the books side by side showed that sire and dam are "
    "cousins; their dam and sire hatched in one nest in 1999. A mistake.",
    "LB-C": "Half-siblings through Peach. Found too late; the young are not bred from.",
}


def tell(book: Book, marks: Marks) -> None:
    """Enter all of it."""
    lives = book.lives
    for key, illness, first in _ILL:
        if not lives[key].is_here(first):
            raise ValueError(f"{key} is not here on {first}.")
        fall_ill(book, lives[key], illness, first)
    for key, (what, words) in _SAID.items():
        getattr(lives[key], what).append(words)
    for key, words in _NOTES.items():
        lives[key].notes.append(words)
    lives["EC-Orlop"].owner = OWNERS[0]
    lives["EC-Orlop"].vet = NIGHT_VET
    lives["BF-Duchess"].vet = NIGHT_VET
    book.change(Pair, lambda pair: _noted(pair))
    _cut_ring_for_chip(book, lives["GA-C20b"], marks)
    _changed_ring(book, lives["GP-B02a"], marks)
    _trial_ended(book, lives["SE-B19a"])
    _unreadable(book, lives["BF-Teasel"])
    marks.put_on(
        lives["CT-K14a"], "S 114", dt.date(2015, 3, 7), kind=RingKind.SPLIT,
        colour="silver", leg=Leg.RIGHT, issuer="Tidewrack Aviaries",
        text="Split ring, since it was never closed-ringed.",
    )  # fmt: skip


def _noted(pair: Pair) -> Pair:
    words = _PAIR_NOTES.get(pair.id)
    return replace(pair, notes=words) if words else pair


def _cut_ring_for_chip(book: Book, life: Life, marks: Marks) -> None:
    """A closed ring that had to come off, and the chip that took over that day."""
    on = dt.date(2022, 4, 9)
    why = "Flattened by gnawing; leg swollen above it"
    inscription = "TWK IE / 2020 0028"
    book.event(
        life, on - dt.timedelta(days=1), EventKind.RING_CHECKED,
        "Ring bitten flat, leg swollen above it. Not touched; vet called.", by=STAFF[2],
        ring=inscription,
    )  # fmt: skip
    code = marks.chip(life, on, "Chipped under the same gas, before the ring was cut.")
    book.change(
        Ring,
        lambda ring: _removed(ring, on, why, code),
        inscription,
    )
    book.event(
        life, on, EventKind.RING_REMOVED,
        f"{inscription} cut off under gas: {why.lower()}. Pieces kept. Removal paper 2022-1 "
        f"joins the ring to chip {code}; signed by vet and keeper.", by=VET,
        ring=inscription, chip=code,
    )  # fmt: skip
    life.health_flags.append("Ring injury, healed")
    life.notes.append("Galahs get steel rings since this one bit its aluminium flat.")


def _removed(ring: Ring, on: dt.date, why: str, instead: str) -> Ring:
    return replace(
        ring, state=RingState.REMOVED, removed=PartialDate.of(on), removed_reason=why,
        removed_by=VET, replaced_by=instead, trial=False,
    )  # fmt: skip


def _changed_ring(book: Book, life: Life, marks: Marks) -> None:
    """A closed ring worn out of legibility, replaced by a split ring."""
    on = dt.date(2016, 11, 12)
    (old,) = book.rings_on(life, RingKind.CLOSED)
    new = "SQ 114"
    marks.put_on(
        life, new, on, kind=RingKind.SPLIT, colour="silver", leg=old.leg, size_mm=11.5,
        issuer="Saltmarsh Bird Surgery (invented)", by=VET,
        text=f"Split ring in place of {old.inscription}.",
    )  # fmt: skip
    why = "Worn thin, edges sharp"
    book.change(Ring, lambda ring: _removed(ring, on, why, new), old.id)
    book.event(
        life, on, EventKind.RING_REMOVED,
        f"{old.inscription} cut off under gas: {why.lower()}. Ring kept with the papers.",
        by=VET, ring=old.id,
    )  # fmt: skip


def _trial_ended(book: Book, life: Life) -> None:
    """Of two sizes on trial one stays."""
    on = dt.date(2020, 9, 19)
    stays, goes = sorted(book.rings_on(life), key=lambda ring: ring.size_mm or 0)
    why = (
        f"Trial over: {stays.size_mm:g} mm sits right, {goes.size_mm:g} mm is too wide"
    )
    book.change(Ring, lambda ring: _removed(ring, on, why, stays.id), goes.id)
    book.change(
        Ring,
        lambda ring: replace(ring, trial=False, notes="Stayed on after the trial."),
        stays.id,
    )
    book.event(life, on, EventKind.RING_REMOVED, f"{why}.", by=VET, ring=goes.id)


def _unreadable(book: Book, life: Life) -> None:
    """A ring of which only some characters are left."""
    (ring,) = book.rings_on(life, RingKind.CLOSED)
    left = f"{ring.inscription[:4]}?{ring.inscription[5]}? 9?"
    words = "Worn smooth; only these characters can still be felt."
    book.change(
        Ring, lambda worn: replace(worn, inscription=left, notes=words), ring.id
    )
