"""What a look under a ring found, by named scales, and what follows from it.

A finding is kept as text, each grade with the name of its scale: "leg under the ring:
swelling; bumblefoot 1-7: 2". There is no published scale of the skin under a ring;
that one is common practice. Bumblefoot is graded 1 to 7 (treeoflifeexotics.vet,
beautyofbirds.com). No word here replaces a look by an avian vet.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache

PRACTICE = "common practice, no source"
LEG_SCALE = "leg under the ring"
FOOT_SCALE = "bumblefoot 1-7"
LEG_MM = "leg in mm"
"""Diameter of the tarsus at mid-length, the wider way."""
FOOT_SOURCE = "bumblefoot in seven stages (treeoflifeexotics.vet)"
SOON_DAYS = 3
"""Until when a vet should see what is not for today: common practice, no source."""
RED_LINE = (
    "Leave the ring where it is: do not turn, cut or take it off at home. An avian vet "
    "has the cutter and the anaesthetic for it; follow your local rules."
)


class LegFinding(StrEnum):
    """Skin, leg and ring, as seen; the scale's own words."""

    WELL = "all well"
    DEAD_SKIN = "dead skin or dirt"
    RED = "red skin"
    SORE = "sore, skin broken"
    BLOOD = "blood"
    SWELLING = "swelling"
    STUCK = "ring does not turn or slide"
    ABOVE_HOCK = "ring above the hock"
    LAME = "lame"


@dataclass(frozen=True, slots=True)
class Verdict:
    """What a finding asks for."""

    vet_within_days: int | None
    """0 is today; None: no vet is asked for."""
    look_again_days: int | None
    """Until the next look; None: as the risks say."""
    said: str
    """What to do, as sentences; "" where all is well."""
    source: str

    @property
    def is_bad(self) -> bool:
        """An alert stands on the card until a later look finds all well."""
        return self.vet_within_days is not None


_SWELLING = (
    "swelling below a ring goes quickly to dead flesh (canarytales.blogspot.com, a "
    "keeper's page); constriction by a ring that is too small or a leg that swells "
    "(greenbayvets.co.uk)"
)
_SCARS = (
    "dead skin builds up under rings and constricts the leg (greenbayvets.co.uk); "
    "shed scales gather under the ring (Splittgerber and Clarke, Journal of Field "
    "Ornithology 2006)"
)

LEG_VERDICTS: dict[LegFinding, Verdict] = {
    LegFinding.WELL: Verdict(None, None, "", ""),
    LegFinding.DEAD_SKIN: Verdict(
        None,
        7,
        "Look again within a week. Have whoever knows how clean it; if the ring stops "
        "turning or the skin is red below it, call an avian vet.",
        _SCARS,
    ),
    LegFinding.RED: Verdict(
        SOON_DAYS,
        2,
        f"Have an avian vet look at it within {SOON_DAYS} days, and look again before. "
        + RED_LINE,
        PRACTICE,
    ),
    LegFinding.SORE: Verdict(0, 1, f"An avian vet today. {RED_LINE}", PRACTICE),
    LegFinding.BLOOD: Verdict(0, 1, f"An avian vet today. {RED_LINE}", PRACTICE),
    LegFinding.SWELLING: Verdict(0, 1, f"An avian vet today. {RED_LINE}", _SWELLING),
    LegFinding.STUCK: Verdict(0, 1, f"An avian vet today. {RED_LINE}", _SWELLING),
    LegFinding.ABOVE_HOCK: Verdict(
        0,
        1,
        "An avian vet today: a ring that rode above the hock may have to come off "
        f"under anaesthetic. {RED_LINE}",
        "poultryscience.in",
    ),
    LegFinding.LAME: Verdict(
        0,
        1,
        "An avian vet today: a lame leg under a ring may be broken or sprained. "
        + RED_LINE,
        "rings caught on cage parts: fracture, dislocation, sprain "
        "(greenbayvets.co.uk)",
    ),
}

FOOT_GRADES: dict[int, str] = {
    1: "thin red skin",
    2: "sole so thin that tendons show",
    3: "ulcer with callus, pain, lame",
    4: "dead dry plug in the ulcer",
    5: "swelling, tendons and pads infected",
    6: "toes swollen, tendon torn, joints stiff",
    7: "infection in the bone",
}
"""Stages of bumblefoot in few words (treeoflifeexotics.vet)."""
_LAME_FROM = 3


@dataclass(frozen=True, slots=True)
class Found:
    """What one look found."""

    leg: LegFinding | None = None
    foot: int = 0
    """Grade of bumblefoot; 0 for none seen."""
    leg_mm: float | None = None
    """Diameter of the leg, where it was measured."""

    @property
    def as_finding(self) -> str:
        """As the ledger keeps it."""
        parts = [f"{LEG_SCALE}: {self.leg}"] if self.leg else []
        parts += [f"{FOOT_SCALE}: {self.foot}"] if self.foot else []
        parts += [f"{LEG_MM}: {self.leg_mm:g}"] if self.leg_mm else []
        return "; ".join(parts)

    @property
    def in_words(self) -> str:
        """For a person: "swelling", "bumblefoot grade 2 of 7"."""
        parts = (
            [str(self.leg)] if self.leg and (not self.foot or self.is_leg_bad) else []
        )
        if self.foot:
            grade = FOOT_GRADES[self.foot]
            parts.append(f"bumblefoot grade {self.foot} of 7 ({grade})")
        return "; ".join(parts)

    @property
    def is_leg_bad(self) -> bool:
        """Something is wrong with skin, leg or ring."""
        return self.leg is not None and self.leg is not LegFinding.WELL

    @property
    def is_well(self) -> bool:
        """It was looked at, and nothing is wrong."""
        return self.leg is LegFinding.WELL and not self.foot


@lru_cache(maxsize=4096)
def found(finding: str) -> Found | None:
    """What a kept finding says; None where it is of no scale that is known here."""
    leg: LegFinding | None = None
    foot = 0
    leg_mm: float | None = None
    for part in finding.split(";"):
        scale, _, grade = (word.strip() for word in part.partition(":"))
        if scale == LEG_SCALE and grade in _LEG_GRADES:
            leg = LegFinding(grade)
        elif scale == FOOT_SCALE and grade.isdecimal() and int(grade) in FOOT_GRADES:
            foot = int(grade)
        elif scale == LEG_MM and re.fullmatch(r"\d{1,2}(\.\d{1,2})?", grade):
            leg_mm = float(grade)
    return Found(leg, foot, leg_mm) if leg or foot or leg_mm else None


_LEG_GRADES = {str(grade) for grade in LegFinding}


def verdict(what: Found) -> Verdict:
    """What a finding asks for; of leg and foot the more pressing."""
    leg = LEG_VERDICTS[what.leg or LegFinding.WELL]
    if not what.foot:
        return leg
    foot = (
        Verdict(0, 2, "An avian vet today: an ulcer of the foot.", FOOT_SOURCE)
        if what.foot >= _LAME_FROM
        else Verdict(
            7,
            7,
            "Have an avian vet look at the sole within a week; look at the perches.",
            f"{FOOT_SOURCE}; the days are {PRACTICE}",
        )
    )
    return min(leg, foot, key=_pressing)


def _pressing(asked: Verdict) -> int:
    return 999 if asked.vet_within_days is None else asked.vet_within_days
