"""Whether a ring fits the leg it is on, by measure and by what one sees.

None of this replaces a look by an avian vet, and nothing here asks a keeper to take
a ring off.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from ledger.errors import RuleError

LEAST_FILLED = 0.60
MOST_FILLED = 0.65
"""Share of the ring's inner diameter that the leg should fill at mid-length.

Splittgerber and Clarke, "Band-related leg injuries in an Australian passerine and
their possible causes" (abstract read; Journal of Field Ornithology 2006, from
memory). Found in a wild songbird: for parrots a guide, no proof.
"""
FIT_SOURCE = (
    "Splittgerber and Clarke (Journal of Field Ornithology 2006): the leg should fill "
    "60 to 65 % of the ring's inner diameter; found in a wild songbird, a guide for "
    "parrots"
)


class Fit(StrEnum):
    """How a ring sits, by measure."""

    TIGHT = "tight"
    RIGHT = "right"
    LOOSE = "loose"


@dataclass(frozen=True, slots=True)
class FitCheck:
    """A leg and a ring, measured."""

    fit: Fit
    filled: float
    """Share of the inner diameter that the leg fills."""
    smallest_mm: float
    """Inner diameter that the rule gives for this leg, at least."""
    largest_mm: float
    said: tuple[str, ...]
    """What that means and what to do, as sentences; the source among them."""


def fitting_sizes(leg_mm: float) -> tuple[float, float]:
    """Smallest and largest inner diameter for a leg, in mm: 3.0 gives 4.62 to 5.00.

    Args:
        leg_mm: Diameter of the tarsus at mid-length, the wider way.

    Raises:
        RuleError: no leg measures so.
    """
    _refuse_no_measure(leg_mm, "leg")
    return leg_mm / MOST_FILLED, leg_mm / LEAST_FILLED


def check_fit(leg_mm: float, inner_mm: float) -> FitCheck:
    """Whether a ring fits a leg, by the published rule.

    Args:
        leg_mm: Diameter of the tarsus at mid-length, the wider way.
        inner_mm: Inner diameter of the ring.

    Raises:
        RuleError: no leg or ring measures so.
    """
    _refuse_no_measure(inner_mm, "ring")
    smallest, largest = fitting_sizes(leg_mm)
    filled = leg_mm / inner_mm
    if filled > MOST_FILLED + 1e-9:
        fit, said = Fit.TIGHT, _tight(filled)
    elif filled < LEAST_FILLED - 1e-9:
        fit, said = Fit.LOOSE, (LOOSE_SAID,)
    else:
        fit, said = Fit.RIGHT, (RIGHT_SAID,)
    measured = (
        f"The leg ({leg_mm:g} mm) fills {filled:.0%} of the ring ({inner_mm:g} mm): "
        f"{fit}. For this leg the rule gives {smallest:.2f} to {largest:.2f} mm."
    )
    return FitCheck(fit, filled, smallest, largest, (measured, *said, FIT_SOURCE + "."))


RIGHT_SAID = (
    "A ring that fits turns freely and slides along the leg without passing the hock "
    "or the foot (brookfallsveterinary.com)."
)
LOOSE_SAID = (
    "Loose rings catch on wire and branches and can break the leg (lafeber.com). Have "
    "an avian vet look before the bird goes back among things it can hang on."
)


def _tight(filled: float) -> tuple[str, ...]:
    if filled >= 1:
        return (
            "The leg is as thick as the ring is wide. Call an avian vet today; do not "
            "try to turn, cut or take off the ring.",
        )
    return (
        "Too little room: scales shed under the ring gather there and the leg swells "
        "against it. Have an avian vet look at it soon; do not take it off yourself.",
    )


class FitSign(StrEnum):
    """What one sees of a ring's fit."""

    WELL = "sits well"
    ABOVE_HOCK = "rides above the hock"
    NOT_OVER_FOOT = "will not pass the foot"
    SLIPS_OFF = "slips back over the foot"
    TIGHT = "does not turn or slide"


@dataclass(frozen=True, slots=True)
class FitTrouble:
    """What a sign means."""

    means: str
    """In a few words."""
    is_danger: bool
    """The bird should see an avian vet."""
    said: str
    """What it means and what to do, as sentences."""
    source: str


FIT_SIGNS = {
    FitSign.WELL: FitTrouble(
        "fits", False, RIGHT_SAID, "brookfallsveterinary.com"
    ),
    FitSign.ABOVE_HOCK: FitTrouble(
        "too large, dangerous",
        True,
        "A ring that rides above the hock is too large and dangerous: it locks the "
        "joint and cuts in. Call an avian vet, who takes it off, perhaps under "
        "anaesthetic. Do not pull it down or cut it at home.",
        "common practice; poultryscience.in on the anaesthetic",
    ),
    FitSign.NOT_OVER_FOOT: FitTrouble(
        "too small",
        False,
        "A ring that will not pass the foot is too small, or the chick is too old for "
        "a closed ring. Never force it over the joints. Take the next larger size if "
        "the species' size allows, or mark the bird with a split ring or a chip.",
        "common practice, no source",
    ),
    FitSign.SLIPS_OFF: FitTrouble(
        "too early or too large",
        False,
        "A ring that slips back over the foot is too large, or the chick too young: "
        "let it slide off again, wait a day and try once more.",
        "sjdjavas.co.uk (a keeper's page)",
    ),
    FitSign.TIGHT: FitTrouble(
        "too small, dangerous",
        True,
        "A ring that neither turns nor slides is too tight, or the leg is swollen: "
        "swelling below a ring goes quickly to dead flesh. Call an avian vet today; "
        "do not try to take it off at home.",
        "lafeber.com; canarytales.blogspot.com (a keeper's page)",
    ),
}  # fmt: skip


def _refuse_no_measure(size_mm: float, what: str) -> None:
    if not 0.5 <= size_mm <= 60:
        raise RuleError(
            f"No {what} of a bird measures {size_mm:g} mm.",
            "Measure again, in millimetres: 3.0 for a small parakeet's leg.",
        )
