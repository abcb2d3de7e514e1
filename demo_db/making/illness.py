# ruff: noqa: E501 - tables of prose read better in one line each
"""Illnesses as a small aviary meets them: notes, flags, what to know in a hurry.

Invented histories. They name no doses: those stand on the vet's sheet.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ledger.domain import EventKind
from making.people import STAFF, VET

if TYPE_CHECKING:
    from making.lives import Book, Life

NOTE, SEEN, TREATED, RING = (
    EventKind.NOTE,
    EventKind.EXAMINED,
    EventKind.TREATED,
    EventKind.RING_CHECKED,
)


@dataclass(frozen=True)
class Illness:
    """A course of things, in days from its first sign."""

    flag: str
    course: tuple[tuple[int, EventKind, str, float], ...]
    """Day, kind, words, weight as a share of the usual one (1: untouched)."""
    alert: str = ""
    medication: str = ""
    allergy: str = ""


ILLNESSES = {
    "plucking": Illness(
        "Plucks its feathers",
        (
            (0, NOTE, "Breast feathers chewed short; skin whole. Bath and more to gnaw.", 1),
            (21, SEEN, "Blood and feather samples: no virus, no mites. Put down to boredom; larger flight advised.", 0.98),
            (140, NOTE, "Down is growing back on the breast; thighs still bare.", 1),
        ),
    ),
    "egg binding": Illness(
        "Egg binding",
        (
            (0, NOTE, "Found fluffed on the floor, straining. Warm, damp box; vet called at once.", 1.06),
            (0, TREATED, "Egg bound. Calcium and warmth at the surgery; soft-shelled egg passed after six hours.", 1.04),
            (10, SEEN, "Bright again. Nest box closed for this season; calcium block and lamp.", 0.97),
        ),
        alert="Was egg bound: if fluffed on the floor, keep warm and call the vet at once.",
    ),
    "aspergillosis": Illness(
        "Aspergillosis suspected",
        (
            (0, NOTE, "Tail bobs after flying; voice has changed.", 0.96),
            (3, SEEN, "X-ray: cloudy air sac on the left. Aspergillosis suspected; inhalation begun.", 0.93),
            (45, TREATED, "Inhalation twice a day for six weeks. Breathes quietly at rest.", 0.95),
            (160, SEEN, "X-ray better, not clear. Dry, clean nesting litter only.", 0.98),
        ),
        alert="Short of breath when held: handle briefly, keep upright, stop if the tail bobs.",
    ),
    "vitamin A": Illness(
        "Lack of vitamin A in the past",
        (
            (0, SEEN, "White spots at the choana, blunt papillae. Picks out the seed and leaves the rest: lack of vitamin A.", 0.97),
            (0, TREATED, "Vitamin A once at the surgery; pellets, carrot, red pepper and greens from now on.", 1),
            (90, SEEN, "Papillae growing back. Eats pellets.", 1.02),
        ),
    ),
    "fatty liver": Illness(
        "Fatty liver",
        (
            (0, SEEN, "Beak overgrown and flaking, keel no longer felt. Liver large on the X-ray.", 1.22),
            (1, TREATED, "Diet of pellets and greens, no sunflower seed; supplement by the vet's sheet.", 1.2),
            (180, SEEN, "Slimmer; liver smaller. Keep to the diet.", 1.08),
        ),
        alert="Fatty liver: no sunflower seed or nuts; never let it go hungry for a day.",
    ),
    "gout": Illness(
        "Gout",
        (
            (0, NOTE, "Shifts from foot to foot; white knots at the toe joints.", 0.97),
            (2, SEEN, "Joint gout; uric acid high. Water at several places, soft low perches.", 0.95),
            (60, TREATED, "Pain relief and a medicine against uric acid, by the vet's sheet.", 0.97),
        ),
        alert="Gout: painful feet, do not hold by the feet; must always have water.",
        medication="Medicine against uric acid by mouth every morning (dose on the vet's sheet)",
    ),
    "sore under ring": Illness(
        "Sore leg under the ring",
        (
            (0, RING, "Dead skin gathered under the ring; leg red below it. Vet called, ring left alone.", 1),
            (1, TREATED, "Leg cleaned under the ring at the surgery; ring turns freely again.", 1),
            (21, RING, "Skin whole, ring slides. Look every week.", 1),
        ),
    ),
    "toe": Illness(
        "Old fracture of a toe",
        (
            (0, NOTE, "Caught a toe in the mesh; hangs on one foot.", 1),
            (0, TREATED, "Outer front toe of the right foot broken; splinted.", 0.98),
            (28, SEEN, "Healed stiff. Grips with three toes on that foot.", 1),
        ),
    ),
    "calcium": Illness(
        "Seizures from lack of calcium",
        (
            (0, NOTE, "Fell from the perch and shook for half a minute. Dark, warm box; vet called.", 0.98),
            (0, SEEN, "Calcium in the blood very low. Calcium given at the surgery.", 0.98),
            (40, SEEN, "No more seizures. UV lamp, pellets, calcium every day.", 1),
        ),
        alert="Seizures when calcium is low: dark warm box, nothing in the beak, call the vet.",
        medication="Calcium syrup on food every day (dose on the vet's sheet)",
    ),
    "bumblefoot": Illness(
        "Bumblefoot (grade 1 of 7)",
        (
            (0, SEEN, "Thin red skin on both soles: bumblefoot grade 1 of 7. Natural perches of several widths.", 1.05),
            (60, SEEN, "Soles pale, scales coming back.", 1.02),
        ),
    ),
    "crop": Illness(
        "Crop infection as a chick",
        (
            (0, NOTE, "Crop slow to empty, smells sour.", 0.92),
            (1, TREATED, "Yeast in the crop; treated for ten days at the surgery's word.", 0.95),
            (14, SEEN, "Crop empties overnight; growing.", 1),
        ),
    ),
    "cataract": Illness(
        "Blind in one eye (cataract)",
        (
            (0, SEEN, "Right eye cloudy: cataract. Finds food and perch well.", 1),
        ),
        alert="Blind on the right: speak first and come from the left.",
    ),
    "night fright": Illness(
        "Night fright",
        (
            (0, NOTE, "Thrashed in the dark, two blood feathers broken. Night light from today.", 1),
        ),
    ),
    "lump": Illness(
        "Fatty lump on the breast",
        (
            (0, SEEN, "Soft lump of 12 mm on the breast: fatty lump. Diet; measure every three months.", 1.12),
            (120, SEEN, "Lump unchanged. Lighter by some grams.", 1.07),
        ),
    ),
    "splay leg": Illness(
        "Splay leg as a chick, corrected",
        (
            (0, NOTE, "Left leg slides outward in the nest. Hobbled with soft tape by the vet.", 0.97),
            (16, SEEN, "Stands straight; tape off.", 1),
        ),
    ),
    "enrofloxacin": Illness(
        "Reacts to enrofloxacin injection",
        (
            (0, TREATED, "Sinus infection; enrofloxacin injected. Collapsed within minutes; came round on oxygen.", 0.95),
            (1, SEEN, "Breast muscle swollen at the injection. Treatment goes on by mouth, taken well.", 0.94),
            (15, SEEN, "Sinus clear, muscle healing.", 0.98),
        ),
        alert="Reacts to enrofloxacin injection: give by mouth only.",
        allergy="Enrofloxacin by injection: collapse, muscle damage",
    ),
    "itraconazole": Illness(
        "Does not bear itraconazole",
        (
            (0, TREATED, "Itraconazole begun for a doubtful air sac.", 0.98),
            (3, SEEN, "Stopped eating, vomited; medicine stopped. Air sac clear on a second look.", 0.92),
            (17, NOTE, "Eats again and talks.", 0.99),
        ),
        allergy="Itraconazole: stops eating, vomits",
    ),
    "wing": Illness(
        "Old fracture of the left wing",
        (
            (0, NOTE, "Left wing hangs after a night fright.", 1),
            (0, TREATED, "Ulna broken; body wrap for three weeks, cage rest.", 0.97),
            (30, SEEN, "Healed, slightly short. Flies, lands hard.", 1),
        ),
        alert="Old wing fracture on the left: hold with the wing folded, never stretch it.",
    ),
    "gas": Illness(
        "Slow to wake from anaesthesia",
        (
            (0, SEEN, "Gas for an X-ray: breathing stopped for ten seconds, an hour to wake.", 1),
        ),
        allergy="Anaesthetic gas: slow to wake, stopped breathing once; tell every vet",
    ),
}  # fmt: skip


def fall_ill(book: Book, life: Life, name: str, first: dt.date) -> None:
    """Enter the course of an illness, and what it leaves behind."""
    illness = ILLNESSES[name]
    for day, kind, words, share in illness.course:
        on = first + dt.timedelta(days=day)
        by = STAFF[1] if kind in (NOTE, RING) else VET
        book.event(life, on, kind, words, by=by)
        life.weight_turns.append((on, share))
    for flags, words in (
        (life.health_flags, illness.flag),
        (life.alerts, illness.alert),
        (life.medication, illness.medication),
        (life.allergies, illness.allergy),
    ):
        if words and words not in flags:
            flags.append(words)
